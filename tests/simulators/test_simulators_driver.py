"""What the driver does, and what the truth says of it."""

import numpy as np
import pytest

from analysis.model.findings import Cause
from analysis.model.pull import EndReason
from simulators.dyno import DynoModel, Inertia, Road
from simulators.faults import Fault
from simulators.manoeuvres import (
    Cruise,
    CruiseControl,
    Driving,
    FreeRev,
    HoldAndLift,
    Idle,
    Manoeuvre,
    RoadPull,
    Sweep,
    TipIn,
)
from simulators.scenario import Scenario
from simulators.session import SimulatedSession, simulate


def driven(*plan: Manoeuvre, dyno: DynoModel | None = None) -> SimulatedSession:
    scenario = Scenario(plan=plan) if dyno is None else Scenario(plan=plan, dyno=dyno)
    return simulate(scenario, 1)


@pytest.mark.parametrize(
    "manoeuvre",
    [Idle(3.0), HoldAndLift(), TipIn(), FreeRev(blips=1)],
    ids=lambda manoeuvre: type(manoeuvre).__name__,
)
def test_full_pedal_without_a_sweep_is_no_pull(manoeuvre: Manoeuvre) -> None:
    assert driven(Cruise(3.0), manoeuvre).truth.pulls == ()


def test_free_revving_really_revs() -> None:
    trace = driven(Idle(1.0), FreeRev(blips=1)).trace
    assert trace["engine_speed"].max() > 5000.0
    assert trace["vehicle_speed"].max() == 0.0


@pytest.mark.parametrize(("ramp", "gear", "seconds"), [(125.0, 4, 40.0), (1700.0, 2, 2.9)])
def test_slow_and_fast_ramps_take_their_time(ramp: float, gear: int, seconds: float) -> None:
    sweep = Sweep(gear=gear, ramp_rpm_s=ramp, hold_s=0.0)
    (pull,) = driven(Cruise(3.0, gear), sweep).truth.pulls
    assert pull.end_s - pull.start_s == pytest.approx(seconds, rel=0.05)


def test_an_aborted_pull_is_incomplete() -> None:
    (pull,) = driven(Cruise(3.0), Sweep(abort_rpm=4000.0)).truth.pulls
    assert not pull.complete
    assert pull.end_rpm == pytest.approx(4000.0, abs=20.0)


def test_a_lift_and_reapply_are_two_pulls() -> None:
    first, second = driven(Cruise(3.0), Sweep(abort_rpm=4000.0, reapply_s=0.6)).truth.pulls
    assert not first.complete
    assert second.complete
    assert 0.5 < second.start_s - first.end_s < 1.3


def test_the_limiter_ends_the_pull_at_its_first_cut_and_bounces() -> None:
    session = driven(Cruise(3.0), Sweep(end_rpm=7500.0, limiter_s=1.5))
    (pull,) = session.truth.pulls
    assert pull.end_reason is EndReason.LIMITER
    limiting = session.trace["limiting"]
    assert limiting[session.trace["time"] < pull.end_s - 0.02].max() == 0.0
    assert np.count_nonzero(np.diff(limiting) > 0.0) > 3


def test_a_gear_change_on_the_road_makes_two_pulls() -> None:
    first, second = driven(RoadPull(), dyno=Road()).truth.pulls
    assert (first.gear, second.gear) == (2, 3)
    assert first.end_reason is EndReason.GEAR_CHANGE
    assert second.end_reason is EndReason.LIFT
    assert second.start_rpm < first.end_rpm - 1000.0


def test_an_inertia_dyno_cannot_hold_but_sweeps() -> None:
    (pull,) = driven(Cruise(3.0), Sweep(), dyno=Inertia()).truth.pulls
    assert pull.full_pedal_s == pull.start_s
    assert pull.complete


def test_spinning_wheels_leave_the_roller_behind() -> None:
    spin = Fault(Cause.TYRE_SLIP, 1.0, {"grip": 0.95})
    session = simulate(Scenario(plan=(Cruise(3.0), Sweep()), faults=(spin,)), 1)
    slip = 1.0 - session.trace["roller_speed"] / np.maximum(session.trace["vehicle_speed"], 1.0)
    assert slip.max() > 0.2
    assert len(session.truth.pulls) == 1


@pytest.mark.slow
def test_traffic_and_cruise_control_hold_no_pull() -> None:
    session = driven(CruiseControl(20.0), Driving(120.0), dyno=Road())
    trace = session.trace
    assert session.truth.pulls == ()
    assert trace["pedal_position"].max() <= 70.0
    assert trace["vehicle_speed"].max() > 40.0
    assert trace["engine_speed"].min() > 300.0  # never stalls


def test_cruise_control_moves_the_throttle_under_a_resting_foot() -> None:
    trace = driven(CruiseControl(20.0), dyno=Road()).trace
    alone = trace["time"] > trace["time"][-1] - 18.0
    assert trace["pedal_position"][alone].max() == 0.0
    assert np.ptp(trace["throttle_position"][alone]) > 10.0
