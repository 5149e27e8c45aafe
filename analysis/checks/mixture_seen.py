"""The mixture of a pull that can be judged: at full load, once the probe has seen it.

A probe comes late: by a tenth of a second in the manifold, by more than one at the end of a
tailpipe. What it reads just after the pedal went down is still overrun or part load, and a step of
the target is seen one lag later. The lag is measured from the car's own pulls, and taken out; where
it cannot be told, the probe may be as late as any.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.checks.check import Context
from analysis.checks.following import LONGEST_S, target_lag
from analysis.checks.stretches import Stretch, held_at, smoothed, stretches
from analysis.checks.throttle import CLOSED, full_open
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.physics.lag import Lag, extremes, graced
from decode.cadence import period_s
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

SMOOTH_S: Final = 0.15  # over control's own swing from rich to lean
TIME_CONSTANTS: Final = 3.0  # after which a step is over but for a twentieth
STEP: Final = 0.03  # of the target: below what counts as lean
OPEN_SHARE: Final = 0.9  # of full demand
BEFORE_LIFT_S: Final = 0.1  # the pedal's own reading comes as late
LEAST_READINGS: Final = 5  # fewer do not say that all is well
LASTING_READINGS: Final = 3  # fewer are no lasting state: one may be a misread or a moment's
TAILPIPE_S: Final = 0.4  # gas needs no longer to a probe before the silencers
TAILPIPE_DILUTION: Final = 0.02  # air that comes back into a tailpipe; common practice


@dataclass(frozen=True, slots=True)
class SeenMixture:
    """Lambda at full load, and what a healthy one shows behind its target; float64[n] each.

    least and most: None without a logged target. lag: None where it cannot be told.
    """

    time_s: FloatArray
    value: FloatArray
    least: FloatArray | None
    most: FloatArray | None
    lag: Lag | None

    @property
    def dilution(self) -> float:
        """How much leaner than the engine a probe this late may read."""
        return TAILPIPE_DILUTION if self.lag and self.lag.delay_s >= TAILPIPE_S else 0.0

    def lasting(self, holds: NDArray[np.bool_], at_least_s: float) -> list[Stretch]:
        """The stretches in which something holds for so long, and in several readings."""
        found = stretches(self.time_s, holds, at_least_s)
        return [s for s in found if s.last - s.first + 1 >= LASTING_READINGS]


def seen_mixture(pull: Pull, limits: Limits, context: Context) -> SeenMixture | None:
    """What can be judged; None where that is too little to judge by."""
    lambda_ = pull.first(Quantity.LAMBDA)
    if lambda_ is None:
        return None
    lag, target = target_lag(Quantity.LAMBDA, pull, context), _target(pull)
    grace_s = _grace_s(lag)
    begin_s = max(pull.bounds.start_s, tip_in_s(pull) + grace_s)
    inside = lambda_.between(begin_s, pull.bounds.end_s - BEFORE_LIFT_S)
    if len(inside) < LEAST_READINGS:
        return None
    inside = smoothed(inside, SMOOTH_S)
    good = _loaded(pull, inside.time_s, grace_s, limits, context)
    if target is not None and lag is not None:
        good &= ~graced(target, grace_s, STEP, inside.time_s)
    time_s, value = inside.time_s[good], inside.value[good]
    if len(time_s) < LEAST_READINGS:
        return None
    if target is None:
        return SeenMixture(time_s, value, None, None, lag)
    least, most = extremes(target, lag, LONGEST_S[Quantity.LAMBDA], time_s)
    return SeenMixture(time_s, value, least, most, lag)


def _target(pull: Pull) -> Samples | None:
    """The target until the lift: what is asked for then has nothing to do with the pull."""
    target = pull.first(Quantity.LAMBDA_TARGET)
    if target is None:
        return None
    before = target.between(target.time_s[0], pull.bounds.end_s - BEFORE_LIFT_S)
    return before if len(before) >= 2 else None


def _grace_s(lag: Lag | None) -> float:
    """How long after a step the probe has seen it; no longer than the longest lag there is, or a
    mixture that never gets to its target would be waited for in vain."""
    longest_s = LONGEST_S[Quantity.LAMBDA]
    if lag is None:
        return longest_s
    return min(longest_s, lag.delay_s + TIME_CONSTANTS * lag.constant_s + 2.0 * lag.spread_s)


def tip_in_s(pull: Pull) -> float:
    """When the driver asked for everything; the start of the pull where no channel says so."""
    demand = pull.first(Quantity.PEDAL_POSITION) or pull.first(Quantity.THROTTLE_POSITION)
    start_s = pull.bounds.start_s
    if demand is None:
        return start_s
    late_s = start_s + max(SMOOTH_S, period_s(demand.time_s))
    before = demand.between(demand.time_s[0], late_s)
    eased = before.time_s[before.value < OPEN_SHARE * demand.value.max()]
    if len(eased):
        return float(eased[-1])
    return float(demand.time_s[0])  # open for longer than the pull's channels go back


def _loaded(
    pull: Pull, time_s: FloatArray, grace_s: float, limits: Limits, context: Context
) -> NDArray[np.bool_]:
    """Where the throttle had been open for as long as the probe is late, bool[n]."""
    throttle = pull.first(Quantity.THROTTLE_POSITION)
    if throttle is None or context.kind.is_diesel:
        return np.ones(len(time_s), dtype=bool)
    below = limits[CLOSED.name].value / 100 * full_open(pull, context)
    closed_s = throttle.time_s[throttle.value < below]
    if not len(closed_s):
        return np.ones(len(time_s), dtype=bool)
    since_s = time_s - held_at(Samples(closed_s, closed_s), time_s)
    loaded: NDArray[np.bool_] = (since_s > grace_s) | (time_s < closed_s[0])
    return loaded
