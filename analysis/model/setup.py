"""What must be known beside the channels: the car, the dyno, the air. All from the station file."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Annotated, Final

from pydantic import Field, InstanceOf

from analysis.physics.turbo_map import CompressorMap


class Ignition(StrEnum):
    """How the engine lights its mixture: the regulation's correction differs."""

    SPARK = "spark"
    COMPRESSION = "compression"


class Induction(StrEnum):
    """How the engine gets its air."""

    NATURALLY_ASPIRATED = "naturally aspirated"
    TURBOCHARGER = "turbocharger"
    BLOWER = "blower"  # driven by the engine: boost follows engine speed
    UNKNOWN_COMPRESSOR = "unknown compressor"  # boosted, by what nobody says


class FullLoad(StrEnum):
    """The mixture that the engine is made to run at full load."""

    ENRICHED = "enriched"
    STOICHIOMETRIC = "stoichiometric"
    LEAN = "lean"  # a diesel, limited by smoke


class Vehicle(StrEnum):
    """What the engine is built for: speed, oil pressure and intake differ."""

    CAR = "car"
    MOTORCYCLE = "motorcycle"


class Standard(StrEnum):
    """Atmospheric correction of power, by the standard that defines it."""

    NONE = "uncorrected"
    SAE_J1349 = "SAE J1349"
    ISO_1585 = "ISO 1585"  # the same as UN R85
    DIN_70020 = "DIN 70020"


class LossConvention(StrEnum):
    """How engine torque is said from what reaches the roller; always named beside the figure."""

    WHEEL = "at the wheel"  # no loss added
    ADD_PERCENT_OF_WHEEL = "percent of wheel power added"
    PERCENT_OF_ENGINE_LOST = "percent of engine power lost"
    COAST_DOWN = "measured coast-down"


@dataclass(frozen=True, slots=True)
class Car:
    """Of the job's car, what the physics needs. Unknown numbers stay None and are never guessed.

    boosted: says less than induction, and is made to agree with it when a station file is read.
    thermostat_degc: of coolant, where it opens. turbo_max_speed_rpm: as the supplier gives it, at
    whatever inlet. compressor_wheel_mm: outer diameter of the compressor's wheel, at its exit.
    compressor_map: path of its CSV file (analysis.physics.turbo_map). compressor_reference_...: the
    inlet state that the supplier's flows and speeds are corrected to.
    """

    name: str = ""
    ignition: Ignition | None = None
    cylinders: int | None = None
    displacement_l: float | None = None
    boosted: bool | None = None
    induction: Induction | None = None
    closed_loop_boost: bool | None = None
    full_load: FullLoad | None = None
    vehicle: Vehicle | None = None
    thermostat_degc: float | None = None
    turbo_max_speed_rpm: float | None = None
    compressor_wheel_mm: float | None = None
    max_boost_kpa: float | None = None  # gauge; what this turbo can live with
    max_engine_speed_rpm: float | None = None
    fuel: str = ""
    mass_kg: float | None = None
    compressor_map: str | None = None
    compressor_reference_degc: float = 25.0
    compressor_reference_kpa: float = 101.325


@dataclass(frozen=True, slots=True)
class Dyno:
    """The roller and how its figures are to be read.

    inertia_kg_m2: of everything turning with the roller, at the roller's shaft. coast_down:
    (surface speed km/h, loss power kW) pairs measured with the clutch open, ascending.

    ..._tolerance_...: how far the true value may lie to either side, any place within as likely as
    another; None for what is usual (analysis/power/tolerances.py). Of the roller's radius, or of
    the speed that is read with it: 0 where the controller made its speed of the same radius. Of
    the loss: in per cent of the loss, not of the engine's figure.
    """

    inertia_kg_m2: float | None = None
    roller_radius_m: float | None = None
    loss: LossConvention = LossConvention.WHEEL
    loss_percent: float = 15.0
    coast_down: tuple[tuple[float, float], ...] = ()
    correction: Standard = Standard.NONE
    inertia_tolerance_percent: float | None = None
    roller_radius_tolerance_percent: float | None = None
    brake_torque_tolerance_percent: float | None = None
    sent_power_tolerance_percent: float | None = None  # power or torque that a controller sends
    engine_speed_tolerance_percent: float | None = None
    loss_tolerance_percent: float | None = None
    pressure_tolerance_kpa: float | None = None
    temperature_tolerance_k: float | None = None
    humidity_tolerance_percent: float | None = None


# What the air can be, field to lowest and highest; beyond it stands a slip of the unit or the hand.
POSSIBLE_AIR: Final[Mapping[str, tuple[float, float]]] = {
    "barometric_kpa": (50.0, 110.0),  # 5,500 m to the highest ever measured at sea level
    "temperature_degc": (-50.0, 60.0),
    "relative_humidity_percent": (0.0, 100.0),
    "altitude_m": (-430.0, 5_500.0),  # the Dead Sea's shore to the highest town
}


@dataclass(frozen=True, slots=True)
class Air:
    """The air the engine breathes, where no channel measures it.

    altitude_m: of the station; it tells a weather service's sea-level pressure from the station's.
    origin: what measured it, in words for the report.
    """

    barometric_kpa: float | None = None  # at the station, not at sea level
    temperature_degc: float | None = None
    relative_humidity_percent: float | None = None
    altitude_m: float | None = None
    origin: str = ""


@dataclass(frozen=True, slots=True)
class Setup:
    """Everything the analysis knows that no channel says.

    compressor_map: of the car, read. No part of the set-up as plain data: there its path says it.
    """

    car: Car = field(default_factory=Car)
    dyno: Dyno = field(default_factory=Dyno)
    air: Air = field(default_factory=Air)
    compressor_map: Annotated[InstanceOf[CompressorMap] | None, Field(exclude=True)] = None
