"""A number with its unit as people read it: in their unit, with their decimal sign."""

import math
from dataclasses import dataclass
from typing import Final

from analysis.phrases.statement import Amount
from analysis.phrases.units import Units, conversion, symbol

GROUPED_FROM: Final = 10_000.0  # four digits are read at a glance, five are not
_ALWAYS_GROUPED: Final = ("rpm",)
_CLOSE: Final = ("°",)  # signs that stand at the number without a space


@dataclass(frozen=True, slots=True)
class NumberStyle:
    """How a language writes numbers."""

    thousands: str
    decimal: str


def printed(amount: Amount, units: Units, style: NumberStyle) -> tuple[str, str]:
    """(number, number with unit)."""
    unit = _chosen(amount.unit, units)
    factor, offset = (1.0, 0.0) if unit == amount.unit else conversion(amount.unit, unit)
    # A bar is a hundred kPa and takes two decimals more to be as fine.
    decimals = max(0, amount.decimals - round(math.log10(factor)))
    value = factor * amount.value + (0.0 if amount.difference else offset)
    value = round(value, decimals) + 0.0  # adding zero turns a rounded minus zero into zero
    grouping = "," if unit in _ALWAYS_GROUPED or abs(value) >= GROUPED_FROM else ""
    number = f"{value:{'+' if amount.signed else ''}{grouping}.{decimals}f}"
    number = number.translate({ord(","): style.thousands, ord("."): style.decimal})
    sign = symbol(unit)
    return number, f"{number}{'' if sign in _CLOSE else ' '}{sign}".rstrip()


def with_decimal_sign(number: str, style: NumberStyle) -> str:
    """A number that was printed without grouping, with the language's decimal sign."""
    return number.replace(".", style.decimal)


def _chosen(unit: str, units: Units) -> str:
    """A rail pressure in MPa stays in MPa under kPa, which would have five digits."""
    if unit == "MPa":
        return "MPa" if units.pressure == "kPa" else units.pressure
    return units.of(unit)
