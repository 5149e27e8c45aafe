"""Oil pressure against what the car itself showed: in this sweep, and in the pulls before."""

from dataclasses import replace

import numpy as np
from engine_pulls import HEALTHY, Shape, by_rpm, engine_pull, steady

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.model.findings import Finding, Severity
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.model.setup import Car, Setup, Vehicle
from decode.samples import FloatArray

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
TURBO = Context(setup=Setup(car=Car(cylinders=4, displacement_l=1.6, boosted=True)))
NATURAL = Context(setup=Setup(car=Car(vehicle=Vehicle.MOTORCYCLE, boosted=False)))


def engine(pull: Pull, context: Context = TURBO) -> list[Finding]:
    return [f for f in run_checks(pull, LIMITS, context) if f.check == "engine_temperatures"]


def share_of_healthy(share: float) -> Shape:
    return lambda time_s, rpm: HEALTHY["oil_pressure"][1](time_s, rpm) * share


def test_a_pressure_that_the_relief_valve_holds_is_well() -> None:
    relief = by_rpm((1500, 250), (3000, 420), (6500, 415))
    assert {f.severity for f in engine(engine_pull({"oil_pressure": relief}))} == {Severity.HEALTHY}


def test_a_pressure_that_falls_while_speed_rises_is_looked_at() -> None:
    def air_in_the_oil(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return np.where((rpm > 5000) & (rpm < 5800), 190.0, np.minimum(rpm * 0.08 + 100.0, 400.0))

    first, *_ = engine(engine_pull({"oil_pressure": air_in_the_oil}))
    assert first.severity is Severity.LOOK_CLOSER
    assert first.text.startswith("Oil pressure fell to 190 kPa")
    assert "it had been at 400 kPa" in first.text


def test_a_pressure_well_below_the_pulls_before_is_looked_at() -> None:
    before = replace(TURBO, earlier=(engine_pull(),))
    lower = engine_pull({"oil_pressure": share_of_healthy(0.6)})
    first, *_ = engine(lower, before)
    assert first.severity is Severity.LOOK_CLOSER
    assert "in the pulls before it had at least" in first.text
    assert {f.severity for f in engine(lower)} == {Severity.HEALTHY}  # alone it is no danger


def test_warmer_oil_has_less_pressure_and_that_is_no_fault() -> None:
    before = replace(TURBO, earlier=(engine_pull({"oil": steady(90.0)}),))
    warmer = engine_pull({"oil_pressure": share_of_healthy(0.65), "oil": steady(110.0)})
    assert {f.severity for f in engine(warmer, before)} == {Severity.HEALTHY}
    as_warm = engine_pull({"oil_pressure": share_of_healthy(0.65), "oil": steady(90.0)})
    assert engine(as_warm, before)[0].severity is Severity.LOOK_CLOSER


def test_an_engine_made_for_little_pressure_is_judged_by_its_own_past() -> None:
    little = by_rpm((1500, 45), (4000, 70), (6500, 72))
    before = replace(NATURAL, earlier=(engine_pull({"oil_pressure": little}),))
    findings = engine(engine_pull({"oil_pressure": little}), before)
    assert {f.severity for f in findings} == {Severity.HEALTHY}


def test_a_third_of_the_usual_pressure_is_looked_at_on_the_first_pull() -> None:
    first, *_ = engine(engine_pull({"oil_pressure": share_of_healthy(0.33)}))
    assert first.severity is Severity.LOOK_CLOSER
    assert "an engine of this kind has at least" in first.text
    assert first.value is not None
    assert first.limit is not None
    assert first.value < first.limit


def test_a_single_in_rolling_bearings_may_have_little() -> None:
    single = Context(setup=Setup(car=Car(cylinders=1, vehicle=Vehicle.MOTORCYCLE, boosted=False)))
    little = by_rpm((1500, 40), (6500, 90))
    findings = engine(engine_pull({"oil_pressure": little}), single)
    assert {f.severity for f in findings} == {Severity.HEALTHY}
