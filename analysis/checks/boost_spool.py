"""When boost reached its target, against the car's own earlier pulls.

How late a turbo may spool is its size against the engine's, which nobody states: a large one is
healthy at 5,000 rpm. So lateness is judged only against pulls of this car that were driven alike.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.causes.symptoms import EVEN, Observation, Symptom
from analysis.checks.against_limit import beyond, sureness
from analysis.checks.boost_pressure import gauge_boost
from analysis.checks.boost_tracking import (
    Tracking,
    full_pedal_since,
    share_of_sweep,
    tracking,
)
from analysis.checks.check import Context, note
from analysis.checks.stretches import place
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.phrases.say import amount, count, rpm, say
from decode.cadence import period_s
from decode.quantities import Quantity

LATER = Limit(
    "boost.spools_later",
    500.0,
    "rpm",
    COMMON_PRACTICE,
    "boost reached its target so much later than in earlier pulls that were driven alike",
)
LATER_S: Final = 0.4  # and at full pedal for so much longer: a longer hold spools at less speed
EARLY_SHARE: Final = 0.35  # of the sweep: by then it is not late for any turbo
COMING_S: Final = 1.0  # before boost is at its target, a turbo that spools ...
SHORT_KPA: Final = 10.0  # ... is so far from it
ALIKE_START_RPM: Final = 300.0
ALIKE_RAMP: Final = 0.2  # share by which the rise of engine speed may differ
ALIKE_S: Final = 0.5  # of full pedal before the sweep
SPREAD_RPM: Final = 120.0  # of a healthy car from pull to pull, chosen, no published source


@dataclass(frozen=True, slots=True)
class _Spool:
    """Where boost came up to its target, and after how long at full pedal."""

    speed_rpm: float
    since_s: float


def spool(pull: Pull, track: Tracking, limits: Limits, context: Context) -> list[Observation]:
    """Later than before, or a note where nothing says what is usual of this turbo."""
    mine = _spool_of(pull, track)
    if mine is None:
        return []
    before = list(_earlier(pull, limits, context))
    if not before:
        return _unjudged(pull, mine)
    usual_rpm = float(np.median([each.speed_rpm for each in before]))
    usual_s = float(np.median([each.since_s for each in before]))
    limit, later_rpm = limits[LATER.name], mine.speed_rpm - usual_rpm
    read_rpm = period_s(track.time_s) * _ramp_rpm_s(pull)
    present = sureness(later_rpm, limit.value, float(np.hypot(SPREAD_RPM, read_rpm)))
    if present < EVEN or mine.since_s - usual_s < LATER_S:
        return [Observation(Symptom.SPOOLS_LATE, min(present, 1.0 - EVEN))]
    at_s = track.reached_s or pull.bounds.start_s
    statement = say(
        "boost-spools-later",
        speed=rpm(mine.speed_rpm),
        later=amount(round(later_rpm, -2), "rpm"),
        pulls=count(len(before)),
    )
    where = place(pull, pull.bounds.start_s, at_s)
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, later_rpm, where)
    return [Observation(Symptom.SPOOLS_LATE, present, finding)]


def _unjudged(pull: Pull, mine: _Spool) -> list[Observation]:
    if share_of_sweep(pull, mine.speed_rpm) <= EARLY_SHARE:
        return []
    return [note("boost", say("boost-spool-not-judged", speed=rpm(mine.speed_rpm)))]


def _spool_of(pull: Pull, track: Tracking) -> _Spool | None:
    if track.reached_s is None or not _was_short(track, track.reached_s):
        return None
    (speed_rpm,) = pull.engine_speed_at(np.array([track.reached_s]))
    return _Spool(float(speed_rpm), track.reached_s - full_pedal_since(pull))


def _was_short(track: Tracking, reached_s: float) -> bool:
    """Whether boost was on its way to a target that waited for it: one that rises slowly, or that
    is led up with boost, shows no spool."""
    coming = (track.time_s >= reached_s - COMING_S) & (track.time_s < reached_s)
    return bool((track.short_kpa[coming] > SHORT_KPA).any())


def _earlier(pull: Pull, limits: Limits, context: Context) -> Iterator[_Spool]:
    """Of the earlier pulls of the stage that were driven like this one."""
    for each in context.earlier:
        boost = gauge_boost(each, context.setup)
        target = each.first(Quantity.BOOST_TARGET)
        if boost is None or target is None or not _alike(pull, each):
            continue
        track = tracking(each, boost, target, limits)
        found = None if track is None else _spool_of(each, track)
        if found is not None:
            yield found


def _alike(pull: Pull, other: Pull) -> bool:
    starts = abs(pull.bounds.start_rpm - other.bounds.start_rpm) <= ALIKE_START_RPM
    ramps = abs(_ramp_rpm_s(other) / _ramp_rpm_s(pull) - 1.0) <= ALIKE_RAMP
    held_s = [each.bounds.start_s - full_pedal_since(each) for each in (pull, other)]
    return starts and ramps and abs(held_s[0] - held_s[1]) <= ALIKE_S


def _ramp_rpm_s(pull: Pull) -> float:
    bounds = pull.bounds
    return max((bounds.end_rpm - bounds.start_rpm) / (bounds.end_s - bounds.start_s), 1.0)
