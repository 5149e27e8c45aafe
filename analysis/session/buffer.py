"""The last minutes of every channel, so that a pull can be cut out when its bounds are known."""

from typing import Final

import numpy as np

from decode.samples import FloatArray, SampleBatch, Samples

KEEP_S: Final = 300.0  # the longest pull met (a 61 s road pull, a 40 s ramp with its hold) fits 4 x
FIRST_CAPACITY: Final = 1024
# Batches that wait to be copied together: one by one, 200 channels would cost a twelfth of the
# whole pipeline under a full bus; more at once would hold up an alert for too long.
COPIED_TOGETHER: Final = 16


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
        self._waiting: list[SampleBatch] = []

    def append(self, samples: SampleBatch) -> None:
        """Keep a batch; its arrays must not be changed afterwards."""
        self._waiting.append(samples)
        if len(self._waiting) == COPIED_TOGETHER:
            self._copy()

    def _copy(self) -> None:
        parts: dict[str, list[Samples]] = {}
        for batch in self._waiting:
            for name, samples in batch.items():
                parts.setdefault(name, []).append(samples)
        self._waiting = []
        for name, found in parts.items():
            if name not in self._columns:
                self._columns[name] = _Column()
            time_s = np.concatenate([samples.time_s for samples in found])
            value = np.concatenate([samples.value for samples in found])
            self._columns[name].append(Samples(time_s, value))

    def window(self, start_s: float, end_s: float) -> dict[str, Samples]:
        """Per channel the samples with start_s <= time <= end_s, strictly ascending in time: of
        samples with one time the first that arrived is kept."""
        self._copy()
        return {name: column.window(start_s, end_s) for name, column in self._columns.items()}
