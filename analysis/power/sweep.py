"""A pull as a function of engine speed: when each speed of the common grid is reached."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.model.pull import Pull
from analysis.power.smoothing import local_polynomial
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

GRID_STEP_RPM: Final = 50.0  # every pull of every job shares the multiples of it
SETTLE_S: Final = 0.1  # the segmenter's own accuracy: nearer to a boundary may be hold or lift
STEPS: Final = 50  # a window, at which the fit through engine speed is read; linear in between
WINDOW_SHARE: Final = 0.1  # of the sweep: 500 rpm of one over 5,000. Narrower lets noise through,
# wider flattens a steep spool-up (measured: tests/analysis/test_analysis_power_curve.py)
SHORTEST_WINDOW_S: Final = 0.4  # below this, the jitter of time stamps alone is felt
LONGEST_WINDOW_S: Final = 2.0  # noise is small long before that
# Of a window, left out at either end: there a cubic's slope, from one side, has 1.65 times the
# standard error it has in the middle, and three of these are the 1 % that torque is held to.
EDGE_SHARE: Final = 0.16
# Of a window, left out where the sweep begins: without a hold torque is still building up there
# (pedal, manifold, shafts), and a long window would carry that into what follows.
START_SHARE: Final = 0.2
ORDER: Final = 3  # of every fit: a cubic keeps the curvature of torque, which a parabola flattens


@dataclass(frozen=True, slots=True)
class Sweep:
    """engine_speed_rpm: multiples of GRID_STEP_RPM, ascending. time_s: when each is first reached.

    Both float64[n]; n is 0 where the pull never rises over two grid points.
    """

    engine_speed_rpm: FloatArray
    time_s: FloatArray

    def resample(self, samples: Samples) -> FloatArray:
        """A channel at the grid's times, linear between samples, NaN where it has none yet."""
        if len(samples) < 2:
            return np.full(len(self.time_s), np.nan)
        return np.interp(self.time_s, samples.time_s, samples.value, left=np.nan, right=np.nan)


def smoothing_window_s(pull: Pull) -> float:
    """A fixed share of the sweep, so that fast and slow ramps are smoothed over the same speeds."""
    share_s = WINDOW_SHARE * (pull.bounds.end_s - pull.bounds.start_s)
    return min(max(share_s, SHORTEST_WINDOW_S), LONGEST_WINDOW_S)


def settled_s(pull: Pull, window_s: float) -> tuple[float, float]:
    """First and last second of the pull that a fit over windows of window_s may use."""
    first_s = pull.bounds.start_s + max(SETTLE_S, START_SHARE * window_s)
    return first_s, pull.bounds.end_s - SETTLE_S


def sweep_of(pull: Pull) -> Sweep:
    """The monotone sweep of the pull, without the edge at either end.

    Where engine speed falls back for a moment (the throttle closes, the limiter cuts), a grid
    speed belongs to the first time it was reached.
    """
    speed = pull.first(Quantity.ENGINE_SPEED)
    if speed is None:
        return Sweep(np.empty(0), np.empty(0))
    speed = pull.sweep(speed)
    if len(speed) <= ORDER:
        return Sweep(np.empty(0), np.empty(0))
    window_s = smoothing_window_s(pull)
    edge_s, (settled_first_s, settled_last_s) = EDGE_SHARE * window_s, settled_s(pull, window_s)
    first_s = max(settled_first_s + edge_s, speed.time_s[0])
    last_s = min(settled_last_s - edge_s, speed.time_s[-1])
    time_s = np.arange(first_s, last_s, window_s / STEPS)
    if len(time_s) < 2:
        return Sweep(np.empty(0), np.empty(0))
    smooth, _ = local_polynomial(speed, time_s, window_s, ORDER)
    return _first_reached(time_s, smooth)


def _first_reached(time_s: FloatArray, engine_speed_rpm: FloatArray) -> Sweep:
    highest = np.maximum.accumulate(engine_speed_rpm)
    rising = np.concatenate([[True], np.diff(highest) > 0])
    lowest, top = highest[0], highest[-1]
    first = np.ceil(lowest / GRID_STEP_RPM)
    last = np.floor(top / GRID_STEP_RPM)
    grid = np.arange(first, last + 1) * GRID_STEP_RPM
    return Sweep(grid, np.interp(grid, highest[rising], time_s[rising]))
