"""What the driver asks: fully open or not, from whichever channel can tell.

A raw percentage is not always what it says: many pedals end at 75 to 95 %. The full scale is the
highest value the channel has held in the session, unless the map gives it.
"""

from collections import deque
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.segmenting.history import History
from analysis.segmenting.staircase import Staircase
from decode.cadence import period_s
from decode.quantities import Quantity
from decode.samples import Channel, Samples

LOWEST_FULL_SCALE: Final = 77.0  # %; pedals end at 75 to 95 % (design), and 75 is open to 77
HIGHEST_FULL_SCALE: Final = 102.0  # %; rounding and noise above 100, beyond it a broken value
ATMOSPHERE_KPA: Final = 100.0  # manifold pressure without vacuum, where no barometer says better
BOOSTED_KPA: Final = 120.0  # a manifold that has held this much has a turbo behind it
_HELD_SAMPLES: Final = 3  # a value counts as held when three samples in a row reach it ...
_SLOW_INTERVAL_S: Final = 0.3  # ... or two, where the channel comes slower than this
_NEWEST: Final = 6  # samples that tell how often it comes
ALIVE_S: Final = 2.5  # three readings of a signal polled every 0.9 s (measured on a real car)

MOMENT_S: Final = 3.0  # before the first open sample: one reading of a slowly polled pedal
BUILD_UP_S: Final = 8.0  # a turbo builds its pressure in less


@dataclass(frozen=True, slots=True)
class Opening:
    """Shares of full scale: open at or above the one, closed below the other."""

    open_at: float
    closed_below: float


POSITION: Final = Opening(0.945, 0.90)  # 5 % for noise and end-stop wear, 5 % hysteresis
VACUUM_GONE: Final = Opening(0.92, 0.85)  # a wide-open throttle and air filter lose a few percent
BOOSTED: Final = Opening(0.75, 0.60)  # full load, boost still building or tapering at high speed


class Intent:
    """One channel read as the driver's wish."""

    def __init__(self, channel: Channel) -> None:
        assert channel.quantity is not None
        self.channel = channel
        self.quantity: Quantity = channel.quantity
        self.history = History()
        self.is_position = self.quantity in (
            Quantity.PEDAL_POSITION,
            Quantity.THROTTLE_POSITION,
        )
        self._offset = ATMOSPHERE_KPA if self.quantity is Quantity.BOOST_PRESSURE else 0.0
        self._held: deque[float] = deque(maxlen=_HELD_SAMPLES)
        self._staircase = Staircase()
        self._top = 0.0
        self.seen_s = -np.inf  # the newest sample, a reading or a repeat
        self.is_open = False
        self.opened_s = -np.inf  # the newest sample that was open

    def put(self, samples: Samples) -> None:
        """Take new samples; gauge pressure becomes absolute."""
        self.history.put(Samples(samples.time_s, samples.value + self._offset))

    def release(self, until_s: float) -> None:
        """Let in what the clock has reached, and learn the full scale from it."""
        for time_s, value in self.history.release(until_s):
            if self.is_position and not -5.0 <= value <= HIGHEST_FULL_SCALE + 3.0:
                continue
            self.seen_s = time_s
            if not self._staircase.is_fresh(time_s, value):
                continue
            self.history.keep(time_s, value)
            self._learn(value)
            opening = self.opening
            threshold = opening.closed_below if self.is_open else opening.open_at
            self.is_open = value >= threshold * self.full
            if self.is_open:
                self.opened_s = time_s

    def _learn(self, value: float) -> None:
        self._held.append(value)
        wanted = _HELD_SAMPLES if self.interval_s < _SLOW_INTERVAL_S else _HELD_SAMPLES - 1
        newest = list(self._held)[-wanted:]
        if len(newest) == wanted:
            self._top = max(self._top, min(newest))

    @property
    def is_the_foot(self) -> bool:
        """Whether it is the pedal itself: only that is never closed by the ECU."""
        return self.quantity is Quantity.PEDAL_POSITION

    @property
    def full(self) -> float:
        """The value taken as fully open, in the channel's unit (pressure: absolute kPa)."""
        if self.channel.full_scale is not None:
            return self.channel.full_scale
        if self.is_position:
            return min(max(self._top, LOWEST_FULL_SCALE), HIGHEST_FULL_SCALE)
        return max(self._top, 0.9 * ATMOSPHERE_KPA)

    @property
    def full_as_read(self) -> float:
        """The same on the channel's own scale."""
        return self.full - self._offset

    @property
    def is_learned(self) -> bool:
        """Whether `full` comes from the session and not from the map."""
        return self.channel.full_scale is None

    @property
    def opening(self) -> Opening:
        """The shares of full scale that fit the quantity."""
        if self.is_position:
            return POSITION
        return BOOSTED if self.full > BOOSTED_KPA else VACUUM_GONE

    @property
    def interval_s(self) -> float:
        """Median time between the newest samples; 0 before there are two."""
        return period_s(self.history.times[-_NEWEST:])

    def is_alive(self, at_s: float) -> bool:
        """Whether it has spoken lately."""
        return at_s - self.seen_s <= ALIVE_S

    @property
    def has_delivered(self) -> bool:
        """Whether it has ever delivered a value."""
        return bool(self.history.times)

    def reached(self, start_s: float, end_s: float) -> bool:
        """Whether the stretch came fully open, judged with the full scale as known now."""
        values = self.history.between(start_s, end_s)[1]
        return len(values) > 0 and float(np.max(values)) >= self.opening.open_at * self.full

    def open_share(self, start_s: float, end_s: float) -> float:
        """Share of the readings in the stretch that are fully open; 1 where there is none."""
        values = self.history.between(start_s, end_s)[1]
        if not len(values):
            return 1.0
        return float(np.mean(values >= self.opening.closed_below * self.full))

    def share(self, at_s: float) -> float:
        """The value held at a time as a share of full scale; 0 before the first."""
        value = self.history.last_at(at_s)
        return 0.0 if value is None else value / self.full

    def window(self, open_s: float, end_s: float) -> tuple[float, float]:
        """Between which two instants it came fully open for the stretch from open_s to end_s: the
        last sample below open and the first one not below.

        Judged with the full scale as known now, not as it was then. Pressure follows the wish with
        a delay: there it is the moment at which the vacuum went.
        """
        before_s = MOMENT_S if self.is_position else BUILD_UP_S
        times, values = self.history.between(open_s - before_s, end_s)
        below = np.flatnonzero(values < self._certainly_closed)
        if not len(below):
            first_s = float(times[0]) if len(times) else open_s
            return first_s, first_s
        after = min(int(below[-1]) + 1, len(times) - 1)
        return float(times[below[-1]]), float(times[after])

    @property
    def _certainly_closed(self) -> float:
        closed = self.opening.closed_below * self.full
        return (
            closed if self.is_position else min(closed, VACUUM_GONE.closed_below * ATMOSPHERE_KPA)
        )
