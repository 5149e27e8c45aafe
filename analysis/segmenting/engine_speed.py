"""Engine speed as the segmenter reads it: no impossible jumps, no repeats of a polled value."""

from bisect import bisect_left, bisect_right
from typing import Final

import numpy as np

from analysis.segmenting.history import History
from analysis.segmenting.staircase import Staircase
from decode.samples import FloatArray, Samples

HIGHEST_RPM: Final = 20_000.0  # above every road engine: what is higher is a broken value
JUMP_RPM: Final = 300.0  # noise and quantisation never jump this far from sample to sample ...
JUMP_RPM_PER_S: Final = 15_000.0  # ... beyond what an engine without load can gain or lose
BELIEVED: Final = 3  # samples that agree after a jump; broken readings come in ones and twos
SMOOTH_S: Final = 0.08  # as long as one combustion cycle at idle: hides noise, costs 40 ms
_NEWEST: Final = 9  # readings that tell the usual time between them


class EngineSpeed:
    """The plausible, fresh samples of one engine speed channel."""

    def __init__(self) -> None:
        self.history = History()
        self.first_s = np.inf  # the first reading ever
        self.seen_s = -np.inf  # the newest sample released, fresh or not
        self._doubtful: list[tuple[float, float]] = []
        self._raw: tuple[float, float] | None = None  # the last plausible sample
        self._staircase = Staircase()

    def put(self, samples: Samples) -> None:
        """Take new samples."""
        self.history.put(samples)

    def release(self, until_s: float) -> None:
        """Let in what the clock has reached."""
        for time_s, value in self.history.release(until_s):
            if 0.0 <= value <= HIGHEST_RPM:
                self._judge(time_s, value)

    def _judge(self, time_s: float, value: float) -> None:
        """A jump no engine can do is dropped; one that stays for a few samples is believed."""
        sample = (time_s, value)
        if self._raw is None or _can_follow(self._raw, sample):
            self._doubtful = []
            self._take(*sample)
            return
        if self._doubtful and not _can_follow(self._doubtful[-1], sample):
            self._doubtful = []
        self._doubtful.append(sample)
        if len(self._doubtful) == BELIEVED:
            for doubted in self._doubtful:
                self._take(*doubted)
            self._doubtful = []

    def _take(self, time_s: float, value: float) -> None:
        self.first_s = min(self.first_s, time_s)
        self.seen_s = time_s
        self._raw = (time_s, value)
        if self._staircase.is_fresh(time_s, value):
            self.history.keep(time_s, value)

    @property
    def has_delivered(self) -> bool:
        """Whether it has ever delivered a plausible value."""
        return bool(self.history.times)

    @property
    def interval_s(self) -> float:
        """Typical time between readings, from the newest ones; 0 before there are two."""
        newest = self.history.times[-_NEWEST:]
        return (newest[-1] - newest[0]) / (len(newest) - 1) if len(newest) > 1 else 0.0

    def smooth(self, time_s: float) -> tuple[float, float] | None:
        """Mean time and mean speed over the last SMOOTH_S; the newest reading where there is none.

        None before the first reading.
        """
        times, values = self.history.times, self.history.values
        last = bisect_right(times, time_s)
        if not last:
            return None
        first = min(bisect_left(times, time_s - SMOOTH_S), last - 1)
        count = last - first
        return sum(times[first:last]) / count, sum(values[first:last]) / count

    def newest(self, count: int) -> tuple[FloatArray, FloatArray]:
        """The newest readings: times in s, speeds in rpm."""
        return np.array(self.history.times[-count:]), np.array(self.history.values[-count:])

    def between(self, start_s: float, end_s: float) -> tuple[FloatArray, FloatArray]:
        """Readings with start_s <= time <= end_s: times in s, speeds in rpm."""
        return self.history.between(start_s, end_s)


def _can_follow(before: tuple[float, float], after: tuple[float, float]) -> bool:
    bound = JUMP_RPM + JUMP_RPM_PER_S * (after[0] - before[0])
    return abs(after[1] - before[1]) <= bound
