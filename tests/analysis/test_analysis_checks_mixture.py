"""Mixture: a late probe is no lean engine, and lambda 1 is no fault by itself."""

from dataclasses import replace

import numpy as np
import pytest
from engine_pulls import HEALTHY, Shape, by_rpm, engine_pull, steady

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.model.findings import Cause, Finding, Severity, worst
from analysis.model.limits import Limits
from analysis.model.setup import Car, FullLoad, Ignition, Setup
from decode.quantities import Quantity
from decode.samples import Channel, FloatArray, Samples

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
TURBO = Context(setup=Setup(car=Car(boosted=True)))
DIESEL = Context(setup=Setup(car=Car(boosted=True, ignition=Ignition.COMPRESSION)))
KNOCK = tuple(name for name in HEALTHY if name.startswith("retard_"))
TIP_IN_S = 2.9


def judged(
    changed: dict[str, Shape],
    context: Context = TURBO,
    without: tuple[str, ...] = (),
    rates_hz: dict[str, float] | None = None,
) -> list[Finding]:
    pull = engine_pull(changed, without=without, rates_hz=rates_hz)
    return [f for f in run_checks(pull, LIMITS, context) if f.check == "mixture"]


def tipped_in(time_s: FloatArray) -> FloatArray:
    return np.where(time_s < TIP_IN_S, 0.0, 1.0)


