"""What kind of engine a pull is judged as: stated, else shown by the pull, else unknown."""

from dataclasses import replace

import numpy as np
import pytest
from engine_pulls import HEALTHY, Shape, Sweep, by_rpm, engine_pull, steady

from analysis.checks import DEFAULT_LIMITS, impossible, run_checks
from analysis.checks.check import Context
from analysis.checks.kinds import kind_of
from analysis.model.engine_kind import EngineKind, Trait
from analysis.model.findings import ENGINE_KIND, Cause
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.model.setup import Air, Car, FullLoad, Ignition, Induction, Setup, Vehicle
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, FloatArray, Samples

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
KNOCK = tuple(name for name in HEALTHY if name.startswith("retard_"))
PRESSURES = ("boost", "boost_target", "wastegate")
NOTHING = Setup()


def kind(pull: Pull, setup: Setup = NOTHING, earlier: tuple[Pull, ...] = ()) -> EngineKind:
    return kind_of(pull, earlier, setup)


def with_manifold(pull: Pull, kpa: Shape) -> Pull:
    """The pull with absolute manifold pressure beside its channels."""
    speed = pull.samples["engine_speed"]
    channel = Channel(
        "manifold", HOUSE_UNIT[Quantity.MANIFOLD_PRESSURE], Quantity.MANIFOLD_PRESSURE
    )
    return replace(
        pull,
        channels={**pull.channels, "manifold": channel},
        samples={
            **pull.samples,
            "manifold": Samples(speed.time_s, kpa(speed.time_s, speed.value)),
        },
    )


def test_a_manifold_far_above_the_air_is_boosted_though_no_barometer_is_known() -> None:
    bare = engine_pull(without=(*PRESSURES, "barometric"))
    assert kind(with_manifold(bare, steady(225.0))).induction is Induction.UNKNOWN_COMPRESSOR
    assert kind(with_manifold(bare, steady(99.0))).induction is Induction.NATURALLY_ASPIRATED
    assert kind(bare).induction is None


def test_what_was_measured_outweighs_a_file_that_says_there_is_no_compressor() -> None:
    pull = with_manifold(engine_pull(without=PRESSURES), steady(225.0))
    found = kind(pull, Setup(Car(boosted=False)))
    assert found.is_boosted
    assert "though the station file says" in found.inferred[Trait.INDUCTION].text


def test_what_only_a_turbo_has_names_it_and_a_channel_that_stays_at_nothing_does_not() -> None:
    assert kind(engine_pull()).induction is Induction.TURBOCHARGER
    idle = engine_pull({"wastegate": steady(0.0)}, without=("boost", "boost_target"))
    assert kind(idle).induction is None


def pressing(rise_s: float) -> Shape:
    """Boost after the pedal goes down at 1.8 s, a second and more before the sweep, with the time
    constant of what makes it."""

    def shape(time_s: FloatArray, speed: FloatArray) -> FloatArray:
        since_s = np.maximum(time_s - 1.8, 0.0)
        return 45.0 * (1.0 - np.exp(-since_s / rise_s))

    return shape


def pedal(time_s: FloatArray, speed: FloatArray) -> FloatArray:
    return np.where((time_s >= 1.8) & (time_s < 13.0), 100.0, 10.0)


@pytest.mark.parametrize(
    ("rise_s", "without", "induction"),
    [
        (0.1, ("boost_target", "wastegate"), Induction.BLOWER),
        (0.8, ("boost_target", "wastegate"), Induction.UNKNOWN_COMPRESSOR),
        (0.1, ("wastegate",), Induction.UNKNOWN_COMPRESSOR),  # boost that is controlled
        (0.8, ("wastegate",), Induction.TURBOCHARGER),
    ],
)
def test_boost_that_comes_with_the_pedal_is_a_blowers(
    rise_s: float, without: tuple[str, ...], induction: Induction
) -> None:
    pull = engine_pull({"boost": pressing(rise_s), "pedal": pedal}, without=without)
    assert kind(pull).induction is induction


