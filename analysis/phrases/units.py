"""The units that a user may choose, and how one becomes another.

Everything inside pullwatch stays in house units; only what is about to be read is converted.
"""

from dataclasses import dataclass, fields
from typing import Final, Literal, Self
from urllib.parse import unquote

from decode.units import convert

Pressure = Literal["kPa", "bar", "psi"]
Temperature = Literal["degC", "degF"]
Torque = Literal["Nm", "lbf ft"]
Power = Literal["kW", "metric hp", "hp"]
Speed = Literal["km/h", "mph"]

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


def conversion(unit: str, chosen: str) -> tuple[float, float]:
    """chosen = factor * unit + offset; a kelvin here is always a difference."""
    return (KELVIN_DEGF, 0.0) if (unit, chosen) == ("K", "degF") else convert(unit, chosen)


def symbol(unit: str) -> str:
    """A unit as it is printed: `degC` as °C."""
    return _SYMBOLS.get(unit, unit)
