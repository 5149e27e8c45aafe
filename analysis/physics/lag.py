"""Lag: how far a channel comes behind what it follows, measured from both, and taken out.

A sensor, a gas path, or a pressure controller answers late: with a delay (gas travel, a bus) and a
first-order time constant (a probe's heat capacity, a volume that fills). Behind a rising target
that looks like a shortage, after a step like a fault. A lag has a longest one that its part can
have, and a channel that stays away from its target does so after any lag.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from decode.cadence import period_s
from decode.samples import FloatArray, Samples

GRID_S: Final = 0.01  # of the course of what is followed: finer than any bus sends it
TAIL: Final = 5.0  # time constants after which a step is over but for 0.7 %
DELAY_STEPS: Final = 24  # of the longest lag: 25 ms of 0.6 s
CONSTANT_SHARES: Final = (0.0, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0)
GAIN: Final = (0.8, 1.25)  # of a channel over what it follows: beyond it follows something else
DRIFT_ORDER: Final = 2  # what parts the two slowly is no lag: an offset, a drift, a bow
FREE: Final = DRIFT_ORDER + 4  # parameters of a fit: drift, gain, delay, time constant
LEAST_SAMPLES: Final = 12
EXACT: Final = 0.002  # of the spread of what is followed: no fit counts as closer than this
MOST_SAMPLES: Final = 1_000  # of a run: more is read every second time, every third ...
KNOWN_SHARE: Final = 0.2  # of the longest lag: a wider spread tells nothing


@dataclass(frozen=True, slots=True)
class Lag:
    """delay_s, then constant_s of a first order; spread_s: standard uncertainty of their sum."""

    delay_s: float
    constant_s: float
    spread_s: float = 0.0

    @property
    def total_s(self) -> float:
        """How far behind a steady ramp the channel comes."""
        return self.delay_s + self.constant_s


def after_lag(followed: Samples, lag: Lag, time_s: FloatArray) -> FloatArray:
    """What is followed, as a channel with this lag shows it at each time, float64[n]; before its
    first sample it counts as steady."""
    first_s, last_s = float(time_s.min(initial=np.inf)), float(time_s.max(initial=-np.inf))
    if first_s > last_s:
        return np.empty(0)
    course = _course(followed, lag.constant_s, first_s - lag.delay_s, last_s - lag.delay_s)
    return np.interp(time_s - lag.delay_s, course.time_s, course.value)


def extremes(
    followed: Samples, lag: Lag | None, at_most_s: float, time_s: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """The lowest and the highest that a healthy channel shows at each time, float64[n] each.

    Behind a known lag, give or take two of its spreads; where it could not be told, anything
    between none and the longest, be it a delay or of first order. Between two of its readings what
    is followed may have been either all the time.
    """
    if lag is None:
        low, high = _within(followed, at_most_s, 0.0, time_s)
        slowest = after_lag(followed, Lag(0.0, at_most_s), time_s)
        low, high = np.minimum(low, slowest), np.maximum(high, slowest)
    else:
        course = Samples(time_s, after_lag(followed, lag, time_s))
        # a lag that cannot be shorter than none: the later half of the interval is cut there
        reach_s = 2 * lag.spread_s
        low, high = _within(course, reach_s, min(reach_s, lag.total_s), time_s)
    late_s = at_most_s if lag is None else lag.total_s
    first, last = _readings_around(followed, time_s - late_s), _readings_around(followed, time_s)
    return np.minimum.reduce([low, *first, *last]), np.maximum.reduce([high, *first, *last])


def _readings_around(samples: Samples, time_s: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The reading at or before each time and the one after it, float64[n] each."""
    after = np.searchsorted(samples.time_s, time_s, side="right")
    last = len(samples) - 1
    return samples.value[np.clip(after - 1, 0, last)], samples.value[np.clip(after, 0, last)]


def graced(
    followed: Samples, within_s: float, more_than: float, time_s: FloatArray
) -> NDArray[np.bool_]:
    """Where what is followed moved by more than so much within the last within_s, bool[n]: nothing
    that comes one such lag behind can be judged there."""
    low, high = _within(followed, within_s, 0.0, time_s)
    return high - low > more_than


def measure(runs: Iterable[tuple[Samples, Samples]], at_most_s: float) -> Lag | None:
    """The lag that all runs share, each a channel and what it follows; None where it cannot be
    told: what is followed moves too evenly, too little for the noise, or too seldom is read.

    at_most_s: the longest the part can have; nothing longer is found. Fitted are the lag and, of
    each run, a gain near one and what parts the two slowly, so that a sagging pump or a sensor's
    offset is not taken for lag. Every lag is weighed by its likelihood: mean and spread are of the
    posterior with all lags up to the longest alike before. Readings are counted as independent as
    the fit's residuals are.
    """
    delays_s, constants_s = _candidates(at_most_s)
    evidence, slowest_s = np.zeros(len(delays_s)), 0.0
    for channel, followed in runs:
        evidence += _log_likelihood(channel, followed, delays_s, constants_s, at_most_s)
        slowest_s = max(slowest_s, period_s(followed.time_s))
    if not evidence.any():
        return None
    weight: FloatArray = np.exp(evidence - evidence.max())
    weight /= weight.sum()
    delay_s, constant_s = float(weight @ delays_s), float(weight @ constants_s)
    total_s = delays_s + constants_s
    variance = float(weight @ (total_s - delay_s - constant_s) ** 2)
    # a step lies anywhere between two readings, the lag anywhere between two candidates
    variance += (slowest_s**2 + (at_most_s / DELAY_STEPS) ** 2) / 12
    if variance > (KNOWN_SHARE * at_most_s) ** 2:
        return None
    return Lag(delay_s, constant_s, float(np.sqrt(variance)))


