"""How a quantity is shown to people: its words, its decimals, and the units a user may choose.

Everything inside pullwatch stays in house units; only what is about to be read goes through here.
"""

from dataclasses import dataclass, fields
from datetime import datetime
from typing import Final, Literal, Self
from urllib.parse import unquote

from analysis.model.findings import Severity
from decode.quantities import Quantity
from decode.samples import FloatArray
from decode.units import convert

Pressure = Literal["kPa", "bar", "psi"]
Temperature = Literal["degC", "degF"]
Torque = Literal["Nm", "lbf ft"]
Power = Literal["kW", "metric hp", "hp"]
Speed = Literal["km/h", "mph"]

VERDICT_WORDS: Final[dict[Severity, str]] = {
    Severity.HEALTHY: "healthy",
    Severity.LOOK_CLOSER: "look closer",
    Severity.STOP: "stop",
    Severity.NOTE: "not judged",
}

# How many decimals a reader can use: about the resolution of the sensors behind the number.
_DECIMALS: Final = {
    "MPa": 1,
    "bar": 2,
    "psi": 1,
    "deg": 1,
    "kW": 1,
    "hp": 1,
    "metric hp": 1,
    "V": 1,
    "1": 2,
}
_COUNTED: Final = (Quantity.GEAR, Quantity.MISFIRE_COUNT)
# Direct injection works at 5,000 to 35,000 kPa: nobody reads five digits at two metres.
_RAIL: Final = (Quantity.FUEL_PRESSURE_HIGH, Quantity.FUEL_PRESSURE_HIGH_TARGET)
_SYMBOLS: Final = {"degC": "°C", "degF": "°F", "deg": "°", "1": "", "lbf ft": "lbf·ft"}


@dataclass(frozen=True, slots=True)
class Units:
    """The unit a user has chosen for each dimension that has a choice."""

    pressure: Pressure = "kPa"
    temperature: Temperature = "degC"
    torque: Torque = "Nm"
    power: Power = "kW"
    speed: Speed = "km/h"

    def of(self, house_unit: str) -> str:
        """The chosen unit for a value in a house unit; the house unit where there is no choice."""
        chosen = {
            "kPa": self.pressure,
            "degC": self.temperature,
            "Nm": self.torque,
            "kW": self.power,
            "km/h": self.speed,
            "K": "degF" if self.temperature == "degF" else "K",  # a difference
        }
        return chosen.get(house_unit, house_unit)

    @classmethod
    def parse(cls, text: str) -> Self:
        """From `psi,degC,Nm,kW,km/h`, as the page's cookie has it (percent-encoded, any order, any
        part missing); unknown words are ignored."""
        words = {word.strip() for word in unquote(text).split(",")}
        chosen = {
            dimension: next((unit for unit in units if unit in words), units[0])
            for dimension, units in CHOICES.items()
        }
        return cls(**chosen)  # type: ignore[arg-type]

    def __str__(self) -> str:
        return ",".join(getattr(self, field.name) for field in fields(self))


HOUSE: Final = Units()
KELVIN_DEGF: Final = 1.8  # degrees Fahrenheit in a difference of one kelvin

CHOICES: Final[dict[str, tuple[str, ...]]] = {
    "pressure": ("kPa", "bar", "psi"),
    "temperature": ("degC", "degF"),
    "torque": ("Nm", "lbf ft"),
    "power": ("kW", "metric hp", "hp"),
    "speed": ("km/h", "mph"),
}


@dataclass(frozen=True, slots=True)
class Conversion:
    """shown = factor * house + offset; a difference of two values takes the factor alone."""

    factor: float
    offset: float
    unit: str
    decimals: int

    @property
    def symbol(self) -> str:
        """The unit as it is printed."""
        return symbol(self.unit)

    def value(self, house: float) -> float:
        """A value in the shown unit."""
        return self.factor * house + self.offset

    def values(self, house: FloatArray) -> FloatArray:
        """Values in the shown unit, float64[n]."""
        return house * self.factor + self.offset

    def text(self, house: float | None, finer: int = 0) -> str:
        """A value with its unit, or an en dash where it is not known; finer: more decimals."""
        if house is None:
            return "–"
        return f"{self.value(house):.{self.decimals + finer}f} {self.symbol}".rstrip()

    def difference(self, house: float) -> str:
        """A difference with sign and unit."""
        # Adding zero turns a rounded minus zero into zero.
        rounded = round(self.factor * house, self.decimals) + 0.0
        return f"{rounded:+.{self.decimals}f} {self.symbol}".rstrip()


def shown(house_unit: str, units: Units, quantity: Quantity | None = None) -> Conversion:
    """How values in a house unit are shown under the user's choice of units."""
    unit = units.of(house_unit)
    if quantity in _RAIL and unit == "kPa":
        unit = "MPa"
    factor, offset = conversion(house_unit, unit)
    whole = quantity in _COUNTED or (quantity in _RAIL and unit != "MPa")
    return Conversion(factor, offset, unit, 0 if whole else _DECIMALS.get(unit, 0))


def conversion(unit: str, chosen: str) -> tuple[float, float]:
    """chosen = factor * unit + offset; a kelvin here is always a difference."""
    return (KELVIN_DEGF, 0.0) if (unit, chosen) == ("K", "degF") else convert(unit, chosen)


def symbol(unit: str) -> str:
    """A unit as it is printed: `degC` as °C."""
    return _SYMBOLS.get(unit, unit)


def amount(value: float | None, unit: str, units: Units = HOUSE) -> str:
    """A finding's value or limit in the user's unit; empty where there is none."""
    if value is None:
        return ""
    chosen = units.of(unit)
    factor, offset = conversion(unit, chosen)
    printed = symbol(chosen)
    digits = 4 if chosen == unit else 3  # the house's are round; another unit has no use for more
    shown_value = float(f"{factor * value + offset:.{digits}g}")
    return f"{shown_value:g}{'' if printed == '°' else ' '}{printed}".rstrip()


def local_minute(moment: datetime) -> str:
    """A moment as the workshop's clock shows it: the store keeps UTC."""
    return f"{moment.astimezone():%Y-%m-%d %H:%M}"


def label(quantity: Quantity) -> str:
    """A quantity in words: `Charge air temperature`."""
    return quantity.value.replace("_", " ").capitalize()
