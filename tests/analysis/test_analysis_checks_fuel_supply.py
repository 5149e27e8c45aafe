"""Fuel supply: lag is no weak pump, a controlled lift pump is none, and a sagging one is."""

from dataclasses import replace

import numpy as np
import pytest
from engine_pulls import Shape, Sweep, by_rpm, engine_pull

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.checks.stretches import lasting
from analysis.model.findings import Cause, Finding, Severity
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.model.setup import Car, Setup
from decode.quantities import Quantity
from decode.samples import FloatArray

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
TURBO = Context(setup=Setup(car=Car(cylinders=4, displacement_l=1.6, boosted=True)))
# A quick sweep, and a rail target that more than doubles in it: what is late looks short.
QUICK = Sweep(duration_s=4.0, noise={Quantity.ENGINE_SPEED: 4.0, Quantity.FUEL_PRESSURE_HIGH: 60.0})
RISES_KPA = ([3.0, 6.0], [8_000.0, 20_000.0])


def rising(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
    return np.interp(time_s, *RISES_KPA)


def late(delay_s: float, constant_s: float) -> Shape:
    """The rising target, late by a delay and a first order (in closed form, of a ramp)."""

    def shape(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        (start_s, end_s), (low, high) = RISES_KPA
        slope = (high - low) / (end_s - start_s)

        def ramp_from(begin_s: float) -> FloatArray:
            since = np.maximum(time_s - delay_s - begin_s, 0.0)
            if constant_s == 0.0:
                return slope * since
            lagging: FloatArray = slope * (since - constant_s * (1 - np.exp(-since / constant_s)))
            return lagging

        return low + ramp_from(start_s) - ramp_from(end_s)

    return shape


def fuel(pull: Pull, context: Context = TURBO) -> list[Finding]:
    return [f for f in run_checks(pull, LIMITS, context) if f.check == "fuel_supply"]


@pytest.mark.parametrize("rate_hz", [1.0, 2.0, 5.0, 10.0, 50.0])
@pytest.mark.parametrize(("delay_s", "constant_s"), [(0.0, 0.25), (0.15, 0.25), (0.4, 0.0)])
def test_a_rail_that_follows_late_is_healthy(
    delay_s: float, constant_s: float, rate_hz: float
) -> None:
    rates_hz = {"rail": rate_hz, "rail_target": rate_hz}
    for seed in range(3):
        pull = engine_pull(
            {"rail_target": rising, "rail": late(delay_s, constant_s)},
            sweep=replace(QUICK, seed=seed),
            rates_hz=rates_hz,
        )
        assert {f.severity for f in fuel(pull)} == {Severity.HEALTHY}


def test_a_rail_that_follows_late_would_be_short_without_its_lag() -> None:
    time_s = np.linspace(3.0, 7.0, 200)
    target, actual = rising(time_s, time_s), late(0.15, 0.25)(time_s, time_s)
    assert (100 * (1 - actual / target)).max() > 12.0


def test_the_lag_is_said() -> None:
    (finding,) = fuel(engine_pull({"rail_target": rising, "rail": late(0.15, 0.25)}, sweep=QUICK))
    assert "It follows its target 0.39 s late, which is allowed for." in finding.text


@pytest.mark.parametrize("rate_hz", [5.0, 10.0, 50.0])
def test_a_weak_pump_behind_a_rising_target_stays_one(rate_hz: float) -> None:
    def sagging(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        full = late(0.1, 0.1)(time_s, rpm)
        short: FloatArray = full * (1.0 - 0.2 * np.clip((rpm - 4_000.0) / 2_000.0, 0.0, 1.0))
        return short

    pull = engine_pull(
        {"rail_target": rising, "rail": sagging},
        sweep=QUICK,
        rates_hz={"rail": rate_hz, "rail_target": rate_hz},
    )
    first, *_ = fuel(pull)
    assert first.cause is Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP
    assert first.value is not None
    assert first.value > 12.0


def test_a_lift_pump_controlled_by_demand_is_not_judged_without_its_target() -> None:
    demand = by_rpm((1500, 620), (3000, 560), (6500, 480))
    findings = fuel(engine_pull({"low_side": demand}, without=("low_side_target",)))
    assert all(not f.severity.is_trouble for f in findings)
    (note,) = [f for f in findings if f.severity is Severity.NOTE]
    assert note.text.startswith("Low-side fuel pressure not judged: no target is logged")
    assert "It fell from 619 kPa to 481 kPa" in note.text
    assert note.cause is None


def test_a_lift_pump_that_rises_with_demand_is_no_trouble() -> None:
    rises = by_rpm((1500, 350), (6500, 600))
    findings = fuel(engine_pull({"low_side": rises}, without=("low_side_target",)))
    assert all(not f.severity.is_trouble for f in findings)


def test_a_pump_that_held_one_pressure_at_part_load_and_full_is_judged_by_it() -> None:
    def tip_in(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return np.where((time_s > 1.5) & (time_s < 13.0), 100.0, 20.0)

    droops = by_rpm((1500, 500), (4500, 500), (6500, 400))
    pull = engine_pull({"low_side": droops, "pedal": tip_in}, without=("low_side_target",))
    first, *_ = fuel(pull)
    assert first.cause is Cause.WEAK_LOW_PRESSURE_FUEL_PUMP
    assert "where 500 kPa stood before the sweep" in first.text


def test_a_pump_is_judged_by_the_pulls_before_at_the_same_speed() -> None:
    demand = by_rpm((1500, 620), (3000, 560), (6500, 480))
    weaker = by_rpm((1500, 620), (4000, 530), (6500, 380))
    before = engine_pull({"low_side": demand}, without=("low_side_target",))
    context = replace(TURBO, earlier=(before,))
    same = fuel(engine_pull({"low_side": demand}, without=("low_side_target",)), context)
    assert {f.severity for f in same} == {Severity.HEALTHY}
    first, *_ = fuel(engine_pull({"low_side": weaker}, without=("low_side_target",)), context)
    assert first.cause is Cause.WEAK_LOW_PRESSURE_FUEL_PUMP
    assert "than in the pulls before" in first.text


def test_a_low_side_that_collapses_is_told_without_any_target() -> None:
    collapses = by_rpm((1500, 500), (4500, 480), (6500, 200))
    first, *_ = fuel(engine_pull({"low_side": collapses}, without=("low_side_target",)))
    assert first.severity is Severity.LOOK_CLOSER
    assert first.cause is Cause.WEAK_LOW_PRESSURE_FUEL_PUMP
    assert "no control lowers it that far" in first.text


def test_a_healthy_finding_never_prints_a_value_beyond_its_limit() -> None:
    start = Sweep().at_rpm(5000)

    def dips(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return np.where((time_s > start) & (time_s < start + 0.2), 15_000.0, 20_000.0)

    def jumps(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return np.where((time_s > start) & (time_s < start + 0.2), 97.0, 60.0)

    for changed in ({"rail": dips}, {"injector": jumps}):
        (finding,) = fuel(engine_pull(changed))
        assert finding.severity is Severity.HEALTHY
        assert finding.value is not None
        assert finding.limit is not None
        assert finding.value <= finding.limit
        assert "or less than 0.3 s" in finding.text


def test_a_moment_beyond_the_stop_limit_is_not_yet_a_stop() -> None:
    def shape(depth: float, for_s: float) -> Shape:
        start = Sweep().at_rpm(5000)

        def droop(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
            deep = (time_s > start) & (time_s < start + for_s)
            return np.where(
                deep, 20_000.0 * (1 - depth), np.where(time_s > 9.0, 18_000.0, 20_000.0)
            )

        return droop

    assert fuel(engine_pull({"rail": shape(0.35, 0.15)}))[0].severity is Severity.LOOK_CLOSER
    assert fuel(engine_pull({"rail": shape(0.35, 1.0)}))[0].severity is Severity.STOP


def test_the_level_that_lasts_is_exceeded_only_for_less() -> None:
    time_s = np.arange(0.0, 2.0, 0.05)
    value = np.where((time_s > 0.5) & (time_s < 0.62), 20.0, 3.0)
    assert lasting(time_s, value, 0.3) == 3.0
    assert lasting(time_s, value, 0.05) == 20.0


def test_injectors_with_little_reserve_are_told_where_the_mixture_holds() -> None:
    busy = by_rpm((1500, 50), (5500, 90), (6500, 96))
    notes = [f for f in fuel(engine_pull({"injector": busy})) if f.severity is Severity.NOTE]
    assert "hardly any reserve" in notes[0].text
    assert notes[0].cause is None
    (unknown,) = fuel(engine_pull({"injector": busy}, without=("lambda_target",)))
    assert unknown.cause is Cause.INJECTOR_LIMIT


def test_injectors_that_are_always_open_are_at_their_limit_though_the_mixture_holds() -> None:
    full = by_rpm((1500, 50), (5500, 99.5), (6500, 100))
    first, *_ = fuel(engine_pull({"injector": full}))
    assert first.cause is Cause.INJECTOR_LIMIT
