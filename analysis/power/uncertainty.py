"""Uncertainty of a figure by the GUM: contributions, their sum, and the half-width at 95 %.

JCGM 100: each contribution is a standard uncertainty times its sensitivity, independent ones add in
squares. JCGM 101: a tolerance whose every place is as likely as another is not normal, so the
half-width that holds 95 % is not 1.96 times their sum where one of them is most of it (1.65 times
for one alone). It is found by passing the distributions through, as JCGM 101 does, on the points of
a lattice instead of at random: the same figure gives the same half-width every time.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

from analysis.power.tolerances import Influence, Origin
from decode.on_first_use import on_first_use
from decode.samples import FloatArray

special = on_first_use("scipy.special")

CONFIDENCE: Final = 0.95
TYPE_A: Final = (Influence.READINGS, Influence.RUNS)  # spreads; all else are tolerances
POINTS: Final = 4096  # the half-width is then right to about half a percent of itself
PRIMES: Final = (2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37)  # as many as there are influences
ROOT_3: Final = 3.0**0.5


@dataclass(frozen=True, slots=True)
class Contribution:
    """standard_percent: of the figure, sensitivity included. freedom: degrees of freedom of a
    spread, None for a tolerance or for noise seen in many readings. origin: who says so."""

    influence: Influence
    standard_percent: float
    origin: Origin
    freedom: int | None = None


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """In per cent of the figure. expanded: half-width at 95 %. coverage_factor: of expanded over
    standard, the k of JCGM 100."""

    expanded_percent: float
    standard_percent: float
    coverage_factor: float
    budget: tuple[Contribution, ...]


def of_tolerance(
    influence: Influence, tolerance_percent: float, origin: Origin, sensitivity: float = 1.0
) -> Contribution:
    """What a tolerance does to the figure (JCGM 100, 4.3.7): its half-width over the root of 3."""
    return Contribution(influence, abs(sensitivity) * tolerance_percent / ROOT_3, origin)


def combined(budget: Sequence[Contribution]) -> Uncertainty:
    """The sum of independent contributions; those of nothing are left out."""
    kept = tuple(part for part in budget if part.standard_percent > 0)
    percent = np.array([[part.standard_percent] for part in kept])
    standard = float(np.sqrt(np.sum(percent**2)))
    if not standard:
        return Uncertainty(0.0, 0.0, 0.0, ())
    half_width = float(expanded(kept, percent)[0])
    return Uncertainty(half_width, standard, half_width / standard, kept)


def expanded(budget: Sequence[Contribution], standard_percent: FloatArray) -> FloatArray:
    """Half-width of each point of a curve by itself, float64[n].

    standard_percent: of each contribution at each point, float64[contributions, n]; of the
    contributions only the kind of their distribution counts.
    """
    sums = np.zeros((POINTS, standard_percent.shape[1]))
    for part, place, percent in zip(budget, _lattice(len(budget)), standard_percent, strict=True):
        sums += np.outer(_standardised(part, place), percent)
    half_width: FloatArray = np.quantile(np.abs(sums), CONFIDENCE, axis=0)
    return half_width


def _standardised(part: Contribution, place: FloatArray) -> FloatArray:
    """The contribution's distribution at these places (0 to 1) of its own, in standard units."""
    if part.influence not in TYPE_A:
        uniform: FloatArray = ROOT_3 * (2 * place - 1)
        return uniform
    normal: FloatArray = (
        special.ndtri(place) if part.freedom is None else special.stdtrit(part.freedom, place)
    )
    return normal


@cache
def _lattice(dimensions: int) -> FloatArray:
    """Points that fill the unit cube evenly, float64[dimensions, POINTS]: multiples of the square
    roots of primes (Richtmyer 1951)."""
    steps = np.sqrt(np.array(PRIMES[:dimensions], dtype=np.float64))
    points: FloatArray = (0.5 + np.outer(steps, np.arange(1, POINTS + 1))) % 1.0
    return points
