"""The offset between two clocks, from what both see: engine speed and roller speed.

In one gear the roller turns in proportion to the engine. The offset is the shift of one trace
that leaves the least misfit to that proportion; the knees of the pull (leaving the hold speed, the
lift) are what makes it sharp.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.pull import Pull
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

WIDEST_S: Final = 1.0  # more than this and the operator sees it himself
GRID_S: Final = 0.01  # of the common time base
COARSE_S: Final = 0.05
EDGE_S: Final = 0.5  # the lift is kept this long, while the clutch is still closed


@dataclass(frozen=True, slots=True)
class Offset:
    """offset_s: positive where the roller's times are late. gain: misfit without the shift over
    misfit with it, at least 1. relative_misfit: rms at the best shift over mean speed."""

    offset_s: float
    gain: float
    relative_misfit: float


def _misfit(engine: FloatArray, roller: FloatArray) -> float:
    """Rms of roller - k engine at the best k, over the roller's mean; both float64[n]."""
    ratio = float(engine @ roller / (engine @ engine))
    residual = roller - ratio * engine
    return float(np.sqrt(np.mean(residual**2)) / np.mean(roller))


def estimate(engine: Samples, roller: Samples, start_s: float, end_s: float) -> Offset | None:
    """Offset of the roller's clock against the engine's, from the stretch between two times.

    None where there is too little of either. Parabola through the best three shifts.
    """
    first = max(start_s, engine.time_s[0] + WIDEST_S, roller.time_s[0])
    last = min(end_s, engine.time_s[-1] - WIDEST_S, roller.time_s[-1])
    if last - first < 1.0:
        return None
    base = np.arange(first, last, GRID_S)
    speed = np.interp(base, roller.time_s, roller.value)
    if speed.mean() < 5.0:  # the roller does not turn
        return None

    def misfit(shift: float) -> float:
        return _misfit(np.interp(base - shift, engine.time_s, engine.value), speed)

    coarse = np.arange(-WIDEST_S, WIDEST_S + 1e-9, COARSE_S)
    centre = coarse[int(np.argmin([misfit(s) for s in coarse]))]
    fine = centre + np.arange(-5, 6) * GRID_S
    errors = np.array([misfit(s) for s in fine])
    best = int(np.clip(errors.argmin(), 1, len(fine) - 2))
    left, middle, right = errors[best - 1 : best + 2] ** 2
    bend = left - 2 * middle + right
    step = 0.5 * (left - right) / bend if bend > 0 else 0.0
    offset = float(fine[best] + np.clip(step, -1, 1) * GRID_S)
    least = max(float(errors.min()), 1e-6)
    return Offset(offset, misfit(0.0) / least, least)


def of_pull(pull: Pull) -> Offset | None:
    """The roller's (or where there is none, nothing's) offset against the engine's clock; None
    where both come from the same source or one is missing."""
    names = pull.named(Quantity.ENGINE_SPEED), pull.named(Quantity.ROLLER_SPEED)
    if not all(names):
        return None
    engine_name, roller_name = names[0][0], names[1][0]
    if pull.channels[engine_name].source == pull.channels[roller_name].source:
        return None
    engine, roller = pull.first(Quantity.ENGINE_SPEED), pull.first(Quantity.ROLLER_SPEED)
    if engine is None or roller is None:
        return None
    return estimate(engine, roller, pull.bounds.start_s - 2.0, pull.bounds.end_s + EDGE_S)
