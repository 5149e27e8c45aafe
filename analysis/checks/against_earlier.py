"""A car against its own earlier pulls: a curve over engine speed beside those of the same stage.

The car is its own best reference: what absolute limits must allow for any engine is many times what
one engine does from pull to pull. Only what the stage left alone is compared: pulls of another
stage are of another car.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.checks.check import Context
from analysis.model.pull import Pull
from decode.samples import FloatArray

BINS: Final = 12  # of engine speed over what the two pulls share
LEAST_BINS: Final = 4
LEAST_SHARE: Final = 0.4  # of this pull's speed range that both must have


@dataclass(frozen=True, slots=True)
class Curve:
    """A figure over engine speed, in order of time: float64[n] each."""

    speed_rpm: FloatArray
    value: FloatArray


@dataclass(frozen=True, slots=True)
class Change:
    """Of a figure, against the mean of the earlier pulls, as a share: 0.1 is a tenth more.

    spread: standard deviation between the earlier pulls, 0 where there is but one.
    """

    share: float
    spread: float
    pulls: int
    start_rpm: float
    end_rpm: float


def change(
    pull: Pull,
    context: Context,
    curve_of: Callable[[Pull], Curve | None],
    is_other: Callable[[float], bool],
) -> Change | None:
    """The median of the figure's ratio to that of the earlier pulls at the same engine speeds; None
    without one that reaches over enough of them.

    is_other: whether a share is too far off to be the same healthy engine: an earlier pull that was
    so against those before it is no reference.
    """
    mine = curve_of(pull)
    if mine is None:
        return None
    sound: list[Curve] = []
    for each in context.earlier:
        curve = curve_of(each)
        if curve is not None and not is_other(_share(curve, sound)):
            sound.append(curve)
    ratios = [found for curve in sound if len((found := _ratio(mine, curve))[0]) >= LEAST_BINS]
    if not ratios:
        return None
    shares = [float(np.median(ratio)) - 1.0 for ratio, _, _ in ratios]
    return Change(
        share=float(np.median(shares)),
        spread=float(np.std(shares, ddof=1)) if len(shares) > 1 else 0.0,
        pulls=len(shares),
        start_rpm=max(low for _, low, _ in ratios),
        end_rpm=min(high for _, _, high in ratios),
    )


def _share(curve: Curve, before: list[Curve]) -> float:
    """How far a curve is off those before it; 0 where none reaches over enough of its speeds."""
    ratios = [_ratio(curve, other)[0] for other in before]
    shares = [float(np.median(ratio)) - 1.0 for ratio in ratios if len(ratio) >= LEAST_BINS]
    return float(np.median(shares)) if shares else 0.0


def _ratio(mine: Curve, other: Curve) -> tuple[FloatArray, float, float]:
    """Of the means in bins of engine speed, float64[bins]; and the speeds they reach over."""
    low = max(float(mine.speed_rpm.min()), float(other.speed_rpm.min()))
    high = min(float(mine.speed_rpm.max()), float(other.speed_rpm.max()))
    if high - low < LEAST_SHARE * np.ptp(mine.speed_rpm):
        return np.empty(0), low, high
    edges = np.linspace(low, high, BINS + 1)
    both = np.array([_means(mine, edges), _means(other, edges)])
    known = np.isfinite(both).all(axis=0) & (both[1] > 0.0)
    return both[0, known] / both[1, known], low, high


def _means(curve: Curve, edges: FloatArray) -> FloatArray:
    """Of each bin, NaN where none of it was read."""
    which = np.digitize(curve.speed_rpm, edges[1:-1])
    inside = (curve.speed_rpm >= edges[0]) & (curve.speed_rpm <= edges[-1])
    total = np.bincount(which[inside], curve.value[inside], minlength=len(edges) - 1)
    count = np.bincount(which[inside], minlength=len(edges) - 1)
    means: FloatArray = np.where(count > 0, total / np.maximum(count, 1), np.nan)
    return means
