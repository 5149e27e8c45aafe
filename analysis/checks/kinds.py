"""The kind of engine, from what the pull shows, where the station file does not state it.

Only evidence that another kind cannot give counts: a manifold well above any air pressure is
boosted, retard by knock control is spark, a rail of a hundred megapascal is a diesel's. What the
evidence leaves open stays unknown, and nothing is judged by a guess.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, Final, TypeVar

import numpy as np

from analysis.checks.boost_pressure import barometric_kpa, gauge_boost
from analysis.checks.stretches import at
from analysis.model.engine_kind import EngineKind, Trait, stated_kind
from analysis.model.pull import Pull
from analysis.model.setup import FullLoad, Ignition, Induction, Setup, Vehicle
from analysis.phrases.say import amount, rpm, say, word
from analysis.phrases.statement import Statement
from decode.cadence import period_s
from decode.quantities import Quantity

SPARK_CHANNELS: Final = (
    Quantity.KNOCK_RETARD,
    Quantity.KNOCK_LEVEL,
    Quantity.IGNITION_TIMING,
    Quantity.IGNITION_TARGET,
)
# Common practice, no published source: a common-rail diesel at full load has 120 to 250 MPa, direct
# injection of petrol at most 50. No diesel of a road vehicle turns 6,200 rpm, none runs richer than
# lambda 1.0 without a cloud of smoke, and no petrol engine gives power at 1.15 all the way.
DIESEL_RAIL_KPA: Final = 80_000.0
DIESEL_ENDS_RPM: Final = 6_200.0
SPARK_LAMBDA: Final = 0.95
DIESEL_LAMBDA: Final = 1.15
LEAN_ENDS_RPM: Final = 5_600.0  # an engine that revs higher and runs lean is in trouble
BOOSTED_KPA: Final = 15.0  # over ambient: tuned intakes and ram air reach 5, a weak spring 20
NATURAL_KPA: Final = 8.0  # under it to the end, with a throttle that is open
STANDARD_KPA: Final = 101.325  # where no barometer is known; with BOOSTED_KPA over any air there is
NEARLY_MOST: Final = 0.9  # quantile: one high sample decides nothing
# A blower gives its boost with the throttle; a turbo has to spool.
BEFORE_S: Final = 1.0  # eased for so long, a turbo has lost most of its speed
INSTANT_S: Final = 0.4  # filling of the intake and the lag of a usual sensor
LATER_S: Final = 1.5
INSTANT_SHARE: Final = 0.85
INSTANT_PERIOD_S: Final = 0.1  # read no slower than this
EASED_SHARE: Final = 0.5  # of full demand
# Mixture at full load, by the target or by a measured mixture that stays where it is.
STOICHIOMETRIC: Final = (0.98, 1.02)
STEADY: Final = 0.02  # half of the spread between the quantiles
MOTORCYCLE_RPM: Final = 9_500.0  # no engine of a car in series turns faster

WORDS: Final[dict[Ignition | Induction, str]] = {
    Ignition.SPARK: "engine-kind-spark",
    Ignition.COMPRESSION: "engine-kind-compression",
    Induction.NATURALLY_ASPIRATED: "engine-kind-naturally-aspirated",
    Induction.TURBOCHARGER: "engine-kind-turbocharger",
    Induction.BLOWER: "engine-kind-blower",
    Induction.UNKNOWN_COMPRESSOR: "engine-kind-boosted",
}

T = TypeVar("T")
Evidence = tuple[T, Statement]  # what it shows, and as what, as part of a sentence


def kind_of(pull: Pull, earlier: Sequence[Pull], setup: Setup) -> EngineKind:
    """What the station file states, filled up with what this pull, or else an earlier one of the
    stage, shows; the newest first, for it is the pull that is judged."""
    kind, pulls = stated_kind(setup.car), (pull, *reversed(earlier))
    if kind.ignition is None:
        kind = _taken(kind, Trait.IGNITION, _first(_ignition, pulls))
    kind = _taken(kind, Trait.INDUCTION, _induction(kind, pulls, setup))
    if kind.closed_loop_boost is None:
        kind = _taken(kind, Trait.CLOSED_LOOP_BOOST, _first(_closed_loop, pulls))
    if kind.full_load is None:
        by_ignition = (FullLoad.LEAN, say("engine-kind-diesel")) if kind.is_diesel else None
        kind = _taken(kind, Trait.FULL_LOAD, by_ignition or _first(_full_load, pulls))
    if kind.vehicle is None:
        kind = _taken(kind, Trait.VEHICLE, _first(_vehicle, pulls))
    return kind


def kind_statements(kind: EngineKind) -> tuple[Statement, ...]:
    """What the engine was taken for, and from what; none where the station file states it."""
    told = [trait for trait in (Trait.IGNITION, Trait.INDUCTION) if trait in kind.inferred]
    return tuple(
        say(
            "engine-kind-taken-for",
            kind=say(WORDS[getattr(kind, trait)]),
            evidence=kind.inferred[trait],
        )
        for trait in told
    )


def _taken(kind: EngineKind, trait: Trait, found: Evidence[object] | None) -> EngineKind:
    if found is None:
        return kind
    value, evidence = found
    changed: dict[str, Any] = {
        trait.value: value,
        "inferred": {**kind.inferred, trait: evidence},
    }
    return replace(kind, **changed)


def _first(look: Callable[[Pull], Evidence[T] | None], pulls: Sequence[Pull]) -> Evidence[T] | None:
    return next((found for pull in pulls if (found := look(pull)) is not None), None)


def _ignition(pull: Pull) -> Evidence[Ignition] | None:
    logged = next((q for q in SPARK_CHANNELS if pull.first(q) is not None), None)
    if logged is not None:
        return Ignition.SPARK, say("engine-kind-logged", quantity=word(logged))
    rail_kpa = _middle(pull, Quantity.FUEL_PRESSURE_HIGH)
    if rail_kpa is not None and rail_kpa >= DIESEL_RAIL_KPA:
        return Ignition.COMPRESSION, say(
            "engine-kind-diesel-rail", rail=amount(rail_kpa / 1000, "MPa")
        )
    if pull.bounds.end_rpm >= DIESEL_ENDS_RPM:
        return Ignition.SPARK, say("engine-kind-revs", speed=rpm(pull.bounds.end_rpm))
    target = _middle(pull, Quantity.LAMBDA_TARGET)
    mixture = target if target is not None else _middle(pull, Quantity.LAMBDA)
    if mixture is None:
        return None
    if mixture <= SPARK_LAMBDA:
        return Ignition.SPARK, say("engine-kind-rich", mixture=amount(mixture, "1", 2))
    leanest_moment = _quantile(pull, Quantity.LAMBDA, 1.0 - NEARLY_MOST) or mixture
    if min(mixture, leanest_moment) >= DIESEL_LAMBDA and pull.bounds.end_rpm <= LEAN_ENDS_RPM:
        return Ignition.COMPRESSION, say("engine-kind-lean", mixture=amount(mixture, "1", 2))
    return None


def _induction(kind: EngineKind, pulls: Sequence[Pull], setup: Setup) -> Evidence[Induction] | None:
    """Which compressor, where the station file names none. Measured boost outweighs a file that
    says there is none: a finding says so."""
    if kind.induction in (Induction.TURBOCHARGER, Induction.BLOWER):
        return None
    turbo = _first(_turbo_channel, pulls)
    boost = _first(lambda pull: _boost(pull, setup), pulls)
    if turbo is None and boost is None:
        if kind.induction is not None:
            return None
        return _first(lambda pull: _without_boost(pull, setup), pulls)
    if turbo is not None:
        return turbo
    assert boost is not None
    if kind.is_diesel:
        return Induction.TURBOCHARGER, boost[1]
    if kind.induction is Induction.NATURALLY_ASPIRATED:
        return boost[0], say("engine-kind-though-stated", evidence=boost[1])
    instant = any(_is_instant(pull, setup) for pull in pulls)
    has_target = any(pull.first(Quantity.BOOST_TARGET) is not None for pull in pulls)
    if instant and not has_target:
        return Induction.BLOWER, say("engine-kind-boost-instant")
    if has_target and not instant:
        return Induction.TURBOCHARGER, say(
            "engine-kind-logged", quantity=word(Quantity.BOOST_TARGET)
        )
    return boost if kind.induction is not Induction.UNKNOWN_COMPRESSOR else None


def _turbo_channel(pull: Pull) -> Evidence[Induction] | None:
    """Only a turbo has them; a channel that stays at nothing is one of a map made for others."""
    for quantity in (Quantity.TURBO_SPEED, Quantity.WASTEGATE_DUTY):
        if (_quantile(pull, quantity, NEARLY_MOST) or 0.0) > 0.0:
            return Induction.TURBOCHARGER, say("engine-kind-logged", quantity=word(quantity))
    return None


def _boost(pull: Pull, setup: Setup) -> Evidence[Induction] | None:
    """Measured, or asked for."""
    found = Induction.UNKNOWN_COMPRESSOR
    for quantity in (Quantity.BOOST_PRESSURE, Quantity.BOOST_TARGET):
        most_kpa = _quantile(pull, quantity, NEARLY_MOST)
        if most_kpa is not None and most_kpa >= BOOSTED_KPA:
            return found, say(
                "engine-kind-boost", quantity=word(quantity), boost=amount(most_kpa, "kPa")
            )
    manifold = _quantile(pull, Quantity.MANIFOLD_PRESSURE, NEARLY_MOST)
    if manifold is not None and manifold >= _ambient_kpa(pull, setup) + BOOSTED_KPA:
        return found, say("engine-kind-manifold-above", manifold=amount(manifold, "kPa"))
    return None


def _without_boost(pull: Pull, setup: Setup) -> Evidence[Induction] | None:
    over_kpa = _quantile(pull, Quantity.BOOST_PRESSURE, NEARLY_MOST)
    manifold = _quantile(pull, Quantity.MANIFOLD_PRESSURE, NEARLY_MOST)
    if over_kpa is None and manifold is not None:
        over_kpa = manifold - _ambient_kpa(pull, setup)
    if over_kpa is None or abs(over_kpa) > NATURAL_KPA:
        return None
    return Induction.NATURALLY_ASPIRATED, say("engine-kind-never-boosted")


def _ambient_kpa(pull: Pull, setup: Setup) -> float:
    known = barometric_kpa(pull, setup)
    return STANDARD_KPA if known is None else known


def _is_instant(pull: Pull, setup: Setup) -> bool:
    """Whether boost was there with the pedal, after it had been off it long enough for a turbo to
    lose its speed. False where the pull does not show it."""
    boost = gauge_boost(pull, setup)
    demand = pull.first(Quantity.PEDAL_POSITION) or pull.first(Quantity.THROTTLE_POSITION)
    if boost is None or demand is None or period_s(boost.time_s) > INSTANT_PERIOD_S:
        return False
    eased = demand.time_s[demand.value < EASED_SHARE * demand.value.max()]
    eased = eased[eased <= pull.bounds.start_s]
    if not len(eased) or eased[-1] - eased[0] < BEFORE_S:
        return False
    opened_s = float(eased[-1])
    before, soon, later = at(boost, opened_s + np.array([0.0, INSTANT_S, LATER_S]))
    return bool(later >= BOOSTED_KPA and before <= NATURAL_KPA and soon >= INSTANT_SHARE * later)


def _closed_loop(pull: Pull) -> Evidence[bool] | None:
    target_kpa = _quantile(pull, Quantity.BOOST_TARGET, NEARLY_MOST)
    if target_kpa is None or target_kpa < BOOSTED_KPA:
        return None
    return True, say("engine-kind-logged", quantity=word(Quantity.BOOST_TARGET))


def _full_load(pull: Pull) -> Evidence[FullLoad] | None:
    """By the target; without one by a mixture that is rich, or that is held at 1 all the way."""
    for quantity in (Quantity.LAMBDA_TARGET, Quantity.LAMBDA):
        values = [_quantile(pull, quantity, share) for share in (1 - NEARLY_MOST, 0.5, NEARLY_MOST)]
        low, middle, high = (np.nan if value is None else value for value in values)
        if middle <= SPARK_LAMBDA:
            evidence = say(
                "engine-kind-mixture", quantity=word(quantity), mixture=amount(middle, "1", 2)
            )
            return FullLoad.ENRICHED, evidence
        if STOICHIOMETRIC[0] <= middle <= STOICHIOMETRIC[1] and high - low <= 2 * STEADY:
            evidence = say(
                "engine-kind-mixture", quantity=word(quantity), mixture=amount(middle, "1", 2)
            )
            return FullLoad.STOICHIOMETRIC, evidence
    return None


def _vehicle(pull: Pull) -> Evidence[Vehicle] | None:
    if pull.bounds.end_rpm < MOTORCYCLE_RPM:
        return None
    return Vehicle.MOTORCYCLE, say("engine-kind-revs", speed=rpm(pull.bounds.end_rpm))


def _middle(pull: Pull, quantity: Quantity) -> float | None:
    return _quantile(pull, quantity, 0.5)


def _quantile(pull: Pull, quantity: Quantity, share: float) -> float | None:
    """Of what the channel read in the pull; None where it read nothing there."""
    samples = pull.first(quantity)
    inside = None if samples is None else pull.sweep(samples)
    return None if inside is None or not len(inside) else float(np.quantile(inside.value, share))
