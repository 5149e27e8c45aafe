"""Where a sweep starts and ends: looked for again, more sharply, once it is known to be one."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.segmenting.kinks import find_kink, noise
from decode.cadence import period_s, silences
from decode.samples import FloatArray

LEAVE_RPM: Final = 40.0  # speed held by a brake hunts by less than this ...
LEAVE_SHARE: Final = 0.015  # ... or less than this share of it
NOISE_FACTOR: Final = 4.0  # standard deviations that noise does not pass by chance
HOLD_S: Final = 0.7  # a hold lasts longer than a closure's flat spot usually does
SHORTEST_HOLD_S: Final = 0.25  # less than this after the wish is the engine's own delay
SLOWEST_S: Final = 0.5  # readings further apart show no bend at all
SLOW_READINGS: Final = 1.5  # of slow engine speed: a start without a hold lies within these
HOLD_DURATION_SHARE: Final = 0.05  # ... and longer in a slow sweep, in proportion
HOLD_READINGS: Final = 2.5  # ... and more than two readings
HOLD_SLOPE_SHARE: Final = 0.12  # of the sweep's own slope: what rises less is held
HOLD_RANGE_SHARE: Final = 0.4  # of the speed range: a hold higher up is not where a sweep begins
LOOK_BACK_S: Final = 1.5  # of hold is enough to know its level
LEVELS_AHEAD: Final = 4.0  # the sweep's beginning reaches this many times the leaving level
FALL_S: Final = 0.25  # of the fall after the end is looked at, where it is there
RISE_S: Final = 0.4  # of the rise before the end
SHARP_S: Final = 0.1  # bounds known this well from the wish alone need no engine speed
PLATEAU_SHARE: Final = 0.01  # of the peak: a limiter bounces within it
PLATEAU_S: Final = 0.4  # a lift's own rounding is shorter
PLATEAU_SLOPE_SHARE: Final = 0.2  # of the rise before: what still climbs is no plateau
_GRID_S: Final = 0.05  # finer than any hold, coarser than noise
_FEWEST: Final = 3  # points a bent line needs


@dataclass(frozen=True, slots=True)
class Bend:
    """A bound: when, and at which engine speed."""

    at_s: float
    rpm: float


@dataclass(frozen=True, slots=True)
class Trace:
    """Engine speed over a stretch of time: float64[n] each, time ascending."""

    time_s: FloatArray
    rpm: FloatArray

    def between(self, start_s: float, end_s: float) -> "Trace":
        """The readings with start_s <= time <= end_s."""
        first = np.searchsorted(self.time_s, start_s, side="left")
        last = np.searchsorted(self.time_s, end_s, side="right")
        return Trace(self.time_s[first:last], self.rpm[first:last])

    @property
    def interval_s(self) -> float:
        """Median time between readings; 0 where there are fewer than two."""
        return period_s(self.time_s)

    def bend(self, at_s: float) -> Bend:
        """The bound at a time."""
        return Bend(at_s, self.at(at_s))

    def at(self, time_s: float) -> float:
        """Speed at a time, linear between readings, smoothed over a few of them."""
        near = self.between(time_s - 0.06, time_s + 0.06)
        if len(near.time_s) >= _FEWEST:
            return float(np.polyfit(near.time_s - time_s, near.rpm, 1)[1])
        return float(np.interp(time_s, self.time_s, self.rpm))


def leave_level(trace: Trace) -> float:
    """How far above its hold speed the engine must be to have left it, rpm."""
    return max(
        LEAVE_RPM,
        LEAVE_SHARE * float(np.min(trace.rpm)),
        NOISE_FACTOR * noise(trace.time_s, trace.rpm),
    )


def find_start(trace: Trace, open_from_s: float, open_to_s: float, peak_s: float) -> Bend:
    """Where the sweep leaves its hold speed.

    open_from_s, open_to_s: the driver's full wish began between these two. peak_s: the sweep's
    highest speed. Without a hold the sweep starts with the wish.
    """
    risen = trace.between(open_to_s, peak_s)
    if len(risen.time_s) < _FEWEST:
        return trace.bend(open_to_s)
    level = leave_level(risen)
    base_s, base_rpm = _hold_end(risen, level)
    not_yet = np.flatnonzero(risen.rpm <= base_rpm + level)
    left_s = max(base_s, float(risen.time_s[not_yet[-1]]))
    otherwise_s = left_s
    if not _was_held(risen, base_s, left_s, level):
        slow = risen.interval_s > SLOWEST_S
        if slow or max(open_to_s - open_from_s, risen.interval_s) <= SHARP_S:
            return trace.bend(open_to_s)
        otherwise_s = open_to_s
        left_s = min(left_s, open_to_s + SLOW_READINGS * risen.interval_s)
    kink_s = _bend_up(trace, left_s, base_rpm, level, open_from_s, peak_s)
    found_s = otherwise_s if kink_s is None else kink_s
    return trace.bend(float(np.clip(found_s, open_from_s, peak_s)))


def _was_held(risen: Trace, base_s: float, left_s: float, level: float) -> bool:
    """Whether the speed stayed low for longer than a sweep of this slope needs to leave."""
    open_s, peak_s = float(risen.time_s[0]), float(risen.time_s[-1])
    shortest_s = max(SHORTEST_HOLD_S, HOLD_READINGS * risen.interval_s)
    if base_s - open_s >= shortest_s:
        return True
    slope = (float(np.max(risen.rpm)) - float(np.min(risen.rpm))) / max(peak_s - open_s, 0.1)
    return left_s - open_s > 2.0 * level / max(slope, 1.0) + shortest_s


def _hold_end(risen: Trace, level: float) -> tuple[float, float]:
    """End and speed of the last hold low in the speed range; else the lowest point."""
    lowest = int(np.argmin(risen.rpm))
    low_rpm, high_rpm = float(risen.rpm[lowest]), float(np.max(risen.rpm))
    grid = np.arange(risen.time_s[0], risen.time_s[-1], _GRID_S)
    hold_s = max(
        HOLD_S,
        HOLD_DURATION_SHARE * float(grid[-1] - risen.time_s[lowest]) if len(grid) else 0.0,
        HOLD_READINGS * risen.interval_s,
    )
    steps = round(hold_s / _GRID_S)
    if len(grid) <= 2 * steps:
        return float(risen.time_s[lowest]), low_rpm
    rpm = np.convolve(np.interp(grid, risen.time_s, risen.rpm), np.ones(5) / 5, mode="same")
    gain = rpm[steps:-2] - rpm[: -steps - 2]
    rising = float(np.median(gain[gain > 0])) if np.any(gain > 0) else 0.0
    held = np.abs(gain) < max(
        HOLD_SLOPE_SHARE * rising, NOISE_FACTOR * noise(risen.time_s, risen.rpm) / 2
    )
    held &= _all_seen(grid, risen, steps)
    low = rpm[steps:-2] < low_rpm + HOLD_RANGE_SHARE * (high_rpm - low_rpm)
    found = np.flatnonzero(held & low)
    found = found[found >= 2]  # the average's own edge
    if not len(found):
        return float(risen.time_s[lowest]), low_rpm
    last = int(found[-1])
    return float(grid[last + steps]), float(np.mean(rpm[last : last + steps]))


def _all_seen(grid: FloatArray, risen: Trace, steps: int) -> NDArray[np.bool_]:
    """Whether no silence lies in the steps up to each point of the grid, as `held` has them: what
    stands still there was only interpolated."""
    last = np.searchsorted(risen.time_s, grid, side="right") - 1
    unseen = np.concatenate(([0], np.cumsum(np.isin(last, silences(risen.time_s)))))
    return np.asarray(unseen[steps + 1 : -2] == unseen[: -steps - 3])


def _bend_up(
    trace: Trace,
    left_s: float,
    base_rpm: float,
    level: float,
    open_from_s: float,
    peak_s: float,
) -> float | None:
    """The upward bend between hold and rise, not after left_s; None where there is none."""
    ahead = trace.between(left_s, peak_s)
    far = np.flatnonzero(ahead.rpm > base_rpm + LEVELS_AHEAD * level)
    until_s = float(ahead.time_s[far[0]]) if len(far) else peak_s
    around = trace.between(max(left_s - LOOK_BACK_S, open_from_s - 0.3), until_s)
    if len(around.time_s) < _FEWEST + 1:
        return None
    earliest_s = max(float(around.time_s[0]), open_from_s)
    kink = find_kink(around.time_s, around.rpm, earliest_s, max(left_s, earliest_s))
    return kink.at_s if kink.slope_after > kink.slope_before else None


def find_end(trace: Trace, earliest_s: float, latest_s: float, peak_s: float) -> Bend:
    """Where the sweep ends: the bend from rise to fall (or to the limiter's level).

    It is looked for between earliest_s and latest_s; peak_s: the highest smoothed speed.
    """
    if latest_s - earliest_s <= SHARP_S:
        return trace.bend((earliest_s + latest_s) / 2)
    around = trace.between(min(earliest_s, peak_s) - RISE_S, max(latest_s, peak_s) + FALL_S)
    before = np.count_nonzero(around.time_s < peak_s)
    if before < 2 or len(around.time_s) - before < 2:
        return trace.bend(float(np.clip(peak_s, earliest_s, latest_s)))
    kink = find_kink(around.time_s, around.rpm, earliest_s, latest_s)
    return Bend(kink.at_s, kink.value)


def find_plateau(trace: Trace, peak_s: float, latest_s: float) -> Bend | None:
    """Where the speed stopped rising well before latest_s, though nobody had lifted; else None."""
    until = trace.between(trace.time_s[0], latest_s)
    peak_rpm = trace.at(peak_s)
    reached = np.flatnonzero(until.rpm >= (1.0 - PLATEAU_SHARE) * peak_rpm)
    if not len(reached) or latest_s - until.time_s[reached[0]] < PLATEAU_S:
        return None
    first_s = float(until.time_s[reached[0]])
    around = until.between(first_s - PLATEAU_S, latest_s)
    if len(around.time_s) < 2 * _FEWEST:
        return None
    kink = find_kink(around.time_s, around.rpm, first_s - PLATEAU_S / 2, latest_s - PLATEAU_S / 2)
    flat = kink.slope_after < PLATEAU_SLOPE_SHARE * kink.slope_before
    return Bend(kink.at_s, kink.value) if flat else None