@pytest.mark.parametrize(
    ("changed", "without", "sweep", "ignition"),
    [
        ({}, (), Sweep(), Ignition.SPARK),  # knock retard is logged
        ({"rail": steady(140_000.0)}, KNOCK, Sweep(end_rpm=4500.0), Ignition.COMPRESSION),
        ({}, (*KNOCK, "lambda", "lambda_target"), Sweep(end_rpm=7000.0), Ignition.SPARK),
        (
            {"lambda": steady(0.86)},
            (*KNOCK, "lambda_target"),
            Sweep(end_rpm=5000.0),
            Ignition.SPARK,
        ),
        (
            {"lambda": by_rpm((1500, 1.3), (4500, 1.2))},
            (*KNOCK, "lambda_target"),
            Sweep(end_rpm=4500.0),
            Ignition.COMPRESSION,
        ),
        # a petrol engine that goes lean is not taken for a diesel
        (
            {"lambda": by_rpm((1500, 0.9), (3000, 1.2), (5000, 1.3))},
            (*KNOCK, "lambda_target"),
            Sweep(end_rpm=5000.0),
            None,
        ),
        ({"lambda": steady(1.2)}, KNOCK, Sweep(end_rpm=5000.0), Ignition.SPARK),  # by its target
    ],
)
def test_how_it_lights_its_mixture_is_seen_by_what_only_one_kind_has(
    changed: dict[str, Shape], without: tuple[str, ...], sweep: Sweep, ignition: Ignition | None
) -> None:
    assert kind(engine_pull(changed, without, sweep)).ignition is ignition


@pytest.mark.parametrize(
    ("changed", "without", "full_load"),
    [
        ({}, (), FullLoad.ENRICHED),
        ({"lambda_target": steady(1.0)}, (), FullLoad.STOICHIOMETRIC),
        ({"lambda": steady(1.0)}, ("lambda_target",), FullLoad.STOICHIOMETRIC),
        ({"lambda": by_rpm((1500, 0.94), (6500, 1.06))}, ("lambda_target",), None),
    ],
)
def test_full_load_is_known_by_the_target_or_a_mixture_that_stays(
    changed: dict[str, Shape], without: tuple[str, ...], full_load: FullLoad | None
) -> None:
    assert kind(engine_pull(changed, without)).full_load is full_load


def test_what_a_pull_does_not_show_an_earlier_one_of_the_stage_may() -> None:
    bare = engine_pull(
        without=(*PRESSURES, *KNOCK, "lambda", "lambda_target"), sweep=Sweep(end_rpm=6000.0)
    )
    assert kind(bare).ignition is None
    found = kind(bare, earlier=(engine_pull(),))
    assert (found.ignition, found.induction) == (Ignition.SPARK, Induction.TURBOCHARGER)


def test_an_engine_that_turns_faster_than_any_cars_is_a_motorcycles() -> None:
    assert kind(engine_pull(sweep=Sweep(end_rpm=12_500.0))).vehicle is Vehicle.MOTORCYCLE
    assert kind(engine_pull()).vehicle is None


def test_what_was_inferred_is_said_and_what_is_stated_is_not() -> None:
    (said,) = [f for f in run_checks(engine_pull(), LIMITS, Context()) if f.check == ENGINE_KIND]
    assert said.text == (
        "What the station file leaves open was taken from the pull. Judged as a spark-ignition "
        "engine: knock_retard is logged. Judged as an engine with a turbocharger: wastegate_duty "
        "is logged."
    )
    stated = Setup(Car(ignition=Ignition.SPARK, induction=Induction.TURBOCHARGER))
    findings = run_checks(engine_pull(), LIMITS, Context(stated))
    assert not [f for f in findings if f.check == ENGINE_KIND]


@pytest.mark.parametrize(
    ("car", "cannot", "can"),
    [
        (Car(ignition=Ignition.COMPRESSION), {Cause.LOW_OCTANE_FUEL, Cause.BOOST_LEAK}, set()),
        (Car(induction=Induction.BLOWER), {Cause.WASTEGATE_STUCK_OPEN}, {Cause.BOOST_LEAK}),
        (Car(induction=Induction.TURBOCHARGER), set(), {Cause.WASTEGATE_STUCK_OPEN}),
        (Car(), {Cause.BOOST_LEAK}, {Cause.LOW_OCTANE_FUEL}),
    ],
)
def test_causes_belong_to_kinds(car: Car, cannot: set[Cause], can: set[Cause]) -> None:
    found = impossible(engine_pull(without=PRESSURES), Context(Setup(car, air=Air(98.0))))
    assert cannot <= found
    assert not can & found
