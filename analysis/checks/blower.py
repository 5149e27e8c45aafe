"""A blower's boost: it goes with engine speed, and only with it.

A positive-displacement blower moves a fixed volume each turn of the crank, so its pressure ratio
hardly changes over the sweep; a centrifugal one gives more the faster it turns. Neither gives less
boost at more speed, and neither gives another boost from pull to pull, unless its belt slips, air
is lost, or it draws through a restriction.
"""

from typing import Final

import numpy as np

from analysis.causes.symptoms import EVEN, Observation, Symptom
from analysis.checks.against_earlier import Curve, change
from analysis.checks.against_limit import beyond, sureness
from analysis.checks.boost_pressure import gauge_boost
from analysis.checks.check import Check, Context, healthy, note
from analysis.checks.stretches import place, smoothed
from analysis.checks.throttle import throttle_open
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.setup import Induction
from analysis.phrases.say import amount, count, rpm, say
from decode.quantities import Quantity
from decode.samples import Samples

FALLS = Limit(
    "blower.falls",
    25.0,
    "%",
    COMMON_PRACTICE,
    "boost at the end of the sweep below the most it reached",
)
LESS = Limit(
    "blower.less_than_earlier",
    8.0,
    "%",
    COMMON_PRACTICE,
    "boost below that of the stage's earlier pulls at the same engine speeds",
)
SMOOTH_S: Final = 0.2
WORKING_KPA: Final = 15.0  # less is hardly boost: its bypass is open
LEAST_SAMPLES: Final = 5
END_SHARE: Final = 0.15  # of the readings, at the sweep's end
FALLS_SPREAD: Final = 5.0  # per cent: engines breathe worse at the top, which gives more boost
REPEATS: Final = 2.0  # per cent, from pull to pull


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Boost over engine speed, by itself and against the stage's earlier pulls."""
    boost = _working(pull, limits, context)
    if boost is None:
        return [note(CHECK.name, say("blower-too-little"))]
    seen = [_falls(pull, boost, limits), _less(pull, limits, context)]
    if any(o.finding for o in seen):
        return seen
    speeds = pull.engine_speed_at(boost.time_s)
    top = int(boost.value.argmax())
    statement = say(
        "blower-follows",
        top=amount(boost.value[top], "kPa"),
        top_speed=rpm(float(speeds[top])),
        last=amount(boost.value[-1], "kPa"),
        last_speed=rpm(float(speeds[-1])),
    )
    return [
        *seen,
        healthy(CHECK.name, statement, round(_fall_percent(boost), 1), limits[FALLS.name]),
    ]


def _working(pull: Pull, limits: Limits, context: Context) -> Samples | None:
    """Boost of the sweep with the throttle open, from where the blower gives any."""
    boost = gauge_boost(pull, context.setup)
    if boost is None:
        return None
    inside = throttle_open(pull, pull.sweep(smoothed(boost, SMOOTH_S)), limits, context)
    working = np.flatnonzero(inside.value >= WORKING_KPA)
    if len(working) < LEAST_SAMPLES:
        return None
    return Samples(inside.time_s[working[0] :], inside.value[working[0] :])


def _fall_percent(boost: Samples) -> float:
    last = boost.value[-max(2, int(END_SHARE * len(boost))) :]
    return max(100.0 * (1.0 - float(np.median(last)) / float(boost.value.max())), 0.0)


def _falls(pull: Pull, boost: Samples, limits: Limits) -> Observation:
    limit, value = limits[FALLS.name], _fall_percent(boost)
    present = sureness(value, limit.value, FALLS_SPREAD)
    if present < EVEN:
        return Observation(Symptom.BLOWER_BOOST_SHORT, present)
    top = int(boost.value.argmax())
    where = place(pull, float(boost.time_s[top]), float(boost.time_s[-1]))
    statement = say(
        "blower-falls",
        top=amount(boost.value[top], "kPa"),
        top_speed=rpm(where.start_rpm or 0.0),
        last=amount(boost.value[-1], "kPa"),
        last_speed=rpm(where.end_rpm or 0.0),
    )
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    return Observation(Symptom.BLOWER_BOOST_SHORT, present, finding)


def _less(pull: Pull, limits: Limits, context: Context) -> Observation:
    def curve_of(each: Pull) -> Curve | None:
        boost = _working(each, limits, context)
        return None if boost is None else Curve(each.engine_speed_at(boost.time_s), boost.value)

    limit = limits[LESS.name]
    found = change(pull, context, curve_of, lambda share: -100 * share > limit.value)
    if found is None:
        return Observation()
    value = -100 * found.share
    present = sureness(value, limit.value, max(REPEATS, 100 * found.spread))
    if present < EVEN:
        return Observation(Symptom.BLOWER_BOOST_SHORT, present)
    statement = say(
        "blower-less",
        less=amount(value, "%"),
        start=rpm(found.start_rpm),
        end=rpm(found.end_rpm),
        pulls=count(found.pulls),
    )
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    return Observation(Symptom.BLOWER_BOOST_SHORT, present, finding)


CHECK: Final = Check(
    name="blower",
    needs=((Quantity.BOOST_PRESSURE, Quantity.MANIFOLD_PRESSURE),),
    limits=(FALLS, LESS),
    judge=judge,
    induction=frozenset({Induction.BLOWER}),
)
