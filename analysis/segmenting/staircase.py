"""A channel that is polled slowly but written often: only the front edge of a step is a reading."""

from collections import deque
from typing import Final

import numpy as np

LONGEST_UPDATE_S: Final = 2.0  # a value that stays longer than this is steady, not slowly polled
REPEAT_SHARE: Final = 1.5  # a repeat sooner than this share of the update interval is no reading
OFTEN: Final = 2.0  # samples this many times as often as updates: only then are there repeats
_CHANGES: Final = 9  # intervals are learned from so many changes ...
_SECOND: Final = 1  # ... the shortest but one: a value may stay over several updates


class Staircase:
    """Tells readings from repeats; the update interval is learned from the time between changes."""

    def __init__(self) -> None:
        self._value: float | None = None
        self._changed_s = -np.inf
        self._fresh_s = -np.inf
        self._seen_s = -np.inf
        self._gaps: deque[float] = deque(maxlen=_CHANGES)
        self._update_s = 0.0

    def is_fresh(self, time_s: float, value: float) -> bool:
        """Whether this sample is a reading of its own; times must ascend."""
        interval_s, self._seen_s = time_s - self._seen_s, time_s
        if value != self._value:
            self._learn(time_s)
            self._value, self._changed_s, self._fresh_s = value, time_s, time_s
            return True
        repeats = OFTEN * interval_s < self._update_s
        if repeats and time_s - self._fresh_s < REPEAT_SHARE * self._update_s:
            return False
        self._fresh_s = time_s
        return True

    def _learn(self, time_s: float) -> None:
        gap_s = time_s - self._changed_s
        if gap_s < LONGEST_UPDATE_S:
            self._gaps.append(gap_s)
            self._update_s = sorted(self._gaps)[min(_SECOND, len(self._gaps) - 1)]
