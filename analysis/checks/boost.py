"""Boost against its target: short, over, swinging; and what the wastegate was asked to do.

Boost that follows a falling target (taper) is healthy, and so is boost that comes behind a moving
one by the lag of its control (boost_tracking.py). Overshoot is said relative to gauge
pressure: 231 kPa absolute on a target of 220 is 5 % over in absolute and 9 % in gauge pressure.
"""

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from analysis.causes.symptoms import Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.boost_pressure import derived_from, gauge_boost
from analysis.checks.boost_spool import LATER, spool
from analysis.checks.boost_tracking import (
    LEAST_SAMPLES,
    SPOOLED,
    Tracking,
    boost_lag,
    tracking,
    undisturbed,
    why_untracked,
)
from analysis.checks.check import Check, Context, healthy, note
from analysis.checks.stretches import at, longest, place, smoothed, stretches
from analysis.model.engine_kind import FORCED
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.setup import Induction
from analysis.model.shared_limits import (
    OVER_BOOST,
    OVER_BOOST_AT_LEAST_KPA,
    OVER_BOOST_STOP,
)
from analysis.phrases.say import amount, rpm, say
from analysis.phrases.statement import Statement
from decode.cadence import period_s
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

LOW = Limit("boost.low", 10.0, "kPa", COMMON_PRACTICE, "boost may stay this far below its target")
LOW_FOR = Limit("boost.low_for", 0.3, "s", COMMON_PRACTICE, "for at most this long")
HIGH_FOR = Limit("boost.high_for", 0.15, "s", COMMON_PRACTICE, "for at most this long")
SWING = Limit(
    "boost.swing",
    7.0,
    "kPa",
    "steady control is good to 3 to 5 kPa; " + COMMON_PRACTICE,
    "peak to peak, at least two whole swings",
)
DUTY_HIGH = Limit("boost.duty_high", 95.0, "%", COMMON_PRACTICE, "wastegate duty at its upper stop")
DUTY_LOW = Limit("boost.duty_low", 5.0, "%", COMMON_PRACTICE, "wastegate duty at its lower stop")

LOW_SPREAD_KPA: Final = 3.0  # steady boost control is good to 3 kPa
HIGH_SPREAD_PERCENT: Final = 2.0  # the same 3 kPa of a target of 150 kPa
SWING_SPREAD_KPA: Final = 2.0  # what noise and sampling leave open of a peak-to-peak height
# Of sureness, where boost was off its target but never for as long as the limit allows: less than
# EVEN, or a symptom would stand without a finding. Chosen, no published source.
BRIEF_AT_MOST: Final = 0.45
SMOOTH_S: Final = 0.2  # what noise and pulsation leave
WORTH_SAYING_S: Final = 0.1  # of lag
BASELINE_S: Final = 0.8  # boost control swings at 1 to 4 Hz: slower than this is no swing
OPEN_FOR_S: Final = 0.7  # commanded open this long a wastegate that moves has brought boost down
OPEN_SPREAD_S: Final = 0.15
SWINGS: Final = 2  # whole swings around the mean before it is called oscillation
SWING_SAMPLES: Final = 10  # fewer cannot show two swings
SWING_SHARE: Final = 0.6  # of the limit: a swing this high counts as a turn
# How sure oscillation is that was not seen: with too few samples to tell, and by the turns that
# were counted. Chosen, no published source.
SWING_UNTOLD: Final = 0.1
SWING_NOT_SEEN: Final = 0.03
SWING_FOR_EACH_TURN: Final = 0.1
# From this share of the time without boost on, duty at its closing stop is called the controller's
# answer; with its spread chosen, no published source.
SHUT_SHARE: Final = 0.3
SHUT_SHARE_SPREAD: Final = 0.1


def _short(pull: Pull, track: Tracking, limits: Limits) -> Observation:
    limit = limits[LOW.name]
    missing = smoothed(Samples(track.time_s, track.short_kpa), SMOOTH_S).value
    missing = np.where(track.spooled, missing, 0.0)
    short = missing > limit.value + track.allowed_kpa
    low = stretches(track.time_s, short, limits[LOW_FOR.name].value)
    low = [each for each in low if each.last > each.first]  # one reading alone may be a slip
    if not low:
        value = float((missing - track.allowed_kpa).max())
        sure = min(BRIEF_AT_MOST, sureness(value, limit.value, LOW_SPREAD_KPA))
        return Observation(Symptom.BOOST_LOW, sure)
    worst = max(low, key=lambda s: float(missing[s.indices].max()))
    value = float(missing[worst.indices].max())
    where = place(pull, low[0].start_s, low[-1].end_s)
    index = worst.first + int(missing[worst.indices].argmax())
    statement = say(
        "boost-below-target",
        short=amount(value, "kPa"),
        where=place_phrase(where),
        boost=amount(track.boost_kpa[index], "kPa"),
        target=amount(track.target_kpa[index], "kPa"),
    )
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    return Observation(Symptom.BOOST_LOW, sureness(value, limit.value, LOW_SPREAD_KPA), finding)


