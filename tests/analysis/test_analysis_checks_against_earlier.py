"""A car against its own earlier pulls: leaks, belts, filters that no absolute limit would see."""

from dataclasses import replace

import numpy as np
import pytest
from engine_pulls import Shape, Sweep, by_rpm, engine_pull

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.against_earlier import Curve, change
from analysis.checks.check import Context
from analysis.model.findings import Cause, Finding, Severity
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.model.setup import Air, Car, Induction, Setup, Vehicle
from analysis.physics.thermodynamics import speed_density_g_s
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, FloatArray, Samples

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
AIR = Air(98.0, 20.0, 50.0)
TURBO = Context(Setup(Car(cylinders=4, induction=Induction.TURBOCHARGER), air=AIR))
BLOWER = Context(Setup(Car(cylinders=4, induction=Induction.BLOWER), air=AIR))
NATURAL = Context(Setup(Car(cylinders=4, induction=Induction.NATURALLY_ASPIRATED), air=AIR))
PRESSURES = ("boost", "boost_target", "wastegate")


def with_channel(pull: Pull, quantity: Quantity, shape: Shape, noise: float = 0.0) -> Pull:
    """The pull with one more channel."""
    speed = pull.samples["engine_speed"]
    chance = np.random.default_rng(int(pull.samples["engine_speed"].value.sum()) % 2**32)
    value = shape(speed.time_s, speed.value) + chance.normal(0.0, noise, len(speed.time_s))
    return replace(
        pull,
        channels={**pull.channels, quantity: Channel(quantity, HOUSE_UNIT[quantity], quantity)},
        samples={**pull.samples, quantity: Samples(speed.time_s, value)},
    )


