"""What kind of engine it is: every limit and every cause belongs to kinds.

The station file states it; what it leaves open is inferred from the pull (analysis.checks.kinds)
and said aloud. Where the evidence is thin, it stays unknown.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final

from analysis.model.setup import Car, FullLoad, Ignition, Induction, Vehicle
from analysis.phrases.statement import Statement

FORCED: Final = frozenset({Induction.TURBOCHARGER, Induction.BLOWER, Induction.UNKNOWN_COMPRESSOR})


class Trait(StrEnum):
    """One thing that is known of an engine; the name of its field."""

    IGNITION = "ignition"
    INDUCTION = "induction"
    CLOSED_LOOP_BOOST = "closed_loop_boost"
    FULL_LOAD = "full_load"
    VEHICLE = "vehicle"


@dataclass(frozen=True, slots=True)
class EngineKind:
    """None: nobody says so and no channel shows it.

    full_load: the mixture the engine is made to run at full load. inferred: from what each trait
    was taken that the station file does not state.
    """

    ignition: Ignition | None = None
    induction: Induction | None = None
    closed_loop_boost: bool | None = None
    full_load: FullLoad | None = None
    vehicle: Vehicle | None = None
    inferred: Mapping[Trait, Statement] = field(default_factory=dict)

    @property
    def is_boosted(self) -> bool:
        """Whether a compressor of some kind feeds it; False also where nothing says so."""
        return self.induction in FORCED

    @property
    def is_diesel(self) -> bool:
        """Whether it is known to light its mixture by compression."""
        return self.ignition is Ignition.COMPRESSION

    @property
    def is_motorcycle(self) -> bool:
        """Whether it is built like a motorcycle's: small cylinders and high speed."""
        return self.vehicle is Vehicle.MOTORCYCLE


def stated_kind(car: Car) -> EngineKind:
    """What the station file says, and what follows from it alone."""
    return EngineKind(
        ignition=car.ignition,
        induction=_stated_induction(car),
        closed_loop_boost=car.closed_loop_boost,
        full_load=car.full_load,
        vehicle=car.vehicle,
    )


def _stated_induction(car: Car) -> Induction | None:
    if car.induction is not None or car.boosted is None:
        return car.induction
    return Induction.UNKNOWN_COMPRESSOR if car.boosted else Induction.NATURALLY_ASPIRATED
