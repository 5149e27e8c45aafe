"""How a quantity is shown to people: its words, its decimals, and the units a user may choose.

Everything inside pullwatch stays in house units; only what is about to be read goes through here.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from analysis.model.findings import Severity
from analysis.phrases.say import key_of
from analysis.phrases.table import ENGLISH, Language, phrase
from analysis.phrases.units import HOUSE, Units, conversion, symbol
from analysis.power.figures import Figure
from decode.quantities import Quantity
from decode.samples import FloatArray

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


def figure_text(figure: Figure | None, units: Units, doubtful: bool = False) -> str:
    """A peak with its expanded uncertainty: `152.3 ± 3.9 kW`; with a question mark in its place
    where no engine makes it."""
    if figure is None:
        return "–"
    unit = shown(figure.unit, units)
    if doubtful or figure.half_width is None:
        return f"{unit.text(figure.value)}{' (?)' if doubtful else ''}"
    half_width = unit.factor * figure.half_width
    return (
        f"{unit.value(figure.value):.{unit.decimals}f} ± {half_width:.{unit.decimals}f} "
        f"{unit.symbol}"
    )


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


def label(quantity: Quantity, language: Language = ENGLISH) -> str:
    """A quantity in words: `Charge air temperature`."""
    words = phrase(key_of(quantity), {}, language).replace("_", " ")
    return words[:1].upper() + words[1:]


def verdict_word(severity: Severity, language: Language = ENGLISH) -> str:
    """A verdict in words: `look closer`."""
    return phrase(key_of(severity), {}, language)
