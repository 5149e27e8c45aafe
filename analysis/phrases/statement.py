"""A statement as data: the key of a phrase, and what the phrase needs to become a sentence."""

from dataclasses import dataclass
from enum import StrEnum


class Joint(StrEnum):
    """How several statements become one text."""

    AND = "and"  # "a, b and c"
    COMMA = "comma"  # "a, b, c"
    SEMICOLON = "semicolon"  # "a; b; c"
    SENTENCES = "sentences"  # "A. B. C."


@dataclass(frozen=True, slots=True)
class Amount:
    """A number in a statement.

    unit: a house unit, "1" for a bare number. decimals: how fine it is printed in the house unit;
    another unit gets as many as keep that fineness. signed: a plus is printed too. difference: of
    two values, so that a conversion takes the factor and no offset.
    """

    name: str
    value: float
    unit: str
    decimals: int = 0
    signed: bool = False
    difference: bool = False


@dataclass(frozen=True, slots=True)
class Name:
    """A name that the user gave, printed as it is: of a channel, a source, a stage, a file."""

    name: str
    text: str


@dataclass(frozen=True, slots=True)
class Part:
    """Statements inside a statement."""

    name: str
    joint: Joint
    statements: "tuple[Statement, ...]"


@dataclass(frozen=True, slots=True)
class Statement:
    """text: the sentence in English and in house units, as it was when the statement was made."""

    key: str
    text: str
    amounts: tuple[Amount, ...] = ()
    names: tuple[Name, ...] = ()
    parts: tuple[Part, ...] = ()

    def __str__(self) -> str:
        return self.text
