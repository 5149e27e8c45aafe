"""Each fault changes what it should, more when it is worse, and leaves its mark in the truth."""

from functools import lru_cache

import numpy as np
import pytest

from analysis.model.findings import Cause
from decode.samples import FloatArray
from simulators.faults import Fault
from simulators.manoeuvres import Cruise, Sweep
from simulators.scenario import Scenario
from simulators.session import SimulatedSession, simulate

PLAN = (Cruise(4.0), Sweep(ramp_rpm_s=750.0))


@lru_cache(maxsize=64)
def session(cause: Cause | None, severity: float = 1.0) -> SimulatedSession:
    faults = () if cause is None else (Fault(cause, severity),)
    return simulate(Scenario(plan=PLAN, faults=faults), 4)


def swept(of: SimulatedSession, name: str) -> FloatArray:
    """A trace signal inside the pull."""
    (pull,) = of.truth.pulls
    inside = (of.trace["time"] >= pull.start_s) & (of.trace["time"] <= pull.end_s)
    return of.trace[name][inside]


def at_speed(of: SimulatedSession, name: str, rpm: float) -> float:
    speed, value = swept(of, "engine_speed"), swept(of, name)
    order = np.argsort(speed)
    return float(np.interp(rpm, speed[order], value[order]))


@pytest.mark.parametrize("cause", list(Cause))
def test_a_fault_is_in_the_truth(cause: Cause) -> None:
    assert session(cause, 0.6).truth.pulls[0].faults == (cause,)


def test_low_octane_takes_ignition_from_every_cylinder_and_more_when_worse() -> None:
    mild, severe = (session(Cause.LOW_OCTANE_FUEL, s).truth.pulls[0].retard_deg for s in (0.3, 1))
    assert min(mild) >= 3.0
    assert min(severe) > min(mild)


def test_single_cylinder_knock_is_of_one_cylinder() -> None:
    retard = session(Cause.SINGLE_CYLINDER_KNOCK).truth.pulls[0].retard_deg
    assert retard[1] >= 6.0
    assert max(retard[0], retard[2], retard[3]) <= 3.0


def test_a_latent_hot_spot_shows_only_when_the_charge_is_hot() -> None:
    cold = Fault(Cause.SINGLE_CYLINDER_KNOCK, 1.0, {"cylinder": 3, "above_charge_degc": 90.0})
    (pull,) = simulate(Scenario(plan=PLAN, faults=(cold,)), 4).truth.pulls
    assert pull.faults == ()


def test_hot_charge_air_is_hot_and_late() -> None:
    well, ill = session(None), session(Cause.HOT_CHARGE_AIR)
    assert swept(ill, "charge_air_temperature")[-1] > (
        swept(well, "charge_air_temperature")[-1] + 20.0
    )
    assert at_speed(ill, "ignition_target", 5000) < at_speed(well, "ignition_target", 5000) - 2.0


def test_a_leak_costs_boost_at_low_speed_and_the_wastegate_works_harder_above() -> None:
    well, ill = session(None), session(Cause.BOOST_LEAK)
    assert at_speed(ill, "boost_pressure", 3000) < at_speed(well, "boost_pressure", 3000) - 12.0
    assert at_speed(ill, "wastegate_duty", 5500) > at_speed(well, "wastegate_duty", 5500) + 3.0


def test_wastegate_stuck_open_and_closed() -> None:
    opened, closed = session(Cause.WASTEGATE_STUCK_OPEN), session(Cause.WASTEGATE_STUCK_CLOSED)
    assert at_speed(opened, "boost_pressure", 3500) < at_speed(opened, "boost_target", 3500) - 40
    assert at_speed(opened, "wastegate_duty", 3500) == pytest.approx(100.0)
    over = swept(closed, "boost_pressure") - swept(closed, "boost_target")
    assert over.max() > 30.0
    assert swept(closed, "wastegate_duty").min() == 0.0


def test_oscillation_swings_around_the_target() -> None:
    def swing(of: SimulatedSession) -> float:
        late = swept(of, "engine_speed") > 3800.0
        error = (swept(of, "boost_pressure") - swept(of, "boost_target"))[late]
        return float(np.std(np.diff(error)))

    assert swing(session(Cause.BOOST_OSCILLATION)) > 2.5 * swing(session(None))


