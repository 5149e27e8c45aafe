"""Limits: a number a check compares with, its unit and its origin; the user's file overrides."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

COMMON_PRACTICE: Final = "common practice, no published source"


class Engines(StrEnum):
    """The kind of engine that a limit belongs to."""

    ANY = "any"
    SPARK = "spark ignition"
    COMPRESSION = "compression ignition"
    BOOSTED = "boosted"
    BOOSTED_SPARK = "boosted, spark ignition"
    CAR = "of a car"
    OTHER_THAN_CAR = "of a motorcycle, or unknown"


@dataclass(frozen=True, slots=True)
class Limit:
    """name: `<check>.<what>`, as the user writes it in the limits file."""

    name: str
    value: float
    unit: str
    origin: str
    meaning: str  # one sentence: what happens beyond it
    engines: Engines = Engines.ANY


@dataclass(frozen=True, slots=True)
class Limits:
    """Every limit of every check by name, defaults with the user's values over them."""

    by_name: Mapping[str, Limit]

    def __getitem__(self, name: str) -> Limit:
        return self.by_name[name]

    @classmethod
    def of(cls, defaults: Iterable[Limit], changed: Mapping[str, float], origin: str) -> "Limits":
        """Defaults with the user's values over them; origin says which file those came from.

        Raises KeyError with the unknown name.
        """
        by_name = {limit.name: limit for limit in defaults}
        for name, value in changed.items():
            by_name[name] = replace(by_name[name], value=value, origin=origin)
        return cls(by_name)
