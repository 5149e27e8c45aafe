"""Where a line bends: the exact place of a pull's start and end, found in noisy engine speed."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from decode.samples import FloatArray

_KNOTS: Final = 48  # places tried for the bend; a second pass between the neighbours refines


@dataclass(frozen=True, slots=True)
class Kink:
    """A continuous line with one bend: place, height, and the slopes on both sides (per s)."""

    at_s: float
    value: float
    slope_before: float
    slope_after: float


def find_kink(time_s: FloatArray, value: FloatArray, earliest_s: float, latest_s: float) -> Kink:
    """The bend of the continuous two-piece line that fits best (least squares).

    time_s, value: float64[n], n >= 3. The bend is looked for from earliest_s to latest_s.
    """
    knots = np.linspace(earliest_s, latest_s, _KNOTS)
    best = _best(time_s, value, knots)
    step = (latest_s - earliest_s) / (_KNOTS - 1)
    near = np.clip(np.linspace(-step, step, 9) + knots[best], earliest_s, latest_s)
    knot = float(near[_best(time_s, value, near)])
    height, before, change = _fit(time_s, value, knot)
    return Kink(knot, height, before, before + change)


def _best(time_s: FloatArray, value: FloatArray, knots: FloatArray) -> int:
    return int(np.argmin([_misfit(time_s, value, knot) for knot in knots]))


def _misfit(time_s: FloatArray, value: FloatArray, knot: float) -> float:
    basis = _basis(time_s, knot)
    coefficients = np.linalg.lstsq(basis, value, rcond=None)[0]
    return float(np.sum((value - basis @ coefficients) ** 2))


def _fit(time_s: FloatArray, value: FloatArray, knot: float) -> tuple[float, float, float]:
    height, before, change = np.linalg.lstsq(_basis(time_s, knot), value, rcond=None)[0]
    return float(height), float(before), float(change)


def _basis(time_s: FloatArray, knot: float) -> FloatArray:
    since = time_s - knot
    return np.column_stack((np.ones_like(since), since, np.maximum(since, 0.0)))


def noise(time_s: FloatArray, value: FloatArray) -> float:
    """Standard deviation of the noise on a smooth signal: how far readings lie off the line
    between their neighbours.

    The median absolute deviation over 0.6745 is the standard deviation of normal noise; the
    distance from the line carries its variance 1 + (1 - w)^2 + w^2 times, w the place between.
    """
    if len(value) < 5:
        return 0.0
    share = (time_s[1:-1] - time_s[:-2]) / (time_s[2:] - time_s[:-2])
    off = value[1:-1] - (1.0 - share) * value[:-2] - share * value[2:]
    spread = np.sqrt(1.0 + (1.0 - share) ** 2 + share**2)
    return float(np.median(np.abs(off) / spread) / 0.6745)
