"""The station file: sources, map, limits, broker, store, page, and what is known of the car."""

import dataclasses
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Final, Literal, TypeVar

from pydantic import (
    AfterValidator,
    Discriminator,
    Field,
    PrivateAttr,
    StringConstraints,
    Tag,
    model_validator,
)

from analysis.model.setup import POSSIBLE_AIR, Air, Car, Dyno, Induction, Setup
from analysis.phrases.table import ENGLISH, Language
from analysis.physics.thermodynamics import KELVIN, Reference
from analysis.physics.turbo_map import CompressorMap, load_compressor_map
from analysis.power.air import not_of_this_station
from analysis.publish.report.letterhead import Letterhead
from analysis.readiness.readiness import CHECKLIST
from capture.sources.base.clock import MAX_SPEED
from capture.sources.settings import SourceSettings, one_source_a_port
from capture.station.letterhead import LetterheadSettings
from decode.errors import InputFileError
from decode.yaml_file import StrictModel, load_yaml, parse_document, read_text

OPERATOR_NAME: Final = "operator"  # a session records what the operator says under this name

# What a car, a dyno and the air can be; beyond it stands a slip of the unit or the hand.
PLAUSIBLE: Final[Mapping[str, tuple[float, float]]] = {
    "cylinders": (1, 16),
    "displacement_l": (0.05, 20.0),
    "thermostat_degc": (60.0, 120.0),
    "turbo_max_speed_rpm": (30_000.0, 400_000.0),
    "compressor_wheel_mm": (20.0, 250.0),
    "max_boost_kpa": (10.0, 600.0),
    "max_engine_speed_rpm": (1_000.0, 20_000.0),
    "mass_kg": (100.0, 10_000.0),
    "compressor_reference_degc": (0.0, 50.0),
    "compressor_reference_kpa": (90.0, 105.0),
    "inertia_kg_m2": (0.01, 5_000.0),
    "roller_radius_m": (0.05, 2.0),
    "loss_percent": (0.0, 50.0),
    "inertia_tolerance_percent": (0.0, 50.0),
    "roller_radius_tolerance_percent": (0.0, 20.0),
    "brake_torque_tolerance_percent": (0.0, 50.0),
    "sent_power_tolerance_percent": (0.0, 50.0),
    "engine_speed_tolerance_percent": (0.0, 10.0),
    "loss_tolerance_percent": (0.0, 100.0),
    "pressure_tolerance_kpa": (0.0, 10.0),
    "temperature_tolerance_k": (0.0, 30.0),
    "humidity_tolerance_percent": (0.0, 100.0),
    **POSSIBLE_AIR,
}

# A name that is part of an MQTT topic and of file names on every system.
Name = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]{0,63}$")]
Text = Annotated[str, StringConstraints(min_length=1)]
Port = Annotated[int, Field(ge=1, le=65_535)]

D = TypeVar("D", Car, Dyno, Air)


def _plausible(described: D) -> D:
    for name, value in dataclasses.asdict(described).items():
        low, high = PLAUSIBLE.get(name, (float("-inf"), float("inf")))
        if isinstance(value, int | float) and not low <= value <= high:
            raise ValueError(f"{name} must be within {low:g} to {high:g}, not {value:g}")
    return described


def _of_one_kind(car: Car) -> Car:
    """A car whose `boosted` and `induction` agree."""
    if car.induction is None:
        return car
    boosted = car.induction is not Induction.NATURALLY_ASPIRATED
    if car.boosted not in (None, boosted):
        raise ValueError(
            f"boosted: {str(car.boosted).lower()} and induction: {car.induction.value} contradict "
            "each other; leave boosted out"
        )
    return dataclasses.replace(car, boosted=boosted)


def _at_the_station(air: Air) -> Air:
    """Sea-level pressure is caught here, before anything is computed from it."""
    doubt = not_of_this_station(air)
    if doubt is not None:
        raise ValueError(doubt.text)
    return air


def _word_or_mapping(value: object) -> str:
    return "word" if isinstance(value, str) else "mapping"


class BrokerSettings(StrictModel):
    """An MQTT broker to publish to. password_file: a file that holds nothing but the password."""

    host: Text
    port: Port = 1883
    root: Annotated[str, StringConstraints(pattern=r"^[^+#\s]+$")] = "pullwatch"
    username: str | None = None
    password_file: Path | None = None
    tls: bool = False


class PageAddress(StrictModel):
    """Where the page is served: on this machine only, unless the user opens it to others."""

    host: Text = "127.0.0.1"
    port: Annotated[int, Field(ge=0, le=65_535)] = 8710  # 0: whichever is free


