"""Statements as people read them: amounts in the user's units, degrees with their sign.

What the analysis says is plain text with house units (`reached 53 degC`); every amount in it has
its unit behind it, so that it can be said in another.
"""

import math
import re
from typing import Final

from analysis.phrases.units import HOUSE, Units, conversion, symbol

_NUMBER: Final = r"[-+]?\d[\d,]*(?:\.\d+)?"
# Two numbers share a unit as `from 42 to 61 degC`, `+12.5 ± 0.5 kW` or `between 3 and 5 kPa`.
_AMOUNT: Final = re.compile(
    rf"(?:(?P<between>between {_NUMBER} and )|(?P<first>{_NUMBER})(?P<joint> to | ± ))?"
    rf"(?P<last>{_NUMBER}) (?P<unit>kPa|MPa|degC|°C|K|Nm|kW|km/h)(?![\w/])"
)
_DEGREES: Final = re.compile(r"(?<=\d) deg\b")


def in_units(sentence: str, units: Units = HOUSE) -> str:
    """The sentence with its amounts in the user's units; `6 deg` as 6°."""
    said = _AMOUNT.sub(lambda found: _said(found, units), sentence)
    return _DEGREES.sub("°", said.replace("degC", symbol("degC")))


def _said(found: re.Match[str], units: Units) -> str:
    unit = found["unit"].replace("°C", "degC")
    chosen = units.of("kPa") if unit == "MPa" else units.of(unit)
    if chosen == unit or (unit == "MPa" and chosen == "kPa"):
        return found[0]
    factor, offset = conversion(unit, chosen)
    joint = found["joint"] or ""
    last = _number(found["last"], factor, 0.0 if joint == " ± " else offset)
    if found["between"]:
        low = re.sub(_NUMBER, lambda one: _number(one[0], factor, offset), found["between"])
        return f"{low}{last} {symbol(chosen)}"
    first = _number(found["first"], factor, offset) if found["first"] else ""
    return f"{first}{joint}{last} {symbol(chosen)}"


def _number(text: str, factor: float, offset: float) -> str:
    """As fine as it was said: a bar is a hundred kPa and takes two decimals more."""
    decimals = len(text.partition(".")[2]) - round(math.log10(factor))
    value = round(float(text.replace(",", "")) * factor + offset, max(0, decimals)) + 0.0
    sign = "+" if text.startswith("+") else ""
    return f"{value:{sign},.{max(0, decimals)}f}"
