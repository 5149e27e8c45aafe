"""Boost beside its target: from when on it can be judged, and what it may be behind.

A controller, a pipe and a sensor answer some tenths of a second late. How late is measured from the
pulls (following.py), and boost is judged against the lowest and the highest that a healthy one
shows behind such a target. A turbo that has not spooled is no fault of its control.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.checks.boost_pressure import gauge_boost
from analysis.checks.check import Context
from analysis.checks.following import LONGEST_S, lag_behind
from analysis.checks.stretches import at, smoothed
from analysis.checks.throttle import throttle_open
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.shared_limits import BOOST_WORTH_JUDGING_KPA
from analysis.phrases.say import say
from analysis.phrases.statement import Statement
from analysis.physics.lag import Lag, after_lag, extremes
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

SPOOLED = Limit(
    "boost.spooled_by",
    65.0,
    "%",
    "a large turbo reaches its target at 45 to 60 % of the speed range; " + COMMON_PRACTICE,
    "share of the sweep's speed range within which boost must have reached its target",
)
LEAST_SAMPLES: Final = 5  # where boost was asked for
EASED: Final = 0.9  # of the highest pedal reading: below it the driver did not ask for everything
SPOOL_S: Final = 2.5  # no turbo is asked to spool faster, at whatever speed
SPOOL_ALLOWANCE_KPA: Final = 15.0  # a fast sweep leaves a healthy turbo this far behind at first
SPOOL_ENDS: Final = 0.1  # of the sweep's speed range: over it the allowance runs out
NEAR_KPA: Final = 5.0  # of the target: it has been reached
MOST_OF_IT: Final = 0.85  # of the highest target: a target that is still being led up says nothing
ARRIVES_S: Final = 1.0  # boost that rises so fast that it is there by then, still spools
OWN_SHARE: Final = 0.7  # of what was missing has to be made up by boost itself
SLOPE_S: Final = 0.4  # over which the rise is taken


@dataclass(frozen=True, slots=True)
class Tracking:
    """Boost and target in the pull where the target is worth judging, kPa gauge, float64[n].

    lowest_kpa, highest_kpa: what a healthy boost shows behind this target. expected_kpa: the target
    after the lag, where that is known. spooled: bool[n], boost has had its chance to reach the
    target. allowed_kpa: what it may yet be short of it: nothing once the spool is well over.
    reached_s: when it first was at its target; None where it never was.
    """

    time_s: FloatArray
    boost_kpa: FloatArray
    target_kpa: FloatArray
    lowest_kpa: FloatArray
    highest_kpa: FloatArray
    expected_kpa: FloatArray
    spooled: NDArray[np.bool_]
    allowed_kpa: FloatArray
    lag: Lag | None
    reached_s: float | None

    @property
    def short_kpa(self) -> FloatArray:
        """How far below what its lag allows; negative where it is not."""
        return self.lowest_kpa - self.boost_kpa

    @property
    def over_kpa(self) -> FloatArray:
        """How far above what its lag allows; negative where it is not."""
        return self.boost_kpa - self.highest_kpa

    def only(self, keep: NDArray[np.bool_]) -> "Tracking":
        """The samples at which keep holds."""
        return replace(
            self,
            time_s=self.time_s[keep],
            boost_kpa=self.boost_kpa[keep],
            target_kpa=self.target_kpa[keep],
            lowest_kpa=self.lowest_kpa[keep],
            highest_kpa=self.highest_kpa[keep],
            expected_kpa=self.expected_kpa[keep],
            spooled=self.spooled[keep],
            allowed_kpa=self.allowed_kpa[keep],
        )


def tracking(
    pull: Pull, boost: Samples, target: Samples, limits: Limits, lag: Lag | None = None
) -> Tracking | None:
    """Align boost with its target and decide from when it is to be judged. lag: of boost behind its
    target, None where it could not be told."""
    inside = pull.sweep(boost)
    worth = at(target, inside.time_s) >= BOOST_WORTH_JUDGING_KPA
    if np.count_nonzero(worth) < LEAST_SAMPLES:
        return None
    time_s, actual = inside.time_s[worth], inside.value[worth]
    lowest, highest = extremes(target, lag, LONGEST_S[Quantity.BOOST_PRESSURE], time_s)
    goal = at(target, time_s)
    near = (actual >= lowest - NEAR_KPA) & (lowest >= MOST_OF_IT * goal.max())
    share = limits[SPOOLED.name].value / 100
    late = _late(pull, time_s, share) & ~_arrives(time_s, actual, lowest)
    if near.any() and _spools_into(time_s, actual, lowest, int(near.argmax())):
        late &= time_s >= time_s[near.argmax()]
    return Tracking(
        time_s=time_s,
        boost_kpa=actual,
        target_kpa=goal,
        lowest_kpa=lowest,
        highest_kpa=highest,
        expected_kpa=goal if lag is None else after_lag(target, lag, time_s),
        spooled=np.maximum.accumulate(near | late),
        allowed_kpa=SPOOL_ALLOWANCE_KPA * _still_spooling(pull, time_s, share),
        lag=lag,
        reached_s=float(time_s[near.argmax()]) if near.any() else None,
    )


def boost_lag(pull: Pull, context: Context) -> Lag | None:
    """How far boost comes behind its target; None where it cannot be told."""
    return lag_behind(
        pull,
        context,
        lambda each: gauge_boost(each, context.setup),
        lambda each: each.first(Quantity.BOOST_TARGET),
        LONGEST_S[Quantity.BOOST_PRESSURE],
    )


def why_untracked(pull: Pull, boost: Samples, target: Samples) -> Statement:
    """Why boost was not judged, as part of a sentence."""
    asked = at(target, np.array([*pull.sweep(target).time_s, pull.bounds.start_s]))
    if float(asked.max()) < BOOST_WORTH_JUDGING_KPA:
        return say("boost-not-asked-for")
    asked_for = at(target, pull.sweep(boost).time_s) >= BOOST_WORTH_JUDGING_KPA
    if np.count_nonzero(asked_for) < LEAST_SAMPLES:
        return say("boost-too-few-samples")
    return say("boost-no-time")


def full_pedal_since(pull: Pull) -> float:
    """When the driver asked for everything: in the hold where there was one."""
    pedal = pull.first(Quantity.PEDAL_POSITION)
    if pedal is None:
        return pull.bounds.start_s
    before = pedal.between(pedal.time_s[0], pull.bounds.start_s)
    eased = np.flatnonzero(before.value < EASED * pedal.value.max())
    return float(before.time_s[eased[-1]]) if len(eased) else float(pedal.time_s[0])


def undisturbed(pull: Pull, track: Tracking, limits: Limits, context: Context) -> Tracking:
    """Without the samples in which the throttle was closed or had just been: what boost does then
    says nothing of its control."""
    kept = throttle_open(pull, Samples(track.time_s, track.boost_kpa), limits, context)
    return track.only(np.isin(track.time_s, kept.time_s))


def share_of_sweep(pull: Pull, speed_rpm: float) -> float:
    """Where an engine speed lies in the sweep, 0 at its start, 1 at its end."""
    swept_rpm = max(pull.bounds.end_rpm - pull.bounds.start_rpm, 1.0)
    return (speed_rpm - pull.bounds.start_rpm) / swept_rpm


def _late(pull: Pull, time_s: FloatArray, share: float) -> NDArray[np.bool_]:
    """Where any healthy turbo has spooled, by engine speed and by time at full pedal, bool[n]."""
    swept_rpm = pull.bounds.end_rpm - pull.bounds.start_rpm
    by_speed = pull.engine_speed_at(time_s) >= pull.bounds.start_rpm + share * swept_rpm
    late: NDArray[np.bool_] = by_speed & (time_s - full_pedal_since(pull) >= SPOOL_S)
    return late


def _still_spooling(pull: Pull, time_s: FloatArray, share: float) -> FloatArray:
    """1 up to that share of the sweep, 0 from SPOOL_ENDS after it."""
    swept_rpm = max(pull.bounds.end_rpm - pull.bounds.start_rpm, 1.0)
    by_rpm = pull.bounds.start_rpm + share * swept_rpm
    speed = pull.engine_speed_at(time_s)
    return np.clip(1.0 - (speed - by_rpm) / (SPOOL_ENDS * swept_rpm), 0.0, 1.0)


def _spools_into(
    time_s: FloatArray, boost_kpa: FloatArray, goal_kpa: FloatArray, reached: int
) -> bool:
    """Whether boost rose to its target, and not the target fell to it: then it came late, which is
    no fault of its control (boost_spool.py)."""
    before_s = time_s[reached] - ARRIVES_S
    boost_before, goal_before = (np.interp(before_s, time_s, v) for v in (boost_kpa, goal_kpa))
    return bool(boost_kpa[reached] - boost_before >= OWN_SHARE * (goal_before - boost_before))


def _arrives(time_s: FloatArray, boost_kpa: FloatArray, goal_kpa: FloatArray) -> NDArray[np.bool_]:
    """Where boost rises so fast that it reaches its target within ARRIVES_S, bool[n]."""
    smooth = smoothed(Samples(time_s, boost_kpa), SLOPE_S / 2)
    rise_kpa_s = (smooth.value - at(smooth, time_s - SLOPE_S)) / SLOPE_S
    arrives: NDArray[np.bool_] = rise_kpa_s * ARRIVES_S >= goal_kpa - boost_kpa
    return arrives
