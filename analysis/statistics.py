"""What few repeated runs can say: intervals of a difference, a band for a curve, runs to settle it.

All at 95 %. The spread is pooled over both sides: the same car on the same dyno with the same
operator repeats as well before a change as after it (ISO 5725 repeatability conditions), and three
runs a side then give four degrees of freedom instead of two.
"""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final, Self

import numpy as np
from scipy import stats

from decode.samples import FloatArray

CONFIDENCE: Final = 0.95
MOST_RUNS: Final = 20  # a side; nobody drives more


@dataclass(frozen=True, slots=True)
class Interval:
    """A value with its 95 % interval, all in the unit."""

    value: float
    low: float
    high: float
    unit: str

    @property
    def excludes_zero(self) -> bool:
        """The difference is larger than the spread of the runs explains."""
        return self.low > 0 or self.high < 0

    def to_json(self) -> dict[str, Any]:
        """Plain data."""
        return asdict(self)

    @classmethod
    def from_json(cls, data: dict[str, Any]) -> Self:
        """The inverse of to_json."""
        return cls(**data)


def pooled_difference(before: Sequence[float], after: Sequence[float], unit: str) -> Interval:
    """Difference of means with Student's interval, spread pooled over both sides.

    Needs two runs a side; raises ValueError for fewer.
    """
    first, second = _sides(before, after)
    freedom = len(first) + len(second) - 2
    variance = (_squares(first) + _squares(second)) / freedom
    error = float(np.sqrt(variance * (1 / len(first) + 1 / len(second))))
    return _around(float(second.mean() - first.mean()), _student(freedom) * error, unit)


def welch_difference(before: Sequence[float], after: Sequence[float], unit: str) -> Interval:
    """Difference of means with Welch's interval: each side keeps its own spread.

    Welch, Biometrika 34 (1947) 28. Needs two runs a side; raises ValueError for fewer.
    """
    first, second = _sides(before, after)
    part = np.array([_squares(side) / (len(side) - 1) / len(side) for side in (first, second)])
    difference = float(second.mean() - first.mean())
    if not part.any():
        return _around(difference, 0.0, unit)
    freedom = part.sum() ** 2 / (
        part[0] ** 2 / (len(first) - 1) + part[1] ** 2 / (len(second) - 1)
    )
    return _around(difference, _student(float(freedom)) * float(np.sqrt(part.sum())), unit)


def runs_to_settle(difference: float, spread: float) -> int | None:
    """Runs a side until a difference of this size would leave the interval; None beyond MOST_RUNS.

    spread: the pooled standard deviation of single runs.
    """
    for runs in range(2, MOST_RUNS + 1):
        if _student(2 * runs - 2) * spread * (2 / runs) ** 0.5 < abs(difference):
            return runs
    return None


def pooled_spread(before: FloatArray, after: FloatArray) -> float:
    """Standard deviation of single runs, pooled over both sides and every column.

    Rows are runs, columns grid points. Raises ValueError for fewer than two rows a side.
    """
    _sides(before, after)
    freedom = len(before) + len(after) - 2
    squares = _squares(before) + _squares(after)
    return float(np.sqrt(squares / freedom / before[0].size))


def _sides(
    before: Sequence[float] | FloatArray, after: Sequence[float] | FloatArray
) -> tuple[FloatArray, FloatArray]:
    first, second = np.asarray(before, dtype=np.float64), np.asarray(after, dtype=np.float64)
    if len(first) < 2 or len(second) < 2:
        raise ValueError("a single run on a side has no spread")
    return first, second


def _squares(runs: FloatArray) -> float:
    """Sum of squares about the runs' mean, over every column."""
    return float(np.sum((runs - runs.mean(axis=0)) ** 2))


def _student(freedom: float) -> float:
    return float(stats.t.ppf((1 + CONFIDENCE) / 2, freedom))


def _around(value: float, half_width: float, unit: str) -> Interval:
    return Interval(value, value - half_width, value + half_width, unit)
