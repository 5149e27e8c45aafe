"""Units as the trade writes them; pint knows the factors, resolved once when a map is loaded.

The list of spellings is closed on purpose: a general unit parser reads `PS` as petasiemens and `C`
as coulomb, and turns a speed in 1/s into rpm with a factor of 2 pi too many or too few.
Gauge and absolute pressure are quantities here, never units.
"""

from functools import cache
from typing import Any, Final, NamedTuple

from decode.errors import UnitError
from decode.on_first_use import on_first_use
from decode.samples import FloatArray

pint = on_first_use("pint")  # a map in house units needs no registry

# house unit -> {spelling: the unit in pint's words}; the first spelling is the house unit itself
SPELLINGS: Final[dict[str, dict[str, str]]] = {
    "rpm": {
        "rpm": "rpm",
        "1/min": "rpm",
        "r/min": "rpm",
        "rev/min": "rpm",
        "krpm": "kilorpm",
        "rev/s": "turn/second",
        "rad/s": "radian/second",
    },
    "%": {"%": "percent", "percent": "percent", "ratio": "dimensionless"},
    "kPa": {
        "kPa": "kilopascal",
        "Pa": "pascal",
        "hPa": "hectopascal",
        "MPa": "megapascal",
        "bar": "bar",
        "mbar": "millibar",
        "psi": "psi",
        "inHg": "inHg",
        "mmHg": "mmHg",
        "inH2O": "inH2O",
        "atm": "atm",
        "kgf/cm2": "kgf/cm**2",
    },
    "degC": {
        "degC": "degree_Celsius",
        "°C": "degree_Celsius",
        "C": "degree_Celsius",
        "degF": "degree_Fahrenheit",
        "°F": "degree_Fahrenheit",
        "F": "degree_Fahrenheit",
        "K": "kelvin",
    },
    "deg": {"deg": "degree", "°": "degree", "rad": "radian"},
    "g/s": {
        "g/s": "gram/second",
        "kg/s": "kilogram/second",
        "kg/h": "kilogram/hour",
        "lb/min": "pound/minute",
        "lb/h": "pound/hour",
    },
    "Nm": {
        "Nm": "newton*meter",
        "N m": "newton*meter",
        "N·m": "newton*meter",
        "kNm": "kilonewton*meter",
        "lbf ft": "lbf*foot",
        "lb ft": "lbf*foot",
        "ft lb": "lbf*foot",
        "ft lbf": "lbf*foot",
        "lbf in": "lbf*inch",
        "kgf m": "kgf*meter",
    },
    "kW": {
        "kW": "kilowatt",
        "W": "watt",
        "hp": "horsepower",
        "metric hp": "metric_horsepower",
        "PS": "metric_horsepower",
        "CV": "metric_horsepower",
        "ch": "metric_horsepower",
    },
    "km/h": {
        "km/h": "kilometer/hour",
        "kph": "kilometer/hour",
        "mph": "mile/hour",
        "m/s": "meter/second",
    },
    "V": {"V": "volt", "mV": "millivolt"},
    "1": {"1": "dimensionless", "-": "dimensionless", "": "dimensionless"},
}
# No unit by itself: a map that names it says which ratio counts as lambda 1.
AIR_FUEL_RATIO: Final = "AFR"
_GAUGE_OR_ABSOLUTE: Final = ("psig", "psia", "barg", "bara", "kPag", "kPaa", "bar abs", "kPa abs")


class UnitConversion(NamedTuple):
    """value in the new unit = factor * value in the old unit + offset."""

    factor: float
    offset: float

    def apply(self, value: FloatArray) -> FloatArray:
        """The values in the new unit, as one multiply-add."""
        return self.factor * value + self.offset


@cache
def _registry() -> Any:
    return pint.UnitRegistry()


def allowed_units(house_unit: str) -> tuple[str, ...]:
    """Every spelling that can be converted to this house unit."""
    return tuple(unit for unit in SPELLINGS[house_unit] if unit)


@cache
def convert(unit: str, house_unit: str) -> UnitConversion:
    """How values in `unit` become values in `house_unit`; both may be any spelling of one kind.

    Raises UnitError with the allowed spellings where that is not possible.
    """
    if unit == house_unit:
        return UnitConversion(1.0, 0.0)
    kind = next((names for names in SPELLINGS.values() if house_unit in names), None)
    if kind is None:
        raise UnitError(f'unknown unit "{house_unit}"')
    if unit not in kind:
        allowed = ", ".join(name for name in kind if name)
        raise UnitError(f'unit "{unit}" {_why_not(unit, house_unit)}; allowed: {allowed}')
    return _resolve(kind[unit], kind[house_unit])


def _why_not(unit: str, house_unit: str) -> str:
    if unit in _GAUGE_OR_ABSOLUTE:
        return "names gauge or absolute, which the quantity says, not the unit"
    if any(unit in names for names in SPELLINGS.values()):
        return f"does not measure what {house_unit} measures"
    return "is unknown"


def _resolve(unit: str, target: str) -> UnitConversion:
    quantity = _registry().Quantity
    zero = quantity(0.0, unit).to(target).magnitude
    if zero == 0.0:
        return UnitConversion(float(quantity(1.0, unit).to(target).magnitude), 0.0)
    # temperatures: the factor is that of a difference, the offset where the old zero lies
    step = quantity(1.0, _difference(unit)).to(_difference(target)).magnitude
    return UnitConversion(float(step), float(zero))


def _difference(unit: str) -> str:
    return f"delta_{unit}" if unit.startswith("degree_") else unit