def wanted(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
    """Stoichiometric at part load, then what full load asks for: richer the faster."""
    full_load = np.interp(time_s, [TIP_IN_S, 13.0], [0.90, 0.82])
    return np.where(time_s < TIP_IN_S, 1.0, full_load)


def late(shape: Shape, delay_s: float, constant_s: float, extra: Shape | None = None) -> Shape:
    """What a probe reads of it, with so much delay and time constant."""

    def read(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        fine_s = np.arange(-5.0, float(time_s[-1]) + 0.01, 0.01)
        true = shape(fine_s, fine_s)
        if extra is not None:
            true = true + extra(fine_s, fine_s)
        seen = np.empty(len(fine_s))
        seen[0] = true[0]
        for i in range(1, len(fine_s)):
            seen[i] = seen[i - 1] + (true[i] - seen[i - 1]) * min(1.0, 0.01 / (constant_s + 0.01))
        return np.interp(time_s - delay_s, fine_s, seen)

    return read


PEDAL: dict[str, Shape] = {
    "pedal": lambda t, rpm: np.where((t >= TIP_IN_S) & (t < 13.0), 100.0, 20.0),
    "lambda_target": wanted,
}


def overrun(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
    """Air without fuel until just before the pedal goes down, whatever the target says."""
    return np.where(time_s < TIP_IN_S, 0.6, 0.0)


@pytest.mark.parametrize(("delay_s", "constant_s"), [(0.1, 0.05), (0.5, 0.2), (0.8, 0.2)])
@pytest.mark.parametrize("rate_hz", [10.0, 50.0])
def test_a_probe_that_comes_late_after_the_pedal_is_no_lean_mixture(
    delay_s: float, constant_s: float, rate_hz: float
) -> None:
    for before in (None, overrun):
        probe = late(wanted, delay_s, constant_s, before)
        found = judged({**PEDAL, "lambda": probe}, rates_hz={"lambda": rate_hz})
        assert worst(f.severity for f in found) is Severity.HEALTHY, found


def test_what_the_lag_was_is_said() -> None:
    (found,) = judged({**PEDAL, "lambda": late(wanted, 0.6, 0.2)})
    assert "The probe comes 0.8 s behind its target" in found.text


def test_a_mixture_that_leans_out_is_found_behind_a_late_probe_too() -> None:
    leaning: Shape = lambda t, rpm: np.interp(t, [7.0, 10.0], [0.0, 0.16])  # noqa: E731
    found = judged({**PEDAL, "lambda": late(wanted, 0.8, 0.2, leaning)})
    assert found[0].severity is Severity.STOP
    assert "ran lean under" in found[0].text


def test_a_step_of_the_target_has_one_lag_of_grace() -> None:
    stepped: Shape = lambda t, rpm: np.where(t < 7.0, 0.98, 0.84)  # noqa: E731
    found = judged({"lambda_target": stepped, "lambda": late(stepped, 0.4, 0.3)})
    assert worst(f.severity for f in found) is Severity.HEALTHY
    stayed: Shape = lambda t, rpm: np.where(t < 9.5, 0.98, 0.84)  # noqa: E731
    found = judged({"lambda_target": stepped, "lambda": late(stayed, 0.4, 0.3)})
    assert found[0].severity is Severity.STOP


def test_the_lift_is_no_part_of_it() -> None:
    lifted: Shape = lambda t, rpm: np.where(t > 12.95, 1.6, HEALTHY["lambda"][1](t, rpm))  # noqa: E731
    found = judged({"lambda": lifted})
    assert worst(f.severity for f in found) is Severity.HEALTHY


def test_one_reading_of_a_slow_probe_is_no_lasting_state() -> None:
    once: Shape = lambda t, rpm: np.where((t > 8.0) & (t < 8.6), 1.05, HEALTHY["lambda"][1](t, rpm))  # noqa: E731
    found = judged({"lambda": once}, rates_hz={"lambda": 2.0})
    assert worst(f.severity for f in found) is Severity.HEALTHY


def test_a_healthy_mixture_prints_no_value_beyond_its_limit() -> None:
    once: Shape = lambda t, rpm: np.where((t > 8.0) & (t < 8.2), 1.05, HEALTHY["lambda"][1](t, rpm))  # noqa: E731
    for changed in ({"lambda": once}, {"lambda": by_rpm((1500, 0.90), (6500, 0.78))}, {}):
        (found,) = judged(changed)
        assert found.severity is Severity.HEALTHY
        assert found.value is None or found.limit is None or found.value <= found.limit


def test_stoichiometric_full_load_is_healthy_where_it_is_asked_for_or_the_exhaust_is_cool() -> None:
    asked = judged({"lambda": steady(1.0), "lambda_target": steady(1.0)})
    assert [f.severity for f in asked] == [Severity.HEALTHY]
    (cool,) = judged({"lambda": steady(1.0)}, without=("lambda_target",))
    assert cool.severity is Severity.HEALTHY
    assert "exhaust gas at 910 °C at most" in cool.text
    made_for_it = Context(setup=Setup(car=Car(boosted=True, full_load=FullLoad.STOICHIOMETRIC)))
    (stated,) = judged({"lambda": steady(1.0)}, made_for_it, without=("lambda_target", "exhaust"))
    assert stated.severity is Severity.HEALTHY


def test_nobody_knows_of_lambda_one_without_target_and_exhaust_temperature() -> None:
    rich = Context(setup=Setup(car=Car(boosted=True, full_load=FullLoad.ENRICHED)))
    (lean,) = [
        f
        for f in judged({"lambda": steady(0.99)}, rich, without=("lambda_target", "exhaust"))
        if f.severity.is_trouble
    ]
    assert "is not to run leaner than 0.95" in lean.text
    (open_,) = judged(
        {"lambda": by_rpm((1500, 0.97), (6500, 0.99))}, without=("lambda_target", "exhaust")
    )
    assert open_.severity is Severity.NOTE
    assert "Mixture not judged" in open_.text


def test_enrichment_that_comes_late_is_no_lean_mixture() -> None:
    delayed: Shape = lambda t, rpm: np.where(t < 7.0, 1.0, 0.87)  # noqa: E731
    found = judged({"lambda": late(delayed, 0.1, 0.1)}, without=("lambda_target",))
    assert worst(f.severity for f in found) is Severity.HEALTHY


def test_far_leaner_than_one_under_boost_is_a_stop_without_a_target_too() -> None:
    found = judged({"lambda": steady(1.15)}, without=("lambda_target",))
    assert found[0].severity is Severity.STOP
    assert "Boost was " in found[0].text


def test_a_diesel_is_judged_by_its_smoke() -> None:
    without = ("lambda_target", *KNOCK)
    (well,) = judged({"lambda": steady(1.2)}, DIESEL, without)
    assert well.severity is Severity.HEALTHY
    assert "below 1.05 it would smoke" in well.text
    (smokes, *_) = judged({"lambda": steady(0.99)}, DIESEL, without)
    assert smokes.severity is Severity.LOOK_CLOSER
    dip: Shape = lambda t, rpm: np.where((t > 6.0) & (t < 6.6), 1.0, 1.2)  # noqa: E731
    (moment,) = judged({"lambda": dip}, DIESEL, without)
    assert moment.severity is Severity.HEALTHY


def test_rich_beyond_sense_is_noted() -> None:
    found = judged({"lambda": steady(0.66), "lambda_target": steady(0.66)})
    assert {f.severity for f in found} == {Severity.HEALTHY, Severity.NOTE}
    assert any("washes the oil off" in f.text for f in found)


def trimmed(shape: Shape, changed: dict[str, Shape] | None = None) -> tuple[Finding, ...]:
    pull = engine_pull(changed)
    time_s = pull.samples["coolant"].time_s
    trim = Channel("trim", "%", Quantity.FUEL_TRIM_LONG)
    pull = replace(
        pull,
        channels={**pull.channels, "trim": trim},
        samples={**pull.samples, "trim": Samples(time_s, shape(time_s, time_s))},
    )
    return run_checks(pull, LIMITS, TURBO)


@pytest.mark.parametrize(
    ("percent", "words"), [(18.0, "had to add 18 %"), (-18.0, "had to take 18 %")]
)
def test_trims_with_both_pressures_right_are_the_fuel_or_its_quantity(
    percent: float, words: str
) -> None:
    found = trimmed(steady(percent))
    assert words in found[0].text
    named = {f.cause for f in found if f.cause is not None}
    assert named == {Cause.ETHANOL_CONTENT, Cause.FUEL_QUANTITY_ERROR}


def test_lean_with_both_pressures_right_is_the_fuel_quantity() -> None:
    found = judged({"lambda": lambda t, rpm: HEALTHY["lambda"][1](t, rpm) + 0.09})
    assert found[0].cause is Cause.FUEL_QUANTITY_ERROR


def test_trims_of_the_closed_loop_before_the_pull_count_where_full_load_has_none() -> None:
    part_load: Shape = lambda t, rpm: np.where(t < TIP_IN_S, 15.0, 0.0)  # noqa: E731
    found = trimmed(part_load, PEDAL)
    assert "Before the pull, at part load, the trims had to add 15 %" in found[0].text
    assert found[0].cause in (Cause.ETHANOL_CONTENT, Cause.FUEL_QUANTITY_ERROR)


def test_a_lean_mixture_is_found_though_its_probe_seems_to_come_late() -> None:
    """Lambda that stays at one while the target goes down looks like a very long lag at first."""
    found = judged({**PEDAL, "lambda": lambda t, rpm: np.interp(rpm, [1500, 6500], [1.01, 0.96])})
    assert found[0].cause is Cause.FUEL_QUANTITY_ERROR
    assert "ran lean" in found[0].text
    assert "comes" not in found[0].text  # a lag that may be none is not said
