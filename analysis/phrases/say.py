"""How the analysis makes a statement: `say("boost-below-target", short=amount(23.4, "kPa"))`."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from typing import Any, Final

from pydantic import TypeAdapter

from analysis.phrases.statement import Amount, Joint, Name, Part, Statement
from analysis.phrases.table import PhraseError, sentence
from decode.quantities import HOUSE_UNIT

# What a statement may carry; "1" is a number without a unit.
UNITS: Final = frozenset(HOUSE_UNIT.values()) | frozenset(
    ("1", "s", "ms", "K", "MPa", "Hz", "GB", "rpm/s", "kg m2", "m", "mm", "m/s", "kg")
)
_STATEMENT = TypeAdapter(Statement)
DIGITS: Final = 6  # of a number printed as it came
RPM_STEP: Final = 50.0  # nobody reads an engine speed closer than that


@dataclass(frozen=True, slots=True)
class Several:
    """Statements that stand together in one place of a phrase."""

    statements: tuple[Statement, ...]
    joint: Joint


Argument = Amount | str | Statement | Several


def say(key: str, **arguments: Argument) -> Statement:
    """A statement: the key of a phrase and what the phrase needs, under the phrase's names.

    A string is a name that the user gave, printed as it is; words of our own are statements.
    Raises PhraseError where the English table has no such phrase, or one that needs more.
    """
    amounts, names, parts = [], [], []
    for argument, value in arguments.items():
        name = argument.replace("_", "-")
        if isinstance(value, Amount):
            amounts.append(replace(value, name=name))
        elif isinstance(value, str):
            names.append(Name(name, value))
        elif isinstance(value, Several):
            parts.append(Part(name, value.joint, value.statements))
        else:
            parts.append(Part(name, Joint.SENTENCES, (value,)))
    unsaid = Statement(key, "", tuple(amounts), tuple(names), tuple(parts))
    made = sentence(unsaid)
    if not made:
        raise PhraseError(f'no phrase "{key}" in en.ftl')
    return replace(unsaid, text=made)


def word(member: Enum) -> Statement:
    """The phrase of an enumeration's member: `Cause.BOOST_LEAK` has the key `cause-boost-leak`."""
    return say(key_of(member))


def key_of(member: Enum) -> str:
    """The key of an enumeration's member: its class and its value, in small letters and hyphens."""
    family = "".join(f"-{c.lower()}" if c.isupper() else c for c in type(member).__name__)
    return f"{family.lstrip('-')}-{re.sub('[_ ]', '-', str(member.value)).lower()}"


def as_written(sentences: str) -> Statement:
    """A sentence that is only text: written by a person, or kept by an earlier version."""
    return say("as-written", text=sentences)


def statement_of(plain: Any) -> Statement:
    """A statement out of a file or a database. Raises ValueError where it is none."""
    return _STATEMENT.validate_python(plain)


def as_plain(statement: Statement) -> dict[str, Any]:
    """Plain data for a file; the inverse of statement_of."""
    plain: dict[str, Any] = _STATEMENT.dump_python(statement, mode="json")
    return plain


def amount(
    value: float, unit: str, decimals: int = 0, signed: bool = False, difference: bool = False
) -> Amount:
    """A number with its house unit ("1" for a bare number). Raises ValueError for another unit."""
    if unit not in UNITS:
        raise ValueError(f'"{unit}" is no unit of a statement')
    return Amount("", float(value), unit, decimals, signed, difference)


def significant(value: float, unit: str, digits: int) -> Amount:
    """A number that is printed with so many significant digits, without trailing zeros."""
    rounded = float(f"{value:.{digits}g}")
    whole = 1 if rounded == 0 else math.floor(math.log10(abs(rounded))) + 1
    decimals = max(0, digits - whole)
    while decimals and rounded == round(rounded, decimals - 1):
        decimals -= 1
    return amount(rounded, unit, decimals)


def as_given(value: float, unit: str) -> Amount:
    """A number that is printed as it came: to six digits, without trailing zeros."""
    return significant(value, unit, DIGITS)


def count(things: int) -> Amount:
    """A whole number of things; the phrase may choose its plural by it."""
    return amount(things, "1")


def rpm(value: float) -> Amount:
    """An engine speed, to the nearest 50."""
    return amount(round(value / RPM_STEP) * RPM_STEP, "rpm")


def listed(things: Sequence[Statement | str]) -> Several:
    """ "a", "a and b", "a, b and c"; a string is a name that the user gave."""
    return Several(_statements(things), Joint.AND)


def in_line(things: Sequence[Statement | str], joint: Joint = Joint.COMMA) -> Several:
    """Things one after the other, parted by commas or semicolons, or as sentences."""
    return Several(_statements(things), joint)


def _statements(things: Sequence[Statement | str]) -> tuple[Statement, ...]:
    return tuple(as_written(thing) if isinstance(thing, str) else thing for thing in things)