class LampPort(StrictModel):
    """A lamp or display beside the operator: a serial port's name, or `socket://HOST:PORT`."""

    url: Text
    baud: Annotated[int, Field(ge=300, le=4_000_000)] = 9600


class JobName(StrictModel):
    """The job and the stage that a session begins with."""

    name: Text
    stage: Text = "baseline"
    agreed: str = ""
    changed: str = ""


Broker = Annotated[
    Annotated[Literal["embedded", "none"], Tag("word")] | Annotated[BrokerSettings, Tag("mapping")],
    Discriminator(_word_or_mapping),
]
Page = Annotated[
    Annotated[Literal["none"], Tag("word")] | Annotated[PageAddress, Tag("mapping")],
    Discriminator(_word_or_mapping),
]


class Station(StrictModel):
    """One place of work. Paths are as written until `load_station` puts them beside the file.

    database: `sqlite`, or an SQLAlchemy URL. language: of the report and of findings on the page.
    clock_speed: more than 1 only where a simulated car runs faster than real time.
    """

    pullwatch_station: Literal[1]
    name: Name
    map: Path
    limits: Path | None = None
    store: Path = Path("store")
    sources: Annotated[
        dict[Name, SourceSettings], Field(min_length=1), AfterValidator(one_source_a_port)
    ]
    broker: Broker = "embedded"
    page: Page = PageAddress()
    lamp: LampPort | None = None
    checklist: tuple[Text, ...] = CHECKLIST
    database: Text = "sqlite"
    clock_speed: Annotated[float, Field(gt=0.0, le=MAX_SPEED)] = 1.0
    car: Annotated[Car, AfterValidator(_plausible), AfterValidator(_of_one_kind)] = Car()
    dyno: Annotated[Dyno, AfterValidator(_plausible)] = Dyno()
    air: Annotated[Air, AfterValidator(_plausible), AfterValidator(_at_the_station)] = Air()
    job: JobName | None = None
    shop: LetterheadSettings = LetterheadSettings()
    language: Language = ENGLISH
    _letterhead: Letterhead = PrivateAttr(default=Letterhead())
    _compressor_map: CompressorMap | None = PrivateAttr(default=None)

    @model_validator(mode="after")
    def _operator_is_taken(self) -> "Station":
        if OPERATOR_NAME in self.sources:
            raise ValueError(f'no source can be named "{OPERATOR_NAME}": the operator is')
        return self

    @property
    def setup(self) -> Setup:
        """Car, dyno and air, as the analysis takes them."""
        return Setup(self.car, self.dyno, self.air, self._compressor_map)

    @property
    def letterhead(self) -> Letterhead:
        """Name, text and logo of the workshop, as the report takes them."""
        return self._letterhead


def load_station(path: Path) -> Station:
    """The station of a file, its paths absolute; InputFileError with every mistake in it, or in
    the compressor map it names."""
    station = _with_paths_beside(load_yaml(path, Station), path.resolve().parent)
    station._compressor_map = _compressor_map(station.car)
    station._letterhead = _letterhead(station.shop, path)
    return station


def _letterhead(settings: LetterheadSettings, station_file: Path) -> Letterhead:
    try:
        return settings.letterhead(station_file.resolve().parent)
    except ValueError as error:
        document = parse_document(read_text(station_file), str(station_file))
        problem = document.problem(("shop", "logo"), str(error))
        raise InputFileError(station_file, [problem]) from error


def _compressor_map(car: Car) -> CompressorMap | None:
    if car.compressor_map is None:
        return None
    reference = Reference(car.compressor_reference_degc + KELVIN, car.compressor_reference_kpa)
    return load_compressor_map(Path(car.compressor_map), reference)


def _with_paths_beside(station: Station, folder: Path) -> Station:
    """The station with its relative paths taken from the folder of its file."""

    def place(path: Path | None) -> Path | None:
        return folder / path if path is not None else None

    changes: dict[str, Any] = {
        "map": place(station.map),
        "limits": place(station.limits),
        "store": place(station.store),
    }
    if station.car.compressor_map is not None:
        beside = str(folder / station.car.compressor_map)
        changes["car"] = dataclasses.replace(station.car, compressor_map=beside)
    if isinstance(station.broker, BrokerSettings):
        password_file = place(station.broker.password_file)
        changes["broker"] = station.broker.model_copy(update={"password_file": password_file})
    return station.model_copy(update=changes)
