"""Throttle: what closes after it was open is protection; what the controller leads open is not."""

from dataclasses import replace

import numpy as np
from engine_pulls import HEALTHY, Shape, Sweep, by_rpm, engine_pull

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.model.findings import Cause, Finding, Severity
from analysis.model.limits import Limits
from analysis.model.pull import EndReason, Pull
from analysis.model.setup import Car, Ignition, Setup
from decode.samples import FloatArray

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
TURBO = Context(setup=Setup(car=Car(cylinders=4, displacement_l=1.6, boosted=True)))
DIESEL = Context(setup=Setup(car=Car(ignition=Ignition.COMPRESSION, boosted=True)))


def throttle(pull: Pull, context: Context = TURBO) -> list[Finding]:
    """What the check says; not which other causes are possible."""
    found = [f for f in run_checks(pull, LIMITS, context) if f.check == "throttle"]
    return [f for f in found if not f.statements[0].key.startswith("explain-also-possible")]


def closing(from_s: float, for_s: float, to: float) -> Shape:
    def shape(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        closed = (time_s >= from_s) & (time_s < from_s + for_s)
        return np.where(closed, to, HEALTHY["throttle"][1](time_s, rpm))

    return shape


SECOND_FLAP = by_rpm((1500, 35), (4500, 88), (6500, 88))


def test_a_flap_that_opens_with_speed_is_led_and_not_closed() -> None:
    (finding,) = throttle(engine_pull({"throttle": SECOND_FLAP}))
    assert finding.severity is Severity.HEALTHY
    assert "from 4,000 rpm to 6,500 rpm" in finding.text.replace("4,000 to", "4,000 rpm to")
    assert "At 1,500 rpm it stood at 40 % of that: the controller opens it" in finding.text
    assert finding.value is not None
    assert finding.limit is not None
    assert finding.value >= finding.limit


def test_a_throttle_led_open_that_closes_afterwards_has_closed() -> None:
    def shape(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return np.where((rpm > 5_500) & (time_s < 13.0), 50.0, SECOND_FLAP(time_s, rpm))

    (finding,) = throttle(engine_pull({"throttle": shape}))
    assert finding.cause is Cause.PROTECTIVE_THROTTLE_CLOSURE
    assert finding.where is not None
    assert finding.where.start_rpm is not None
    assert finding.where.start_rpm > 5_400


def test_a_throttle_that_follows_the_pedal_late_has_not_closed() -> None:
    """Read five times a second: the first reading in the sweep is of before the tip-in."""

    def late(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return np.where((time_s < 3.1) | (time_s > 13.0), 30.0, 88.0)

    def tip_in(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return np.where((time_s > 2.7) & (time_s < 13.0), 100.0, 20.0)

    pull = engine_pull({"throttle": late, "pedal": tip_in}, rates_hz={"throttle": 5.0})
    assert {f.severity for f in throttle(pull)} == {Severity.HEALTHY}


def test_a_closure_before_the_sweep_that_stays_is_found() -> None:
    """Open at the tip-in, then shut by the controller before the brake lets go."""
    shape = closing(1.0, 5.0, 45.0)
    (finding,) = throttle(engine_pull({"throttle": shape}))
    assert finding.cause is Cause.PROTECTIVE_THROTTLE_CLOSURE


def test_a_change_of_gear_that_ends_the_pull_closes_the_throttle_too() -> None:
    end_s = 9.0
    pull = engine_pull({"throttle": closing(end_s - 0.2, 0.6, 40.0)})
    bounds = replace(pull.bounds, end_s=end_s, end_reason=EndReason.GEAR_CHANGE)
    assert {f.severity for f in throttle(replace(pull, bounds=bounds))} == {Severity.HEALTHY}


def test_a_diesels_flap_that_moves_is_told_and_not_judged() -> None:
    (finding,) = throttle(engine_pull({"throttle": closing(8.0, 1.0, 40.0)}), DIESEL)
    assert finding.severity is Severity.NOTE
    assert "moved in the pull, to 40 % at the least" in finding.text
    (spark,) = throttle(engine_pull({"throttle": closing(8.0, 1.0, 40.0)}))
    assert spark.severity is Severity.LOOK_CLOSER


def test_without_a_pedal_nothing_is_said_of_the_pedal() -> None:
    pull = engine_pull({"throttle": closing(8.0, 1.0, 40.0)}, without=("pedal",))
    (finding,) = throttle(pull)
    assert "no pedal is logged" in finding.text
    assert "while the pedal was down" not in finding.text


def test_a_dip_too_short_for_a_closure_leaves_the_value_within_its_limit() -> None:
    (finding,) = throttle(engine_pull({"throttle": closing(8.0, 0.08, 40.0)}, sweep=Sweep()))
    assert finding.severity is Severity.HEALTHY
    assert finding.value is not None
    assert finding.limit is not None
    assert finding.value >= finding.limit
