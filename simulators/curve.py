"""A quantity over another, linear between points: fast enough to be asked at every step."""

from collections.abc import Iterable
from typing import Final

import numpy as np

Points = tuple[tuple[float, float], ...]
INTERVALS: Final = 256  # resampled evenly, so that a look-up is one division


class Curve:
    """Linear between the points (x ascending), held beyond both ends."""

    __slots__ = ("_first", "_last", "_scale", "_values")

    def __init__(self, points: Iterable[tuple[float, float]]) -> None:
        x, y = np.array(sorted(points), dtype=float).T
        even = np.linspace(x[0], x[-1], INTERVALS + 1) if len(x) > 1 else np.array([x[0], x[0] + 1])
        self._values: list[float] = np.interp(even, x, y).tolist()
        self._first = float(even[0])
        self._last = len(self._values) - 1
        self._scale = self._last / float(even[-1] - even[0])

    def at(self, x: float) -> float:
        """The value at x."""
        position = (x - self._first) * self._scale
        if position <= 0.0:
            return self._values[0]
        index = int(position)
        if index >= self._last:
            return self._values[-1]
        low = self._values[index]
        return low + (position - index) * (self._values[index + 1] - low)
