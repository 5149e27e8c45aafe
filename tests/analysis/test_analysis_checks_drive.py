"""Drive: a late speed, a converter and a change of gear are no slip; a slipping clutch is."""

from dataclasses import replace

import numpy as np
import pytest
from engine_pulls import HEALTHY, Shape, Sweep, engine_pull

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.checks.gear_shift import shifts, without_shifts
from analysis.model.findings import Cause, Finding, Severity
from analysis.model.limits import Limits
from analysis.model.pull import EndReason, Pull
from analysis.model.setup import Car, Setup
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, FloatArray, Samples

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
TURBO = Context(setup=Setup(car=Car(cylinders=4, displacement_l=1.6, boosted=True)))
ON_THE_ROAD = ("roller", "ambient")
QUICK = Sweep(duration_s=4.0)  # 1,250 rpm a second: what comes late is far behind
SLOW_KM_H = 33.0  # rpm for each km/h


def drive(pull: Pull, context: Context = TURBO) -> list[Finding]:
    return [f for f in run_checks(pull, LIMITS, context) if f.check == "drive"]


def is_well(findings: list[Finding]) -> bool:
    return not any(f.severity.is_trouble for f in findings)


@pytest.mark.parametrize("rate_hz", [2.0, 5.0, 10.0, 50.0])
@pytest.mark.parametrize("late_s", [0.1, 0.25])
def test_a_wheel_speed_that_comes_late_is_no_slip(late_s: float, rate_hz: float) -> None:
    def late(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return QUICK.rpm(time_s - late_s) / SLOW_KM_H

    pull = engine_pull(
        {"wheels": late}, without=ON_THE_ROAD, sweep=QUICK, rates_hz={"wheels": rate_hz}
    )
    assert is_well(drive(pull))


def converter(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
    """Locked while cruising, open at full pedal: a tenth of slip that falls as speed rises."""
    slip = np.where(time_s < 2.5, 0.0, 0.14 * np.clip(1.0 - (rpm - 1500.0) / 6000.0, 0.0, 1.0))
    return rpm / SLOW_KM_H * (1.0 - slip)


def test_a_converter_that_opens_at_full_pedal_is_no_slipping_clutch() -> None:
    def tip_in(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return np.where((time_s > 2.4) & (time_s < 13.0), 100.0, 20.0)

    findings = drive(engine_pull({"wheels": converter, "pedal": tip_in}, without=ON_THE_ROAD))
    assert is_well(findings)
    assert Cause.CLUTCH_SLIP not in {f.cause for f in findings}


@pytest.mark.parametrize("rate_hz", [10.0, 50.0])
def test_a_clutch_that_slips_as_torque_peaks_is_found(rate_hz: float) -> None:
    def slips(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return rpm / SLOW_KM_H * (1.0 - 0.08 * np.clip((rpm - 2600.0) / 600.0, 0.0, 1.0))

    first, *_ = drive(
        engine_pull({"wheels": slips}, without=ON_THE_ROAD, rates_hz={"wheels": rate_hz})
    )
    assert first.cause is Cause.CLUTCH_SLIP
    assert first.settled_by is not None
    assert "gear" not in first.settled_by.text  # the clutch has the engine's torque in any gear


def test_one_reading_that_went_wrong_is_no_slip_and_not_held_either() -> None:
    wrong_s = Sweep().at_rpm(4000)

    def one_wrong(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return rpm / SLOW_KM_H * np.where(np.abs(time_s - wrong_s) < 0.4, 0.9, 1.0)

    findings = drive(
        engine_pull({"wheels": one_wrong}, without=ON_THE_ROAD, rates_hz={"wheels": 1.25})
    )
    assert is_well(findings)
    assert all(f.value is None or f.limit is None or f.value <= f.limit for f in findings)


def with_gear(pull: Pull, at_s: float) -> Pull:
    """Third gear, fourth from a time on, told ten times a second."""
    time_s = np.arange(0.0, 14.0, 0.1)
    channel = Channel("gear", HOUSE_UNIT[Quantity.GEAR], Quantity.GEAR)
    gear = Samples(time_s, np.where(time_s < at_s, 3.0, 4.0))
    return replace(
        pull,
        channels={**pull.channels, "gear": channel},
        samples={**pull.samples, "gear": gear},
    )


SHIFT_S = Sweep().at_rpm(4500)


def dipping(healthy: Shape, factor: float) -> Shape:
    """A channel that falls for 0.4 s while the gear changes."""

    def shape(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        dips = (time_s > SHIFT_S - 0.1) & (time_s < SHIFT_S + 0.3)
        return healthy(time_s, rpm) * np.where(dips, factor, 1.0)

    return shape


SHIFTING = {
    "throttle": dipping(HEALTHY["throttle"][1], 0.5),
    "boost": dipping(HEALTHY["boost"][1], 0.7),
    "rail": dipping(HEALTHY["rail"][1], 0.7),
    "lambda": dipping(HEALTHY["lambda"][1], 1.4),
}


def test_what_dips_while_the_gear_changes_is_not_judged() -> None:
    shifted = with_gear(engine_pull(SHIFTING), SHIFT_S)
    findings = run_checks(shifted, LIMITS, TURBO)
    assert not [f.text for f in findings if f.severity.is_trouble]
    (said,) = [f for f in findings if "The gear changed" in f.text]
    assert said.severity is Severity.NOTE


def test_the_same_dips_without_a_change_of_gear_are_judged() -> None:
    found = {
        f.check for f in run_checks(engine_pull(SHIFTING), LIMITS, TURBO) if f.severity.is_trouble
    }
    assert {"throttle", "fuel_supply"} <= found


def test_a_pull_that_a_change_of_gear_ended_is_not_judged_at_its_end() -> None:
    pull = engine_pull(SHIFTING)
    ended = replace(
        pull, bounds=replace(pull.bounds, end_s=SHIFT_S + 0.2, end_reason=EndReason.GEAR_CHANGE)
    )
    assert not [f.text for f in run_checks(ended, LIMITS, TURBO) if f.severity.is_trouble]


def test_a_fall_of_engine_speed_at_full_pedal_before_the_sweep_is_a_shift() -> None:
    def shape(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return np.where(time_s < 2.2, 6_000.0, np.maximum(rpm, 3_500.0))

    pull = engine_pull({"engine_speed": shape}, sweep=Sweep(start_rpm=3_500.0))
    (found,) = shifts(pull)
    assert found.start_s < 2.2 < found.end_s
    kept = without_shifts(pull).samples
    assert len(kept["engine_speed"]) == len(pull.samples["engine_speed"])
    assert len(kept["boost"].between(found.start_s, found.end_s)) == 0


def test_a_healthy_pull_has_no_change_of_gear() -> None:
    pull = engine_pull()
    assert shifts(pull) == []
    assert without_shifts(pull) is pull


def test_a_slip_that_ends_is_no_change_of_gear() -> None:
    start_s, end_s = Sweep().at_rpm(3000), Sweep().at_rpm(4000)

    def slips(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        there = (time_s > start_s) & (time_s < end_s)
        return rpm / SLOW_KM_H * np.where(there, 0.75, 1.0)

    pull = engine_pull({"wheels": slips}, without=ON_THE_ROAD)
    assert shifts(pull) == []
    assert drive(pull)[0].cause is Cause.CLUTCH_SLIP


def test_a_gear_that_changes_between_two_slow_readings_is_seen_by_the_ratio() -> None:
    """Engine speed stands still from one reading to the next, and the car is a third faster."""

    def next_gear(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return rpm / SLOW_KM_H * np.where(time_s > SHIFT_S, 1.3, 1.0)

    pull = engine_pull({"wheels": next_gear}, without=ON_THE_ROAD, rates_hz={"wheels": 1.0})
    (found,) = shifts(pull)
    assert found.start_s < SHIFT_S < found.end_s


def test_slow_readings_that_leave_a_slip_open_are_not_called_held() -> None:
    findings = drive(engine_pull(without=ON_THE_ROAD, sweep=QUICK, rates_hz={"wheels": 1.0}))
    assert [f.severity for f in findings if f.check == "drive"] == [Severity.NOTE]