def _over(pull: Pull, track: Tracking, limits: Limits, max_boost_kpa: float | None) -> Observation:
    limit, stop = limits[OVER_BOOST.name], limits[OVER_BOOST_STOP.name]
    percent = 100 * track.over_kpa / track.highest_kpa
    percent = np.where(track.over_kpa >= OVER_BOOST_AT_LEAST_KPA, percent, 0.0)
    percent = smoothed(Samples(track.time_s, percent), 0.1).value
    high = stretches(track.time_s, percent > limit.value, limits[HIGH_FOR.name].value)
    if not high:
        sure = sureness(float(percent.max()), limit.value, HIGH_SPREAD_PERCENT)
        return Observation(Symptom.BOOST_HIGH, min(BRIEF_AT_MOST, sure))
    worst = max(high, key=lambda s: float(percent[s.indices].max()))
    value = float(percent[worst.indices].max())
    index = worst.first + int(percent[worst.indices].argmax())
    where = place(pull, high[0].start_s, high[-1].end_s)
    statements = [
        say(
            "boost-over-target",
            over=amount(value, "%"),
            where=place_phrase(where),
            boost=amount(track.boost_kpa[index], "kPa"),
            target=amount(track.target_kpa[index], "kPa"),
        )
    ]
    severity = Severity.STOP if value > stop.value else Severity.LOOK_CLOSER
    if max_boost_kpa is not None and float(track.boost_kpa.max()) > max_boost_kpa:
        severity = Severity.STOP
        statements.append(say("boost-turbo-limit", limit=amount(max_boost_kpa, "kPa")))
    finding = beyond(limit, severity, tuple(statements), value, where)
    sure = sureness(value, limit.value, HIGH_SPREAD_PERCENT)
    return Observation(Symptom.BOOST_HIGH, sure, finding)


def swings(time_s: FloatArray, values: FloatArray, height: float) -> tuple[int, int, int]:
    """How often values go from above +height/2 to below -height/2 or back, and the first and last
    index of the swinging; values: float64[n] around zero."""
    side = np.where(values > height / 2, 1, np.where(values < -height / 2, -1, 0))
    marked = np.flatnonzero(side)
    turns = marked[1:][np.diff(side[marked]) != 0]
    if len(turns) == 0:
        return 0, 0, 0
    return len(turns), int(turns[0]), int(turns[-1])


def _swinging(pull: Pull, track: Tracking, limits: Limits) -> Observation:
    limit = limits[SWING.name]
    time_s, error = (
        track.time_s[track.spooled],
        (track.boost_kpa - track.expected_kpa)[track.spooled],
    )
    if len(error) < SWING_SAMPLES:
        return Observation(Symptom.BOOST_OSCILLATES, SWING_UNTOLD)
    quick = smoothed(Samples(time_s, error), 0.05).value
    quick = quick - smoothed(Samples(time_s, error), BASELINE_S).value
    turns, first, last = swings(time_s, quick, SWING_SHARE * limit.value)
    if turns < 2 * SWINGS:
        sure = SWING_NOT_SEEN + SWING_FOR_EACH_TURN * turns
        return Observation(Symptom.BOOST_OSCILLATES, sure)
    value = float(
        np.quantile(quick[first : last + 1], 0.95) - np.quantile(quick[first : last + 1], 0.05)
    )
    present = sureness(value, limit.value, SWING_SPREAD_KPA)
    if value < limit.value:
        return Observation(Symptom.BOOST_OSCILLATES, present)
    where = place(pull, float(time_s[first]), float(time_s[last]))
    rate_hz = (turns - 1) / 2 / max(float(time_s[last] - time_s[first]), 1e-3)
    statement = say(
        "boost-swings",
        swing=amount(value, "kPa"),
        rate=amount(rate_hz, "Hz", 1),
        where=place_phrase(where),
    )
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    return Observation(Symptom.BOOST_OSCILLATES, present, finding)


