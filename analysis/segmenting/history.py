"""The samples of one channel in order of time, released to the segmenter as its clock reaches them.

What arrives may be cut into batches anyhow: `put` sorts it in, `release` hands out what the clock
has reached. Because nothing is released before the clock reaches it, the segmenter sees the same
sequence however the batches were cut.
"""

from bisect import bisect_left, bisect_right
from operator import itemgetter
from typing import Final

import numpy as np

from decode.samples import FloatArray, Samples

LATENESS_S: Final = 0.06
"""How late a sample may come: a USB serial port holds back 16 ms, a busy reader as much again.
It is also how far the segmenter's clock stays behind, so it is part of every announcement."""

_TIME: Final = itemgetter(0)


class History:
    """One channel: `times` and `values` ascend in time, without duplicates and without NaN."""

    def __init__(self) -> None:
        self.times: list[float] = []
        self.values: list[float] = []
        self._waiting: list[tuple[float, float]] = []  # in order of time, from _next on
        self._next = 0
        self._newest_s = -np.inf
        self._released_s = -np.inf

    def put(self, samples: Samples) -> None:
        """Take new samples; those out of order by more than the lateness are dropped."""
        known = np.isfinite(samples.value) & np.isfinite(samples.time_s)
        time_s, value = samples.time_s[known], samples.value[known]
        if not len(time_s):
            return
        newest = np.maximum.accumulate(np.maximum(time_s, self._newest_s))
        self._newest_s = float(newest[-1])
        in_time = time_s > newest - LATENESS_S
        waiting = self._waiting[self._next :]
        waiting.extend(zip(time_s[in_time].tolist(), value[in_time].tolist(), strict=True))
        waiting.sort(key=_TIME)  # stable: of two samples at one time the first to come stays first
        self._waiting, self._next = waiting, 0

    @property
    def next_s(self) -> float:
        """Time of the first sample not yet released; infinite where none waits."""
        return self._waiting[self._next][0] if self._next < len(self._waiting) else np.inf

    @property
    def newest_s(self) -> float:
        """Time of the newest sample ever put; minus infinity before the first."""
        return float(self._newest_s)

    def release(self, until_s: float) -> list[tuple[float, float]]:
        """The samples up to and including until_s, in order of time, each time once.

        The caller decides which of them to `keep`.
        """
        released = []
        while self._next < len(self._waiting) and self._waiting[self._next][0] <= until_s:
            sample = self._waiting[self._next]
            self._next += 1
            if sample[0] > self._released_s:
                released.append(sample)
                self._released_s = sample[0]
        return released

    def keep(self, time_s: float, value: float) -> None:
        """Append one released sample."""
        self.times.append(time_s)
        self.values.append(value)

    def drop_before(self, before_s: float) -> None:
        """Drop what is older; at least one sample stays, so that the last value is always known."""
        count = min(bisect_left(self.times, before_s), len(self.times) - 1)
        if count > 0:
            del self.times[:count], self.values[:count]

    def between(self, start_s: float, end_s: float) -> tuple[FloatArray, FloatArray]:
        """Times and values with start_s <= time <= end_s."""
        first, last = bisect_left(self.times, start_s), bisect_right(self.times, end_s)
        return np.array(self.times[first:last]), np.array(self.values[first:last])

    def last_at(self, time_s: float) -> float | None:
        """The value held at a time: the newest sample not after it."""
        index = bisect_right(self.times, time_s)
        return self.values[index - 1] if index else None
