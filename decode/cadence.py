"""How often samples come: of samples at hand, and learned while they come."""

from collections.abc import Sequence
from statistics import median
from typing import Final

import numpy as np
from numpy.typing import NDArray

from decode.samples import FloatArray

# A channel is silent after so many of its periods: a busy bus delays a message by two or three.
SILENT_PERIODS: Final = 5.0


def period_s(time_s: FloatArray | Sequence[float]) -> float:
    """The median time between samples; 0 where there are fewer than two. time_s: ascending."""
    return median(np.diff(time_s).tolist()) if len(time_s) > 1 else 0.0


def silences(time_s: FloatArray) -> NDArray[np.intp]:
    """The samples after which nothing comes for SILENT_PERIODS. time_s: ascending."""
    return np.flatnonzero(np.diff(time_s) > SILENT_PERIODS * period_s(time_s))


class Cadence:
    """When something last came and how often it usually does, learned while it comes.

    newest_share: weight of the newest interval in the learned one.
    """

    def __init__(self, newest_share: float) -> None:
        self.last_s: float | None = None
        self.interval_s = 0.0
        self._newest_share = newest_share

    def note(self, first_s: float, last_s: float, count: int) -> None:
        """Take the times of the first and the last of count new samples."""
        before_s = first_s if self.last_s is None else self.last_s
        if last_s <= before_s:
            self.last_s = before_s
            return
        interval_s = (last_s - before_s) / count
        if self.interval_s == 0.0:
            self.interval_s = interval_s
        self.interval_s += self._newest_share * (interval_s - self.interval_s)
        self.last_s = last_s

    def silent_after_s(self, at_least_s: float) -> float:
        """How long it may be away before it counts as silent."""
        return max(at_least_s, SILENT_PERIODS * self.interval_s)

    def is_silent(self, now_s: float, at_least_s: float) -> bool:
        """Whether it has been away for longer; what never came is not away."""
        return self.last_s is not None and now_s - self.last_s > self.silent_after_s(at_least_s)
