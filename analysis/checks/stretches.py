"""Stretches of a pull in which something holds: indices into samples, with how long they last."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.model.findings import Where
from analysis.model.pull import Pull
from decode.cadence import SILENT_PERIODS, period_s
from decode.samples import FloatArray, Samples

HOLD_PERIODS: Final = 3.0  # a sample speaks for at most three median periods: a gap says nothing


@dataclass(frozen=True, slots=True)
class Stretch:
    """first and last: sample indices, both included. The last sample lasts until the next one."""

    first: int
    last: int
    start_s: float
    end_s: float

    @property
    def duration_s(self) -> float:
        """From the first sample until the value is replaced."""
        return self.end_s - self.start_s

    @property
    def indices(self) -> slice:
        """To cut the stretch out of the array it was found in."""
        return slice(self.first, self.last + 1)


def stretches(
    time_s: FloatArray, holds: NDArray[np.bool_], at_least_s: float = 0.0
) -> list[Stretch]:
    """Every unbroken stretch of at_least_s; time_s: float64[n] ascending, holds: bool[n]."""
    if not holds.any():
        return []
    edges = np.diff(np.concatenate(([False], holds, [False])).astype(np.int8))
    firsts, lasts = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1) - 1
    following_s = np.append(time_s[1:], np.inf)
    ends_s = np.minimum(following_s[lasts], time_s[lasts] + HOLD_PERIODS * period_s(time_s))
    return [
        Stretch(int(first), int(last), float(time_s[first]), float(end_s))
        for first, last, end_s in zip(firsts, lasts, ends_s, strict=True)
        if end_s - time_s[first] >= at_least_s - 1e-9
    ]


def longest(found: list[Stretch]) -> Stretch | None:
    """The one that lasts longest; None where there is none."""
    return max(found, key=lambda s: s.duration_s, default=None)


def lasting(time_s: FloatArray, value: FloatArray, for_s: float) -> float:
    """The highest level that the value stays at or above for at least for_s; its lowest where it
    does not last as long. time_s: float64[n] ascending, n at least 1, value: float64[n]."""
    levels = np.unique(value)
    low, high = 0, len(levels) - 1
    while low < high:
        middle = (low + high + 1) // 2
        if stretches(time_s, value >= levels[middle], for_s):
            low = middle
        else:
            high = middle - 1
    return float(levels[low])


def held_at(samples: Samples, time_s: FloatArray) -> FloatArray:
    """The last value at or before each time (the first one before it begins), float64[n]: right
    for values that change in steps."""
    index = np.searchsorted(samples.time_s, time_s, side="right") - 1
    return samples.value[np.maximum(index, 0)]


def at(samples: Samples, time_s: FloatArray) -> FloatArray:
    """Linear between samples, float64[n]: right for values that change smoothly."""
    return np.interp(time_s, samples.time_s, samples.value)


def place(pull: Pull, start_s: float, end_s: float, cylinder: int | None = None) -> Where:
    """The place of a stretch, by time and by engine speed."""
    start_rpm, end_rpm = pull.engine_speed_at(np.array([start_s, end_s]))
    return Where(start_s, end_s, float(start_rpm), float(end_rpm), cylinder)


def is_sampled_at(samples: Samples, time_s: FloatArray, at_most_s: float) -> NDArray[np.bool_]:
    """Whether the samples around each time are no further apart than at_most_s and
    SILENT_PERIODS, bool[n]: a value interpolated over a silence was never seen."""
    steps = np.diff(samples.time_s)
    if not len(steps):
        return np.zeros(len(time_s), dtype=bool)
    index = np.clip(np.searchsorted(samples.time_s, time_s, side="right") - 1, 0, len(steps) - 1)
    near: NDArray[np.bool_] = steps[index] <= max(
        at_most_s, SILENT_PERIODS * period_s(samples.time_s)
    )
    return near


def smoothed(samples: Samples, over_s: float) -> Samples:
    """Centred moving mean over about over_s, one sample per sample; shortened at the ends, and, on
    both sides alike, beside a silence: a mean of one side alone is late on a slope."""
    if len(samples) < 3:
        return samples
    half = int(over_s / max(period_s(samples.time_s), 1e-6) / 2)
    if half < 1:
        return samples
    total = np.concatenate(([0.0], np.cumsum(samples.value)))
    index = np.arange(len(samples))
    longest_s = min(over_s, SILENT_PERIODS * period_s(samples.time_s))
    resumes = np.flatnonzero(np.diff(samples.time_s) > longest_s) + 1
    part = np.searchsorted(resumes, index, side="right")
    edges = np.concatenate(([-half], resumes, [len(samples) + half]))
    reach = np.minimum(half, np.minimum(index - edges[part], edges[part + 1] - 1 - index))
    low, high = np.maximum(index - reach, 0), np.minimum(index + reach + 1, len(samples))
    return Samples(samples.time_s, (total[high] - total[low]) / (high - low))