def _wastegate(pull: Pull, track: Tracking, limits: Limits) -> list[Observation]:
    """Where the command stands while boost is off its target: at a stop, the controller has
    nothing left. While boost is on its target it is never at fault, and a moment of overshoot that
    the open wastegate ends is no fault of its own either."""
    duty = pull.first(Quantity.WASTEGATE_DUTY)
    if duty is None or not track.spooled.any():
        return []
    command = at(duty, track.time_s)
    low = track.spooled & (track.short_kpa > limits[LOW.name].value)
    high = 100 * track.over_kpa > limits[OVER_BOOST.name].value * track.highest_kpa
    shut = float(np.mean(command[low] >= limits[DUTY_HIGH.name].value)) if low.any() else 0.0
    at_stop = longest(stretches(track.time_s, high & (command <= limits[DUTY_LOW.name].value)))
    open_s = 0.0 if at_stop is None else at_stop.duration_s
    return [
        Observation(Symptom.WASTEGATE_ASKS_CLOSED, sureness(shut, SHUT_SHARE, SHUT_SHARE_SPREAD)),
        Observation(Symptom.WASTEGATE_ASKS_OPEN, sureness(open_s, OPEN_FOR_S, OPEN_SPREAD_S)),
    ]


def _followed(pull: Pull, track: Tracking, limits: Limits) -> Observation:
    settled = track.spooled & (track.allowed_kpa == 0.0)
    if not settled.any():
        return note("boost", say("boost-not-judged", why=say("boost-no-time")))
    top = int(track.boost_kpa.argmax())
    peak_kpa, last_kpa = track.boost_kpa[top], track.boost_kpa[-1]
    peak_rpm = float(pull.engine_speed_at(track.time_s[top : top + 1])[0])
    track, time_s = track.only(settled), track.time_s[settled]
    limit, worst = limits[LOW.name], _for_longer(time_s, track.short_kpa, limits[LOW_FOR.name])
    over = _for_longer(time_s, track.over_kpa, limits[HIGH_FOR.name])
    if over > worst:
        limit = limits[OVER_BOOST.name]
        percent = 100 * track.over_kpa / track.highest_kpa
        over = worst = _for_longer(time_s, percent, limits[HIGH_FOR.name])
    statement = say(
        "boost-followed",
        error=amount(worst, limit.unit),
        top=amount(peak_kpa, "kPa"),
        top_speed=rpm(peak_rpm),
        last=amount(last_kpa, "kPa"),
        last_speed=rpm(pull.bounds.end_rpm),
    )
    lag_s = 0.0 if track.lag is None else track.lag.total_s
    behind = [say("boost-lag", lag=amount(lag_s, "s", 1))] if lag_s >= WORTH_SAYING_S else []
    return healthy("boost", (statement, *behind), round(worst, 1), limit)


def _for_longer(time_s: FloatArray, value: FloatArray, lasts: Limit) -> float:
    """The most that was kept up for longer than a stretch may last, at least 0."""
    smooth = smoothed(Samples(time_s, value), SMOOTH_S).value
    count = min(int(lasts.value / max(period_s(time_s), 1e-3)) + 2, len(time_s))
    return max(float(sliding_window_view(smooth, count).min(axis=1).max()), 0.0)


def _with_its_source(observation: Observation, source: Statement | None) -> Observation:
    finding = observation.finding
    if finding is None or source is None:
        return observation
    sourced = replace(finding, statements=(*finding.statements, source))
    return replace(observation, finding=sourced)


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Boost against target, less the lag of its control, once the turbo has spooled."""
    car = context.setup.car
    boost, target = gauge_boost(pull, context.setup), pull.first(Quantity.BOOST_TARGET)
    if boost is None or target is None:
        return [note("boost", say("boost-no-barometer"))]
    track = tracking(pull, boost, target, limits, boost_lag(pull, context))
    if track is None:
        return [note("boost", say("boost-not-judged", why=why_untracked(pull, boost, target)))]
    open_ = undisturbed(pull, track, limits, context)
    seen = [_over(pull, track, limits, car.max_boost_kpa)]
    if len(open_.time_s) >= LEAST_SAMPLES:
        seen += [_short(pull, open_, limits), _swinging(pull, open_, limits)]
    if context.kind.induction is not Induction.BLOWER:
        seen += _wastegate(pull, track, limits)
        seen += spool(pull, open_, limits, context)
    if not any(o.finding and o.finding.severity is not Severity.NOTE for o in seen):
        seen.append(_followed(pull, open_ if len(open_.time_s) >= LEAST_SAMPLES else track, limits))
    source = derived_from(pull, context.setup)
    return [_with_its_source(observation, source) for observation in seen]


CHECK: Final = Check(
    name="boost",
    needs=((Quantity.BOOST_TARGET,), (Quantity.BOOST_PRESSURE, Quantity.MANIFOLD_PRESSURE)),
    limits=(
        LOW,
        LOW_FOR,
        OVER_BOOST,
        HIGH_FOR,
        OVER_BOOST_STOP,
        SWING,
        SPOOLED,
        LATER,
        DUTY_HIGH,
        DUTY_LOW,
    ),
    judge=judge,
    induction=FORCED,
)
