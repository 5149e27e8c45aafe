"""The samples of one channel in order of time, released to the segmenter as its clock reaches them.

What arrives may be cut into batches anyhow: `put` sorts it in, `release` hands out what the clock
has reached. Because nothing is released before the clock reaches it, the segmenter sees the same
sequence however the batches were cut.
"""

from bisect import bisect_left, bisect_right
from typing import Final

import numpy as np

from decode.samples import FloatArray, Samples

LATENESS_S: Final = 0.06
"""How late a sample may come: a USB serial port holds back 16 ms, a busy reader as much again.
It is also how far the segmenter's clock stays behind, so it is part of every announcement."""

_NOTHING: Final[FloatArray] = np.empty(0)


class History:
    """One channel: `times` and `values` ascend in time, without duplicates and without NaN."""

    def __init__(self) -> None:
        self.times: list[float] = []
        self.values: list[float] = []
        self._waiting_time = _NOTHING
        self._waiting_value = _NOTHING
        self._newest_s = -np.inf

    def put(self, samples: Samples) -> None:
        """Take new samples; those out of order by more than the lateness are dropped."""
        known = np.isfinite(samples.value) & np.isfinite(samples.time_s)
        time_s, value = samples.time_s[known], samples.value[known]
        if not len(time_s):
            return
        newest = np.maximum.accumulate(np.maximum(time_s, self._newest_s))
        self._newest_s = float(newest[-1])
        in_time = time_s > newest - LATENESS_S
        time_s = np.concatenate((self._waiting_time, time_s[in_time]))
        value = np.concatenate((self._waiting_value, value[in_time]))
        order = np.argsort(time_s, kind="stable")
        self._waiting_time, self._waiting_value = time_s[order], value[order]

    @property
    def next_s(self) -> float:
        """Time of the first sample not yet released; infinite where none waits."""
        return float(self._waiting_time[0]) if len(self._waiting_time) else np.inf

    @property
    def newest_s(self) -> float:
        """Time of the newest sample ever put; minus infinity before the first."""
        return float(self._newest_s)

    def release(self, until_s: float) -> list[tuple[float, float]]:
        """The samples up to and including until_s, in order of time, each time once.

        The caller decides which of them to `keep`.
        """
        if not len(self._waiting_time) or self._waiting_time[0] > until_s:
            return []
        count = int(np.searchsorted(self._waiting_time, until_s, side="right"))
        times = self._waiting_time[:count].tolist()
        values = self._waiting_value[:count].tolist()
        self._waiting_time = self._waiting_time[count:]
        self._waiting_value = self._waiting_value[count:]
        last_s = self.times[-1] if self.times else -np.inf
        released = []
        for time_s, value in zip(times, values, strict=True):
            if time_s > last_s:
                released.append((time_s, value))
                last_s = time_s
        return released

    def keep(self, time_s: float, value: float) -> None:
        """Append one released sample."""
        self.times.append(time_s)
        self.values.append(value)

    def forget(self, before_s: float) -> None:
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