def breathing(leak: float, seed: int, meter: float = 1.0) -> Pull:
    """A turbocharged pull with its air meter, which sees what leaks; it repeats within 1 %."""
    chance = np.random.default_rng(seed)
    repeats = 1.0 + 0.01 * chance.standard_normal()

    def flow(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        boost = by_rpm((1500, 60), (2800, 130), (6500, 55))(time_s, rpm)
        charge = by_rpm((1500, 35), (6500, 42))(time_s, rpm)
        filling = by_rpm((1500, 0.86), (4000, 0.93), (6500, 0.84))(time_s, rpm)
        taken = speed_density_g_s(filling, 1.6, rpm, 98.0 + boost, charge)
        return meter * repeats * (1.0 + leak) * taken

    return with_channel(engine_pull(sweep=Sweep(seed=seed)), Quantity.AIR_MASS_FLOW, flow, 0.5)


def found(pull: Pull, context: Context, check: str) -> list[Finding]:
    return [f for f in run_checks(pull, LIMITS, context) if f.check == check]


@pytest.mark.parametrize("earlier", [1, 3])
def test_a_leak_of_an_eighth_of_the_flow_is_found_against_the_cars_own_pulls(earlier: int) -> None:
    """No displacement is known: the engine is compared with itself."""
    right = 0
    for seed in range(20):
        before = tuple(breathing(0.0, 1_000 * seed + k) for k in range(earlier))
        context = replace(TURBO, earlier=before)
        trouble = [
            f for f in found(breathing(0.13, seed), context, "turbo") if f.severity.is_trouble
        ]
        right += bool(trouble) and trouble[0].cause is Cause.BOOST_LEAK
    assert right >= 18


def test_healthy_pulls_of_one_car_are_not_told_apart() -> None:
    for seed in range(20):
        before = tuple(breathing(0.0, 1_000 * seed + k) for k in range(3))
        said = found(breathing(0.0, seed), replace(TURBO, earlier=before), "turbo")
        assert not [f for f in said if f.severity.is_trouble]


def test_pulls_with_the_leak_do_not_become_the_reference() -> None:
    before = (breathing(0.0, 1), *(breathing(0.13, seed) for seed in range(2, 6)))
    said = found(breathing(0.13, 9), replace(TURBO, earlier=before), "turbo")
    assert any("than in the earlier pull of this stage" in f.text for f in said)


def test_too_little_in_common_says_nothing() -> None:
    def curve_of(pull: Pull) -> Curve:
        speed = pull.sweep(pull.samples["engine_speed"])
        return Curve(speed.value, np.ones(len(speed)))

    low = engine_pull(sweep=Sweep(start_rpm=1500.0, end_rpm=3000.0))
    context = replace(TURBO, earlier=(low,))
    assert change(engine_pull(), context, curve_of, lambda share: False) is None


def blown(share: float, end_kpa: float = 62.0, seed: int = 1) -> Pull:
    boost = by_rpm((1500, 50 * share), (6500, end_kpa * share))
    return engine_pull(
        {"boost": boost}, without=("boost_target", "wastegate"), sweep=Sweep(seed=seed)
    )


def test_a_blower_that_follows_engine_speed_is_healthy() -> None:
    (said,) = found(blown(1.0), BLOWER, "blower")
    assert said.severity is Severity.HEALTHY
    assert not found(blown(1.0), BLOWER, "boost")


def test_a_blower_that_gives_less_than_before_has_a_slipping_belt() -> None:
    context = replace(BLOWER, earlier=(blown(1.0, seed=2), blown(1.0, seed=3)))
    first, *_ = run_checks(blown(0.85), LIMITS, context)
    assert (first.severity, first.cause) == (Severity.LOOK_CLOSER, Cause.BELT_SLIP)
    assert "15 % below that of the 2 earlier pulls" in first.text


def test_a_blower_whose_boost_falls_with_speed_has_a_slipping_belt() -> None:
    first, *_ = run_checks(blown(1.0, end_kpa=30.0), LIMITS, BLOWER)
    assert (first.severity, first.cause) == (Severity.LOOK_CLOSER, Cause.BELT_SLIP)


def dropping(kpa: float, offset_kpa: float = 0.0) -> Pull:
    """A naturally aspirated pull whose intake takes so much at the top of its sweep."""

    def manifold(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return np.round(98.0 - offset_kpa - kpa * (rpm / 6500.0) ** 2)

    pull = engine_pull(without=PRESSURES)
    return with_channel(pull, Quantity.MANIFOLD_PRESSURE, manifold)


@pytest.mark.parametrize(
    ("pull", "earlier", "severity"),
    [
        (dropping(3.0), (), Severity.HEALTHY),
        (dropping(12.0), (), Severity.LOOK_CLOSER),
        (dropping(7.5), (), Severity.HEALTHY),
        (dropping(7.5), (dropping(2.0),), Severity.LOOK_CLOSER),
        (dropping(3.0, offset_kpa=9.0), (), Severity.NOTE),  # two sensors that do not agree
    ],
)
def test_a_restricted_intake_shows_by_the_manifold_at_full_throttle(
    pull: Pull, earlier: tuple[Pull, ...], severity: Severity
) -> None:
    (said,) = found(pull, replace(NATURAL, earlier=earlier), "intake")
    assert said.severity is severity
    if severity is Severity.LOOK_CLOSER:
        assert said.cause is Cause.RESTRICTED_INTAKE


def test_a_motorcycles_intake_may_take_more() -> None:
    car = replace(NATURAL.setup.car, vehicle=Vehicle.MOTORCYCLE)
    context = replace(NATURAL, setup=replace(NATURAL.setup, car=car))
    (said,) = found(dropping(11.0), context, "intake")
    assert said.severity is Severity.HEALTHY


@pytest.mark.parametrize(
    ("car", "top_rpm", "severity"),
    [
        (Car(turbo_max_speed_rpm=200_000.0), 190_000.0, Severity.HEALTHY),
        (Car(turbo_max_speed_rpm=200_000.0), 206_000.0, Severity.STOP),
        (Car(compressor_wheel_mm=50.0), 200_000.0, Severity.HEALTHY),  # 524 m/s
        (Car(compressor_wheel_mm=50.0), 222_000.0, Severity.LOOK_CLOSER),  # 581 m/s
        (Car(compressor_wheel_mm=50.0), 245_000.0, Severity.STOP),  # 641 m/s
    ],
)
def test_turbo_speed_alone_tells_an_overspeed(car: Car, top_rpm: float, severity: Severity) -> None:
    known = replace(
        TURBO.setup.car,
        turbo_max_speed_rpm=car.turbo_max_speed_rpm,
        compressor_wheel_mm=car.compressor_wheel_mm,
    )
    setup = replace(TURBO.setup, car=known)
    pull = with_channel(
        engine_pull(),
        Quantity.TURBO_SPEED,
        by_rpm((1500, 90_000), (6500, top_rpm)),
    )
    first, *_ = found(pull, replace(TURBO, setup=setup), "turbo")
    assert first.severity is severity
    if severity.is_trouble:
        assert first.cause is Cause.TURBO_OVERSPEED


def requested(short: float, seed: int = 1) -> Pull:
    pull = engine_pull(sweep=Sweep(seed=seed))
    asked: Shape = by_rpm((1500, 180), (3000, 250), (6500, 200))
    pull = with_channel(pull, Quantity.TORQUE_REQUEST, asked)
    return with_channel(pull, Quantity.ENGINE_TORQUE, lambda t, rpm: asked(t, rpm) * (1.0 - short))


def test_a_request_above_what_the_engine_gives_is_told_and_not_accused() -> None:
    said = [f for f in found(requested(0.15), TURBO, "turbo") if f.limit is not None]
    assert {f.severity for f in said} == {Severity.NOTE}
    assert "The request may be more than this engine gives" in said[0].text


def test_torque_further_below_its_request_than_before_is() -> None:
    context = replace(TURBO, earlier=(requested(0.02, 2), requested(0.03, 3)))
    first, *_ = found(requested(0.10), context, "turbo")
    assert (first.severity, first.cause) == (Severity.LOOK_CLOSER, Cause.RESTRICTED_EXHAUST)
