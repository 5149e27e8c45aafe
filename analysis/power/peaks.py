"""The highest point of a noisy curve, without what noise adds to it.

The highest of many noisy points lies too high: at ten readings a second by up to 3 %. So the peak
is that of a parabola through everything that noise cannot tell from the highest point. Where
nothing is noisy that is the highest point itself.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from decode.samples import FloatArray

NOISE_SPAN: Final = 8.0  # standard errors below the highest point: two that it stands too high, and
# three to either side for the points beside it
WIDEST_SPAN: Final = 0.05  # of the highest point: beyond, no parabola follows a torque curve
FEWEST_POINTS: Final = 5


@dataclass(frozen=True, slots=True)
class Peak:
    """index: of the curve's point nearest to it."""

    value: float
    engine_speed_rpm: float
    index: int


def peak_of(engine_speed_rpm: FloatArray, values: FloatArray, noise: float) -> Peak:
    """The peak of a curve whose points are noisy by that share (standard error). NaN is no point;
    at least one is a number."""
    top = int(np.nanargmax(values))
    least = values[top] * (1 - min(NOISE_SPAN * noise, WIDEST_SPAN))
    first, last = top, top
    while first > 0 and values[first - 1] >= least:
        first -= 1
    while last < len(values) - 1 and values[last + 1] >= least:
        last += 1
    if last - first + 1 < FEWEST_POINTS:
        return Peak(float(values[top]), float(engine_speed_rpm[top]), top)
    speed = engine_speed_rpm[first : last + 1]
    fitted = np.polynomial.Polynomial.fit(speed, values[first : last + 1], 2)
    smooth = fitted(speed)
    highest = int(np.argmax(smooth))
    return Peak(float(smooth[highest]), float(speed[highest]), first + highest)
