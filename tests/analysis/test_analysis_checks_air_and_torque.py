"""Torque against air: scales that cannot be, both fuels, and silence on healthy simulated cars."""

import random
from dataclasses import replace

import numpy as np
import pytest
from engine_pulls import engine_pull, steady
from simulated_pulls import judged_pulls, random_scenario

from analysis.checks.air_and_torque import CHECK, expected_kw_per_g_s
from analysis.checks.check import Context
from analysis.model.findings import Finding, Severity
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.model.setup import Car, Ignition, Setup
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, Samples
from simulators.cars import TURBO_DIESEL
from simulators.manoeuvres import Sweep

LIMITS = Limits.of(CHECK.limits, {}, "")
SPARK = Context(Setup(Car(displacement_l=1.6, boosted=True)))
DIESEL = Context(Setup(Car(ignition=Ignition.COMPRESSION, displacement_l=2.0, boosted=True)))
RPM = np.linspace(1500.0, 6500.0, 50)
POWER_KW = np.linspace(30.0, 120.0, 50)


def with_torque(pull: Pull, air_g_s_per_kw: float, torque_scale: float = 1.0) -> Pull:
    """The pull with POWER_KW as the controller tells it, and air in proportion."""
    time_s = pull.samples["engine_speed"].time_s
    rpm = np.maximum(pull.samples["engine_speed"].value, 500.0)
    power_kw = np.interp(rpm, RPM, POWER_KW)
    values = {
        Quantity.AIR_MASS_FLOW: power_kw * air_g_s_per_kw,
        Quantity.ENGINE_TORQUE: power_kw * 9549.3 / rpm * torque_scale,
    }
    channels = {q.value: Channel(q.value, HOUSE_UNIT[q], q) for q in values}
    samples = {q.value: Samples(time_s, value) for q, value in values.items()}
    return replace(
        pull, channels={**pull.channels, **channels}, samples={**pull.samples, **samples}
    )


def only(pull: Pull, context: Context = SPARK) -> Finding:
    found = [o.finding for o in CHECK.judge(pull, LIMITS, context)]
    assert len(found) == 1
    assert found[0] is not None
    return found[0]


@pytest.mark.parametrize(
    ("ignition", "mixture", "expected"),
    [
        (Ignition.SPARK, 0.85, 0.96),  # 3600 / (14.6 x 0.85 x 300) = 0.967, said as 0.96
        (Ignition.SPARK, 1.0, 0.94),  # 3600 / (14.6 x 260) = 0.948, said as 0.94
        (Ignition.SPARK, None, 0.95),
        (Ignition.COMPRESSION, 1.3, 0.868),  # 3600 / (14.5 x 1.3 x 220)
        (Ignition.COMPRESSION, None, None),
    ],
)
def test_power_of_a_gram_of_air(
    ignition: Ignition, mixture: float | None, expected: float | None
) -> None:
    found = expected_kw_per_g_s(ignition, mixture)
    assert found is expected or found == pytest.approx(expected, abs=5e-4)


@pytest.mark.parametrize(
    ("scale", "severity"),
    [
        (1.0, Severity.HEALTHY),
        (0.85, Severity.HEALTHY),
        (1.25, Severity.LOOK_CLOSER),
        (0.68, Severity.LOOK_CLOSER),
        (1.3558, Severity.LOOK_CLOSER),  # Nm in the map where the bus sends lbf ft, the other way
    ],
)
def test_a_torque_scale_that_air_does_not_bear_out(scale: float, severity: Severity) -> None:
    found = only(with_torque(engine_pull(), 1 / 0.95, scale))
    assert found.severity is severity
    if severity is Severity.LOOK_CLOSER:
        assert found.value == pytest.approx(scale, rel=0.03)
        assert "scale" in found.text


def test_without_a_meter_speed_density_speaks_only_of_what_no_filling_explains() -> None:
    def severity(scale: float) -> Severity:
        pull = with_torque(engine_pull(), 1.0, scale)
        names = [name for name in pull.channels if name != Quantity.AIR_MASS_FLOW]
        return only(
            replace(
                pull,
                channels={name: pull.channels[name] for name in names},
                samples={name: pull.samples[name] for name in names},
            )
        ).severity

    assert severity(1.0) is Severity.HEALTHY
    assert severity(2.0) is Severity.LOOK_CLOSER


def test_a_diesel_is_judged_by_its_fuel_and_not_without_lambda() -> None:
    pull = with_torque(engine_pull({"lambda": steady(1.3)}), 1 / 0.868)
    assert only(pull, DIESEL).severity is Severity.HEALTHY
    assert only(with_torque(engine_pull({"lambda": steady(1.3)}), 1.0, 1.5), DIESEL).severity is (
        Severity.LOOK_CLOSER
    )
    blind = only(with_torque(engine_pull(without=("lambda",)), 1.0), DIESEL)
    assert blind.severity is Severity.NOTE
    assert "needs lambda" in blind.text


def test_no_figure_to_compare_is_not_healthy() -> None:
    found = only(engine_pull())
    assert found.severity is Severity.NOTE
    assert "needs air_mass_flow" in found.text or "needs engine_torque" in found.text


@pytest.mark.parametrize("diesel", [False, True])
def test_healthy_simulated_cars_are_never_doubted(diesel: bool) -> None:
    for seed in range(9_000, 9_006):
        scenario = random_scenario(random.Random(seed))
        if diesel:
            sweeps = [step for step in scenario.plan if isinstance(step, Sweep)]
            assert len(sweeps) == len(scenario.plan)
            plan = tuple(replace(sweep, end_rpm=4500.0) for sweep in sweeps)
            scenario = replace(scenario, car=TURBO_DIESEL, plan=plan)
        for judged in judged_pulls(scenario, seed):
            seen = CHECK.judge(judged.pull, LIMITS, judged.context)
            assert {o.finding.severity for o in seen if o.finding} == {Severity.HEALTHY}


def test_a_roller_inertia_far_too_large_is_seen() -> None:
    judged = judged_pulls(random_scenario(random.Random(4)), 4)[-1]
    setup = judged.context.setup
    assert setup.dyno.inertia_kg_m2 is not None
    wrong = replace(setup.dyno, inertia_kg_m2=setup.dyno.inertia_kg_m2 * 12)
    seen = CHECK.judge(judged.pull, LIMITS, Context(replace(setup, dyno=wrong)))
    said = [o.finding for o in seen if o.finding]
    doubted = [f for f in said if f.severity is Severity.LOOK_CLOSER]
    assert len(doubted) == 1
    assert "The power by the dyno is at least" in doubted[0].text