def test_restrictions_make_the_turbo_work_for_the_same_boost() -> None:
    well, filter_ = session(None), session(Cause.RESTRICTED_INTAKE)
    hot = "compressor_outlet_temperature"
    assert at_speed(filter_, hot, 6000) > at_speed(well, hot, 6000) + 10.0
    assert at_speed(filter_, "turbo_speed", 6000) > at_speed(well, "turbo_speed", 6000) * 1.05
    exhaust = session(Cause.RESTRICTED_EXHAUST)
    assert at_speed(exhaust, "engine_torque", 6000) < at_speed(well, "engine_torque", 6000) * 0.97
    assert at_speed(exhaust, "wastegate_duty", 6000) > at_speed(well, "wastegate_duty", 6000) + 5


def test_weak_pumps_lose_their_own_pressure() -> None:
    def share(of: SimulatedSession, which: str) -> float:
        actual, target = (swept(of, f"fuel_pressure_{which}{end}") for end in ("", "_target"))
        return float((actual / target).min())

    low, high = (
        session(cause, 0.6)
        for cause in (Cause.WEAK_LOW_PRESSURE_FUEL_PUMP, Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP)
    )
    assert share(low, "low") < 0.85 < 0.95 < share(low, "high")
    assert share(high, "high") < 0.85 < 0.95 < share(high, "low")
    assert share(session(None), "low") > 0.98


def test_injectors_at_their_limit_run_lean() -> None:
    ill = session(Cause.INJECTOR_LIMIT)
    assert swept(ill, "injector_duty").max() == 100.0
    assert (swept(ill, "lambda") - swept(ill, "lambda_target")).max() > 0.04


@pytest.mark.parametrize("trigger", ["torque_limit", "over_boost"])
def test_protection_closes_the_throttle_under_full_pedal(trigger: str) -> None:
    fault = Fault(Cause.PROTECTIVE_THROTTLE_CLOSURE, 1.0, {"trigger": trigger})
    ill = simulate(Scenario(plan=PLAN, faults=(fault,)), 4)
    (pull,) = ill.truth.pulls
    assert pull.closures
    assert swept(ill, "throttle_position").min() < 60.0
    assert swept(ill, "pedal_position").min() == 100.0


def test_misfire_counts_and_leans_the_exhaust() -> None:
    ill = session(Cause.MISFIRE)
    assert np.ptp(swept(ill, "misfire_count")) > 50
    assert np.ptp(swept(session(None), "misfire_count")) == 0
    assert (swept(ill, "lambda") - swept(ill, "lambda_target")).max() > 0.05


def test_slip_of_tyre_and_clutch_show_in_different_ratios() -> None:
    def spread(of: SimulatedSession, above: str, below: str) -> float:
        ratio = swept(of, above) / swept(of, below)
        return float(ratio.max() / ratio.min())

    tyre, clutch = session(Cause.TYRE_SLIP), session(Cause.CLUTCH_SLIP)
    assert spread(tyre, "vehicle_speed", "roller_speed") > 1.03
    assert spread(tyre, "engine_speed", "vehicle_speed") < 1.005
    assert spread(clutch, "engine_speed", "vehicle_speed") > 1.1
    assert spread(session(None), "engine_speed", "roller_speed") < 1.02


def test_overheating_is_hot() -> None:
    assert swept(session(Cause.OVERHEATING), "coolant_temperature").max() > 115.0


@pytest.mark.parametrize("mode", ["stuck", "clipped", "offset", "dropout"])
def test_a_broken_sensor_changes_its_own_channel_alone(mode: str) -> None:
    fault = Fault(Cause.SENSOR_FAULT, 1.0, {"channel": "oil_pressure", "mode": mode})
    well, ill = session(None), simulate(Scenario(plan=PLAN, faults=(fault,)), 4)
    assert not np.array_equal(ill.samples["oil_pressure"].value, well.samples["oil_pressure"].value)
    np.testing.assert_array_equal(
        ill.samples["engine_speed"].value, well.samples["engine_speed"].value
    )


def test_a_sensor_fault_of_an_unknown_mode_is_refused() -> None:
    fault = Fault(Cause.SENSOR_FAULT, 1.0, {"channel": "oil_pressure", "mode": "sulking"})
    with pytest.raises(ValueError, match="sulking"):
        simulate(Scenario(plan=(Cruise(2.0),), faults=(fault,)), 1)


def test_a_clock_offset_shifts_the_dyno_alone() -> None:
    ill, well = session(Cause.CLOCK_OFFSET, 0.5), session(None)
    shift = ill.samples["roller_speed"].time_s[0] - well.samples["roller_speed"].time_s[0]
    assert shift == pytest.approx(0.3)
    assert ill.samples["engine_speed"].time_s[0] == well.samples["engine_speed"].time_s[0]
