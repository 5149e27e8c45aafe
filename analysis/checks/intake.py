"""Naturally aspirated intake: what filter, duct and throttle take of the air's pressure.

At full throttle the manifold stays within 1 to 4 kPa of the air at peak power. A restriction takes
more with the square of the flow, so it shows at the top of the sweep and hardly at its start; what
is missing all the way alike is an offset between two sensors.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.causes.symptoms import EVEN, Observation, Symptom
from analysis.checks.against_limit import beyond, sureness
from analysis.checks.boost_pressure import barometric_kpa
from analysis.checks.check import Check, Context, healthy, note
from analysis.checks.stretches import place, smoothed
from analysis.checks.throttle import throttle_open
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.setup import Induction
from analysis.phrases.say import amount, count, rpm, say
from decode.quantities import Quantity

DROP = Limit(
    "intake.drop",
    8.0,
    "kPa",
    "1 to 4 kPa are usual at peak power; threshold: " + COMMON_PRACTICE,
    "manifold below the air's pressure at full throttle at the top of the sweep",
)
DROP_MOTORCYCLE = Limit(
    "intake.drop_motorcycle",
    12.0,
    "kPa",
    "a throttle for each cylinder pulses; " + COMMON_PRACTICE,
    "the same of an engine that turns like a motorcycle's",
)
MORE = Limit(
    "intake.more_than_earlier",
    3.0,
    "kPa",
    COMMON_PRACTICE,
    "more than in the stage's earlier pulls",
)
SMOOTH_S: Final = 0.2
TOP_SHARE: Final = 0.85  # of the sweep's speeds, from here on
LOW_SHARE: Final = 0.35  # up to here flow is less than half
GROWS: Final = 0.5  # of the drop at the top has to be gone at low speed: an offset stays
SPREAD_KPA: Final = 1.0  # two sensors, and whole kilopascals
LEAST_SAMPLES: Final = 2


@dataclass(frozen=True, slots=True)
class Drop:
    """Air less manifold at the top of the sweep, and how much of it low speed does not have."""

    top_kpa: float
    grown_kpa: float
    manifold_kpa: float
    start_rpm: float
    end_rpm: float


def drop_of(pull: Pull, limits: Limits, context: Context) -> Drop | None:
    """None without barometric pressure, or with too little of an open throttle."""
    manifold, air_kpa = pull.first(Quantity.MANIFOLD_PRESSURE), barometric_kpa(pull, context.setup)
    if manifold is None or air_kpa is None:
        return None
    inside = throttle_open(pull, pull.sweep(smoothed(manifold, SMOOTH_S)), limits, context)
    speeds, bounds = pull.engine_speed_at(inside.time_s), pull.bounds
    share = (speeds - bounds.start_rpm) / max(bounds.end_rpm - bounds.start_rpm, 1.0)
    top, low = share >= TOP_SHARE, share <= LOW_SHARE
    if np.count_nonzero(top) < LEAST_SAMPLES or np.count_nonzero(low) < LEAST_SAMPLES:
        return None
    top_kpa, low_kpa = (float(np.median(inside.value[where])) for where in (top, low))
    return Drop(
        top_kpa=air_kpa - top_kpa,
        grown_kpa=low_kpa - top_kpa,
        manifold_kpa=top_kpa,
        start_rpm=float(speeds[top][0]),
        end_rpm=float(speeds[top][-1]),
    )


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """The drop at the top of the sweep, by itself and against the stage's earlier pulls."""
    drop = drop_of(pull, limits, context)
    if drop is None:
        return [note(CHECK.name, say("intake-needs"))]
    limit = limits[(DROP_MOTORCYCLE if context.kind.is_motorcycle else DROP).name]
    place_of = place(pull, *_times(pull, drop))
    speeds = {"start": rpm(drop.start_rpm), "end": rpm(drop.end_rpm)}
    if drop.top_kpa > limit.value and drop.grown_kpa < GROWS * drop.top_kpa:
        return [note(CHECK.name, say("intake-offset", drop=amount(drop.top_kpa, "kPa")))]
    present = sureness(drop.top_kpa, limit.value, SPREAD_KPA)
    if present >= EVEN:
        statement = say(
            "intake-drop",
            drop=amount(drop.top_kpa, "kPa"),
            limit=amount(limit.value, "kPa"),
            **speeds,
        )
        finding = beyond(limit, Severity.LOOK_CLOSER, statement, drop.top_kpa, place_of)
        return [Observation(Symptom.INTAKE_DROPS, present, finding)]
    before = [d for each in context.earlier if (d := drop_of(each, limits, context)) is not None]
    more, more_kpa = limits[MORE.name], 0.0
    if before:
        more_kpa = drop.grown_kpa - min(d.grown_kpa for d in before)
        present = max(present, sureness(more_kpa, more.value, SPREAD_KPA / 2))
    if present >= EVEN:
        statement = say(
            "intake-drops-more",
            drop=amount(drop.top_kpa, "kPa"),
            more=amount(more_kpa, "kPa"),
            pulls=count(len(before)),
            **speeds,
        )
        finding = beyond(more, Severity.LOOK_CLOSER, statement, more_kpa, place_of)
        return [Observation(Symptom.INTAKE_DROPS, present, finding)]
    statement = say("intake-free", drop=amount(max(drop.top_kpa, 0.0), "kPa"), **speeds)
    return [
        Observation(Symptom.INTAKE_DROPS, present),
        healthy(CHECK.name, statement, round(drop.top_kpa, 1), limit),
    ]


def _times(pull: Pull, drop: Drop) -> tuple[float, float]:
    """When the sweep passes the speeds of the drop, taken as even."""
    bounds = pull.bounds
    rise_rpm_s = max((bounds.end_rpm - bounds.start_rpm) / (bounds.end_s - bounds.start_s), 1.0)
    start_s = bounds.start_s + (drop.start_rpm - bounds.start_rpm) / rise_rpm_s
    return max(start_s, bounds.start_s), bounds.end_s


CHECK: Final = Check(
    name="intake",
    needs=((Quantity.MANIFOLD_PRESSURE,),),
    limits=(DROP, DROP_MOTORCYCLE, MORE),
    judge=judge,
    induction=frozenset({Induction.NATURALLY_ASPIRATED}),
)
