"""The last minutes of every channel, so that a pull can be cut out when its bounds are known."""

from typing import Final

import numpy as np

from decode.samples import FloatArray, SampleBatch, Samples

KEEP_S: Final = 300.0  # the longest pull met (a 61 s road pull, a 40 s ramp with its hold) fits 4 x
FIRST_CAPACITY: Final = 1024


class _Column:
    """One channel's samples in two arrays with room to grow at the end."""

    __slots__ = ("_end", "_time_s", "_value")

    def __init__(self) -> None:
        self._time_s: FloatArray = np.empty(FIRST_CAPACITY)
        self._value: FloatArray = np.empty(FIRST_CAPACITY)
        self._end = 0

    def append(self, samples: Samples) -> None:
        end = self._end + len(samples)
        if end > len(self._time_s):
            self._make_room(len(samples))
            end = self._end + len(samples)
        self._time_s[self._end : end] = samples.time_s
        self._value[self._end : end] = samples.value
        self._end = end

    def _make_room(self, count: int) -> None:
        """Forget what is older than KEEP_S; double the arrays where that is not enough."""
        held_s = self._time_s[: self._end]
        keep_from = int(np.argmax(held_s > held_s.max() - KEEP_S)) if self._end else 0
        kept = self._end - keep_from
        capacity = len(self._time_s)
        while kept + count > capacity // 2:
            capacity *= 2
        for name in ("_time_s", "_value"):
            old: FloatArray = getattr(self, name)
            new = np.empty(capacity)
            new[:kept] = old[keep_from : self._end]
            setattr(self, name, new)
        self._end = kept

    def window(self, start_s: float, end_s: float) -> Samples:
        time_s = self._time_s[: self._end]
        inside = np.flatnonzero((time_s >= start_s) & (time_s <= end_s))
        # Adapters repeat and swap time stamps; analysis needs strictly ascending time.
        ascending, first = np.unique(time_s[inside], return_index=True)
        return Samples(ascending, self._value[: self._end][inside][first])


class SampleBuffer:
    """Every channel of a session for at least the last KEEP_S seconds."""

    def __init__(self) -> None:
        self._columns: dict[str, _Column] = {}

    def append(self, samples: SampleBatch) -> None:
        """Keep a batch; its samples are copied."""
        for name, channel_samples in samples.items():
            column = self._columns.get(name)
            if column is None:
                column = self._columns[name] = _Column()
            column.append(channel_samples)

    def window(self, start_s: float, end_s: float) -> dict[str, Samples]:
        """Per channel the samples with start_s <= time <= end_s, strictly ascending in time: of
        samples with one time the first that arrived is kept."""
        return {name: column.window(start_s, end_s) for name, column in self._columns.items()}