def _candidates(at_most_s: float) -> tuple[FloatArray, FloatArray]:
    """Every delay with every time constant whose sum is at most so much; constants in blocks."""
    delays = np.linspace(0.0, at_most_s, DELAY_STEPS + 1)
    pairs = [
        (delay, share * at_most_s)
        for share in CONSTANT_SHARES
        for delay in delays
        if delay + share * at_most_s <= at_most_s * (1.0 + 1e-9)
    ]
    both = np.array(pairs)
    return both[:, 0], both[:, 1]


def _log_likelihood(
    channel: Samples,
    followed: Samples,
    delays_s: FloatArray,
    constants_s: FloatArray,
    at_most_s: float,
) -> FloatArray:
    """Of one run, for each candidate, the best at 0, float64[candidates]; all 0 where it says
    nothing."""
    nothing = np.zeros(len(delays_s))
    if len(channel) == 0 or len(followed) < 2:
        return nothing
    # what the channel followed before the first sample is not known: one longest lag is left out
    known = channel.between(
        max(float(channel.time_s[0]), float(followed.time_s[0]) + at_most_s),
        float(followed.time_s[-1]),
    )
    if len(known) < LEAST_SAMPLES or known.time_s[-1] - known.time_s[0] < 2 * at_most_s:
        return nothing
    every = slice(None, None, -(-len(known) // MOST_SAMPLES))
    time_s = known.time_s[every]
    drift = _drift(time_s)
    seen = _without(drift, known.value[every])
    shown = np.empty((len(delays_s), len(time_s)))
    for constant_s in np.unique(constants_s):
        course = _course(followed, constant_s, float(time_s[0]) - at_most_s, float(time_s[-1]))
        rows = np.flatnonzero(constants_s == constant_s)
        shown[rows] = np.interp(time_s[None, :] - delays_s[rows, None], course.time_s, course.value)
    moved = _without(drift, shown)
    energy = (moved**2).sum(axis=1)
    spread = float(np.interp(time_s, followed.time_s, followed.value).std())
    exact = len(time_s) * (EXACT * spread) ** 2
    if spread == 0.0 or energy.max() <= exact:
        return nothing
    gain = np.clip(moved @ seen / np.maximum(energy, exact), *GAIN)
    rest = seen[None, :] - gain[:, None] * moved
    squares = (rest**2).sum(axis=1) + exact
    best = int(squares.argmin())
    degrees = _independent(rest[best]) - FREE
    if degrees <= 0:
        return nothing
    likelihood: FloatArray = -0.5 * degrees * np.log(squares / squares[best])
    return likelihood


def _drift(time_s: FloatArray) -> FloatArray:
    """An orthonormal base of what changes slowly over the run, float64[n, DRIFT_ORDER + 1]."""
    middle, half = (time_s[0] + time_s[-1]) / 2, (time_s[-1] - time_s[0]) / 2
    powers = np.vander((time_s - middle) / half, DRIFT_ORDER + 1)
    base: FloatArray = np.linalg.qr(powers)[0]
    return base


def _without(base: FloatArray, value: FloatArray) -> FloatArray:
    """What the base does not explain of values along the last axis."""
    rest: FloatArray = value - (value @ base) @ base.T
    return rest


def _independent(rest: FloatArray) -> float:
    """How many independent values residuals amount to, by their correlation from one to the next
    (of a first-order process: n (1 - r) / (1 + r), Bartlett 1946)."""
    energy = float((rest**2).sum())
    correlation = float(rest[1:] @ rest[:-1]) / energy if energy > 0.0 else 0.0
    correlation = min(max(correlation, 0.0), 0.99)
    return len(rest) * (1.0 - correlation) / (1.0 + correlation)


def _course(followed: Samples, constant_s: float, first_s: float, last_s: float) -> Samples:
    """What is followed behind one time constant, between two times."""
    if constant_s < GRID_S:
        return followed
    time_s = np.arange(first_s - TAIL * constant_s, last_s + 2 * GRID_S, GRID_S)
    value = np.interp(time_s, followed.time_s, followed.value)
    weight = np.exp(-np.arange(0.0, TAIL * constant_s, GRID_S) / constant_s)
    middle = (value[1:] + value[:-1]) / 2
    filtered = np.convolve(middle, weight / weight.sum(), mode="valid")
    return Samples(time_s[len(weight) :], filtered)


def _within(
    samples: Samples, before_s: float, after_s: float, time_s: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest from before_s before each time to after_s after it, linear between
    samples, float64[n] each."""
    if len(time_s) == 0:
        return np.empty(0), np.empty(0)
    starts_s, ends_s = time_s - before_s, time_s + after_s
    edges = [np.interp(t, samples.time_s, samples.value) for t in (starts_s, time_s, ends_s)]
    low, high = np.minimum.reduce(edges), np.maximum.reduce(edges)
    first = np.searchsorted(samples.time_s, starts_s)
    last = np.searchsorted(samples.time_s, ends_s, side="right")
    inside = np.flatnonzero(last > first)
    if len(inside):
        spans = np.column_stack((first[inside], last[inside])).ravel()
        padded = np.append(samples.value, samples.value[-1])
        low[inside] = np.minimum(low[inside], np.minimum.reduceat(padded, spans)[::2])
        high[inside] = np.maximum(high[inside], np.maximum.reduceat(padded, spans)[::2])
    return low, high
