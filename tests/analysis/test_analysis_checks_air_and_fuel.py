"""Throttle, boost, turbo, air, fuel, mixture, temperatures, drive: one planted trouble each."""

from dataclasses import replace

import numpy as np
import pytest
from engine_pulls import HEALTHY, Shape, Sweep, by_rpm, engine_pull, steady

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.model.findings import Cause, Finding, Severity
from analysis.model.limits import Limits
from analysis.model.setup import Car, Ignition, Setup
from decode.samples import FloatArray

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
TURBO = Context(setup=Setup(car=Car(displacement_l=1.6, boosted=True, max_boost_kpa=160.0)))
TARGET = HEALTHY["boost_target"][1]


def found(changed: dict[str, Shape], check: str, **more: object) -> list[Finding]:
    findings = run_checks(engine_pull(changed), LIMITS, TURBO)
    return [f for f in findings if f.check == check]


def during(shape: Shape, low_rpm: float, high_rpm: float, change: float) -> Shape:
    """A channel moved by `change` between two engine speeds of the sweep."""
    start, end = Sweep().at_rpm(low_rpm), Sweep().at_rpm(high_rpm)

    def shifted(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        inside = (time_s >= start) & (time_s < end)
        return shape(time_s, rpm) + np.where(inside, change, 0.0)

    return shifted


def scaled(shape: Shape, factor: float) -> Shape:
    return lambda time_s, rpm: factor * shape(time_s, rpm)


def test_a_closure_is_told_with_depth_place_and_trigger() -> None:
    closing = during(HEALTHY["throttle"][1], 4000, 4500, -40.0)
    over = during(TARGET, 3600, 4000, 30.0)
    (closure,) = found({"throttle": closing, "boost": over}, "throttle")
    assert closure.cause is Cause.PROTECTIVE_THROTTLE_CLOSURE
    assert "to 55 % of fully open between 4,000 and 4,500 rpm for 1.0 s" in closure.text
    assert "boost was 3" in closure.text
    assert "kPa over its target" in closure.text


def test_a_lift_is_no_closure() -> None:
    lifted = during(HEALTHY["throttle"][1], 4000, 4500, -40.0)
    pedal = during(HEALTHY["pedal"][1], 4000, 4500, -60.0)
    (throttle,) = found({"throttle": lifted, "pedal": pedal}, "throttle")
    assert throttle.severity is Severity.HEALTHY


def test_boost_that_follows_a_falling_target_is_healthy() -> None:
    (boost,) = found({}, "boost")
    assert boost.severity is Severity.HEALTHY


def test_boost_short_with_the_wastegate_commanded_shut() -> None:
    low = scaled(TARGET, 0.6)
    boost, other, *less_likely = found({"boost": low, "wastegate": steady(100.0)}, "boost")
    assert boost.cause is Cause.WASTEGATE_STUCK_OPEN
    assert "below its target" in boost.text
    assert other.severity is Severity.NOTE  # no air meter to rule a leak out by
    assert other.text == "Also possible: a boost leak (boost stayed below its target)."
    assert all(f.severity is Severity.NOTE for f in less_likely)


def test_overshoot_is_in_per_cent_of_gauge_pressure() -> None:
    boost = found({"boost": scaled(TARGET, 1.15), "wastegate": steady(0.0)}, "boost")[0]
    assert boost.value == pytest.approx(15.0, abs=2.0)
    assert "% (gauge) over its target" in boost.text
    assert boost.cause is Cause.WASTEGATE_STUCK_CLOSED


def test_over_the_turbos_own_limit_stops() -> None:
    boosts = found({"boost": scaled(TARGET, 1.4), "wastegate": steady(0.0)}, "boost")
    assert boosts[0].severity is Severity.STOP
    assert "This turbo's limit is 160 kPa" in boosts[0].text


def test_a_single_overshoot_is_no_oscillation_but_swings_are() -> None:
    swinging: Shape = lambda t, rpm: TARGET(t, rpm) + 8.0 * np.sin(2 * np.pi * 2.5 * t)  # noqa: E731
    boosts = found({"boost": swinging}, "boost")
    assert boosts[0].cause is Cause.BOOST_OSCILLATION
    assert "2.5 times a second" in " ".join(f.text for f in boosts)
    once = found({"boost": during(TARGET, 3000, 3200, 8.0)}, "boost")
    assert Cause.BOOST_OSCILLATION not in {f.cause for f in once}


def test_hot_charge_air_and_a_warm_intake_are_two_things() -> None:
    hot = found({"charge": by_rpm((1500, 45), (6500, 75))}, "air_temperatures")
    assert hot[0].cause is Cause.HOT_CHARGE_AIR
    assert "50 K over ambient" in hot[0].text
    warm = found({"charge": by_rpm((1500, 45), (6500, 55))}, "air_temperatures")
    assert {f.severity for f in warm} == {Severity.HEALTHY, Severity.NOTE}


def test_rail_pressure_that_droops() -> None:
    droop = by_rpm((1500, 20_000), (4500, 20_000), (6500, 16_000))
    fuel = found({"rail": droop}, "fuel_supply")
    assert fuel[0].cause is Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP
    assert fuel[0].value == pytest.approx(20.0, abs=1.0)
    assert "Rail pressure drooped by up to" in fuel[0].text


def test_the_low_side_explains_the_rail() -> None:
    rail = by_rpm((1500, 20_000), (4500, 20_000), (6500, 16_000))
    low = by_rpm((1500, 500), (4500, 500), (6500, 300))
    findings = run_checks(engine_pull({"rail": rail, "low_side": low}), LIMITS, TURBO)
    assert findings[0].cause is Cause.WEAK_LOW_PRESSURE_FUEL_PUMP


def test_injectors_without_time_left_and_lean() -> None:
    full = by_rpm((1500, 50), (5500, 99), (6500, 100))
    lean = by_rpm((1500, 0.92), (5500, 0.87), (6500, 0.95))
    findings = run_checks(engine_pull({"injector": full, "lambda": lean}), LIMITS, TURBO)
    assert findings[0].cause is Cause.INJECTOR_LIMIT


def test_lean_under_boost_stops_the_run() -> None:
    mixture, *also_possible = found({"lambda": steady(1.05)}, "mixture")
    assert all(f.severity is Severity.NOTE for f in also_possible)
    assert mixture.severity is Severity.STOP
    assert "ran lean under" in mixture.text


def test_hot_coolant_and_oil() -> None:
    hot = found({"coolant": steady(118.0), "oil": steady(135.0)}, "engine_temperatures")
    assert {f.cause for f in hot} == {Cause.OVERHEATING}
    assert {f.severity for f in hot} == {Severity.STOP, Severity.LOOK_CLOSER}


def test_low_oil_pressure_stops_and_a_cold_engine_is_noted() -> None:
    low = found({"oil_pressure": steady(60.0)}, "engine_temperatures")
    assert low[0].severity is Severity.STOP
    cold = found({"coolant": steady(55.0)}, "engine_temperatures")
    assert cold[-1].severity is Severity.NOTE
    assert "coolant at 55 °C" in cold[-1].text


def test_tyre_slip_and_clutch_slip_are_told_apart() -> None:
    start, end = Sweep().at_rpm(3000), Sweep().at_rpm(4000)

    def slower(shape: Shape) -> Shape:
        def slips(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
            dip = np.clip(1 - np.abs(2 * (time_s - start) / (end - start) - 1), 0, None)
            slipping: FloatArray = shape(time_s, rpm) * (1 - 0.12 * dip)
            return slipping

        return slips

    roller, wheels = HEALTHY["roller"][1], HEALTHY["wheels"][1]
    tyre = run_checks(engine_pull({"roller": slower(roller)}), LIMITS, TURBO)
    clutch = run_checks(
        engine_pull({"roller": slower(roller), "wheels": slower(wheels)}), LIMITS, TURBO
    )
    assert tyre[0].cause is Cause.TYRE_SLIP
    assert clutch[0].cause is Cause.CLUTCH_SLIP


def test_naturally_aspirated_is_not_judged_by_boost() -> None:
    gone = ("boost", "boost_target", "wastegate", "charge")
    context = replace(TURBO, setup=Setup(car=Car(boosted=False)))
    findings = run_checks(engine_pull(without=gone), LIMITS, context)
    words = {f.check: f.text for f in findings if f.check in ("boost", "turbo")}
    assert set(words.values()) == {"Not judged: nothing says that the engine is boosted."}
    assert set(words) == {"boost", "turbo"}


@pytest.mark.parametrize(
    ("pressure_kpa", "severity"), [(60.0, Severity.HEALTHY), (15.0, Severity.STOP)]
)
def test_of_an_engine_that_nobody_calls_a_cars_only_lost_oil_pressure_stops(
    pressure_kpa: float, severity: Severity
) -> None:
    """A motorcycle whose crankshaft runs in rolling bearings lives with 60 kPa at 12,000 rpm."""
    pull = engine_pull(
        {"oil_pressure": steady(pressure_kpa)},
        without=("boost", "boost_target", "wastegate"),
        sweep=Sweep(start_rpm=4000.0, end_rpm=12000.0),
    )
    findings = run_checks(pull, LIMITS, Context(setup=Setup(car=Car(cylinders=1))))
    assert {f.severity for f in findings if f.check == "engine_temperatures"} == {severity}


def test_a_diesels_exhaust_gas_has_its_stop() -> None:
    diesel = Context(setup=Setup(car=Car(ignition=Ignition.COMPRESSION, boosted=True)))
    for hot_degc, severity in ((830.0, Severity.LOOK_CLOSER), (870.0, Severity.STOP)):
        rising = by_rpm((1500, 600), (6500, hot_degc))
        findings = run_checks(engine_pull({"exhaust": rising}), LIMITS, diesel)
        told = [f for f in findings if f.check == "engine_temperatures"]
        assert [f.severity for f in told] == [severity]
