"""A channel that is polled slowly but written often: only the front edge of a step is a reading."""

from collections import deque
from typing import Final

import numpy as np

LONGEST_UPDATE_S: Final = 2.0  # a value that stays longer than this is steady, not slowly polled
REPEAT_SHARE: Final = 0.9  # a repeat sooner than this share of the update interval is no reading
_CHANGES: Final = 9  # the update interval is learned from so many ...
_QUARTER: Final = 4  # ... as the shortest but for a quarter: a value may stay over several updates


class Staircase:
    """Tells readings from repeats; the update interval is learned from the time between changes."""

    def __init__(self) -> None:
        self._value: float | None = None
        self._changed_s = -np.inf
        self._fresh_s = -np.inf
        self._gaps: deque[float] = deque(maxlen=_CHANGES)
        self._update_s = 0.0

    def is_fresh(self, time_s: float, value: float) -> bool:
        """Whether this sample is a reading of its own; times must ascend."""
        changed = value != self._value
        if changed:
            self._learn(time_s)
            self._value, self._changed_s = value, time_s
        fresh = changed or time_s - self._fresh_s >= REPEAT_SHARE * self._update_s
        if fresh:
            self._fresh_s = time_s
        return fresh

    def _learn(self, time_s: float) -> None:
        gap_s = time_s - self._changed_s
        if gap_s < LONGEST_UPDATE_S:
            self._gaps.append(gap_s)
            self._update_s = sorted(self._gaps)[len(self._gaps) // _QUARTER]
