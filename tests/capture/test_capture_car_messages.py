"""The demo reads the lines of the simulated car in the form in which the simulator writes them."""

import json
from dataclasses import replace

import numpy as np
import pytest

from analysis.model.findings import Cause
from analysis.model.pull import EndReason
from capture.commands.car_messages import Driven, Ports, StageDone, TruthTold, car_message
from simulators.truth import TruePull, Truth

PULL = TruePull(
    kind="sweep",
    gear=4,
    start_s=3.0,
    end_s=10.5,
    start_rpm=2000.0,
    end_rpm=6500.0,
    complete=True,
    end_reason=EndReason.LIFT,
    full_pedal_s=1.0,
    number=1,
    stage="baseline",
    closures=((4.0, 4.5),),
    engine_speed_rpm=(2050.0, 2100.0),
    wheel_torque_nm=(200.5, 201.25),
    wheel_power_kw=(43.0, 44.2),
)
KNOCKING = replace(PULL, number=2, faults=(Cause.SINGLE_CYLINDER_KNOCK,))


def test_each_line_is_a_message_of_its_own_kind() -> None:
    ports = car_message('{"engine": "a", "dyno": "b", "lambda": "c"}')
    assert isinstance(ports, Ports)
    assert ports.model_dump(by_alias=True) == {"engine": "a", "dyno": "b", "lambda": "c"}
    assert car_message('{"progress": 0.5, "stage": "baseline"}') == Driven(
        progress=0.5, stage="baseline"
    )
    assert car_message('{"stage_done": "baseline"}') == StageDone(stage_done="baseline")


def test_the_truth_is_read_and_all_of_it_is_kept() -> None:
    truth = Truth("demo", (PULL, KNOCKING), duration_s=20.0)
    message = car_message(json.dumps({"truth": truth.to_json()}))
    assert isinstance(message, TruthTold)
    healthy, knocking = message.truth.pulls
    assert (healthy.start_s, healthy.end_s, healthy.faults) == (3.0, 10.5, frozenset())
    assert knocking.faults == {Cause.SINGLE_CYLINDER_KNOCK}
    assert np.array_equal(healthy.wheel_torque_nm, PULL.wheel_torque_nm)
    assert Truth.from_json(json.loads(message.truth.model_dump_json())) == truth


def test_a_line_that_is_none_of_them_is_refused() -> None:
    with pytest.raises(ValueError, match="engine"):
        car_message('{"weather": "rain"}')
