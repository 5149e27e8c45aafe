"""Knock: single events, one cylinder or all, more than hot charge air explains, or too deep.

Events that come one by one and are given back are how knock control finds the limit: healthy, and
said with their rate and mean. What it cannot give back is worth a look, and deep retard is a stop.
"""

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.causes.symptoms import EVEN, NOT_SEEN, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.charge_heat import retard_from_heat
from analysis.checks.check import Context, healthy, stated
from analysis.checks.knock_cylinders import chance_alone
from analysis.checks.knock_process import KnockProcess, Retard, mean_before, process_of
from analysis.checks.knock_said import (
    LEAST_CHANCE,
    TAKEN_DEG,
    heat_statements,
    lost,
    more_than_chance,
    rate_statement,
    where_above,
)
from analysis.checks.stretches import place
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Engines, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.shared_limits import (
    KNOCK_FOR,
    KNOCK_STOP,
    KNOCK_SUSTAINED,
    KNOCK_SUSTAINED_STOP,
)
from analysis.phrases.say import Argument, amount, count, rpm, say
from decode.samples import FloatArray

STEPS_ORIGIN: Final = (
    "service descriptions of production knock control (steps of 3 deg); threshold: "
    + COMMON_PRACTICE
)
EVENT = Limit(
    "ignition.knock_event",
    3.0,
    "deg",
    STEPS_ORIGIN,
    "lasting retard of one cylinder beyond the others: look closer",
    Engines.SPARK,
)
RATE = Limit(
    "ignition.knock_rate",
    0.8,
    "1",
    COMMON_PRACTICE,
    "knock events a second, mean over the cylinders: look closer",
    Engines.SPARK,
)
COMMON = Limit(
    "ignition.knock_common",
    3.0,
    "deg",
    COMMON_PRACTICE,
    "lasting mean retard over the cylinders, less what hot charge air explains",
    Engines.SPARK,
)
FROM_HEAT = Limit(
    "ignition.knock_from_heat",
    5.0,
    "deg",
    COMMON_PRACTICE,
    "mean retard that hot charge air explains; below it is noted only",
    Engines.SPARK,
)
HEAT = Limit(
    "ignition.heat_per_degree",
    7.0,
    "K",
    "SAE 960497",
    "charge air this much hotter costs 1 deg",
    Engines.SPARK,
)
LIMITS: Final = (
    EVENT,
    RATE,
    COMMON,
    FROM_HEAT,
    KNOCK_SUSTAINED,
    KNOCK_SUSTAINED_STOP,
    KNOCK_FOR,
    KNOCK_STOP,
    HEAT,
)

FIXED_SPREAD_DEG: Final = 0.3  # below one step of any recovery: the figure never moved
FIXED_SAMPLES: Final = 10  # fewer say nothing about standing still
FIXED_SURE: Final = 0.95  # knock control in steps does not stand still; chosen, no published source
OWN_SPREAD_DEG: Final = 0.75  # one recovery step: what two readings of one cylinder may differ
COMMON_SPREAD_DEG: Final = 0.5  # what the mean of several cylinders' recovery steps leaves open
RATE_SPREAD: Final = 0.1  # events a second; more where few events were counted
# Cylinders that knock alike stand out as far as this in one pull of twenty (the usual level of a
# test), and seldom by so much. Both chosen, no published source.
CHANCE: Final = 0.05
CHANCE_SPREAD: Final = 0.1  # decades: what the decay, which is estimated, leaves open
TIMES_THE_OTHERS: Final = 2.5
TIMES_SPREAD: Final = 0.25
LEAST_MEAN_DEG: Final = 0.1  # of the others: the resolution of a retard channel
KNOCKING_DEG: Final = 1.0  # many events matter where this much is lost on average ...
KNOCKING_SPREAD_DEG: Final = 0.25  # ... give or take a third of a step
# From this share on hot charge air is called the reason for the retard that the cylinders share.
# It and its spread are chosen, no published source.
HEAT_SHARE: Final = 0.6
HEAT_SHARE_SPREAD: Final = 0.15
# What is worth a finding is there: retard is measured, only whether it is worth one is open, so
# that near its limit a finding is no half evidence. Chosen, no published source.
FOUND: Final = 0.8


def is_fixed(retard: Retard, limits: Limits) -> bool:
    """The same retard on every cylinder from end to end: a fail-safe, not knock."""
    every = retard.by_cylinder
    return bool(
        every.shape[1] >= FIXED_SAMPLES
        and every.min() >= limits[EVENT.name].value / 2
        and float(every.max() - every.min()) <= FIXED_SPREAD_DEG
    )


def judge_knock(pull: Pull, retard: Retard, limits: Limits, context: Context) -> list[Observation]:
    """Everything that the retard of the cylinders shows."""
    if is_fixed(retard, limits):
        return [_fixed(pull, retard, limits)]
    seen = [Observation(Symptom.RETARD_FIXED, NOT_SEEN)]
    process = process_of(retard)
    one = None if retard.single_channel else _one_cylinder(pull, retard, process, limits)
    alike = _alike(retard, process, one)
    seen += [] if one is None else [one]
    seen += _all_cylinders(pull, retard, process, alike, limits, context)
    if not any(o.finding for o in seen):
        seen += _too_much(pull, retard, process, limits)
    if not any(o.finding and o.finding.severity is not Severity.NOTE for o in seen):
        seen.append(_at_its_limit(pull, retard, process, limits))
    return seen


def _lasting(retard: Retard, limits: Limits) -> FloatArray:
    """The mean over what counts as lasting, float64[cylinders, n]."""
    return mean_before(retard.time_s, retard.by_cylinder, limits[KNOCK_FOR.name].value)


def _severity(retard: Retard, limits: Limits) -> Severity:
    """Of retard that is worth a look: a stop where it is deep, or lasts and is half as deep."""
    deep = float(retard.by_cylinder.max()) >= limits[KNOCK_STOP.name].value
    lasting = float(_lasting(retard, limits).max()) >= limits[KNOCK_SUSTAINED_STOP.name].value
    return Severity.STOP if deep or lasting else Severity.LOOK_CLOSER


def _of(retard: Retard, index: int) -> Retard:
    """One cylinder's."""
    rows = slice(index, index + 1)
    return Retard(retard.time_s, retard.cylinders[rows], retard.by_cylinder[rows])


def _one_cylinder(pull: Pull, retard: Retard, process: KnockProcess, limits: Limits) -> Observation:
    """Does one cylinder lose far more than the rest, and more than chance makes of it?"""
    worst = int(process.mean_deg.argmax())
    rest = np.delete(process.sustained, worst, axis=0)
    own_deg = float((process.sustained[worst] - np.median(rest, axis=0)).max())
    others_deg = float(np.delete(process.mean_deg, worst).mean())
    times = float(process.mean_deg[worst]) / max(others_deg, LEAST_MEAN_DEG)
    event = limits[EVENT.name]
    far = min(
        sureness(own_deg, event.value - OWN_SPREAD_DEG, OWN_SPREAD_DEG),
        sureness(times, TIMES_THE_OTHERS, TIMES_SPREAD),
    )
    if far < EVEN:
        return Observation(Symptom.ONE_CYLINDER_RETARDED, far)
    chance = chance_alone(process, retard.duration_s)
    present = min(
        far, sureness(-math.log10(max(chance, LEAST_CHANCE)), -math.log10(CHANCE), CHANCE_SPREAD)
    )
    if present < EVEN:
        return Observation(Symptom.ONE_CYLINDER_RETARDED, present)
    its = retard.by_cylinder[worst]
    where = where_above(pull, retard, its, event.value / 2, retard.cylinders[worst])
    statements = (
        lost(retard, worst, where),
        more_than_chance(process, worst, others_deg, chance),
    )
    severity = _severity(_of(retard, worst), limits)
    finding = beyond(event, severity, statements, own_deg, where)
    return Observation(Symptom.ONE_CYLINDER_RETARDED, max(present, FOUND), finding)


def _alike(retard: Retard, process: KnockProcess, one: Observation | None) -> NDArray[np.bool_]:
    """bool[cylinders]: those that speak for all. One that stands out among three or more does not,
    so that one bad cylinder is not all of them."""
    alike = np.ones(len(retard.cylinders), dtype=bool)
    if one is not None and one.present >= EVEN and len(alike) >= 3:
        alike[int(process.mean_deg.argmax())] = False
    return alike


def _all_cylinders(
    pull: Pull,
    retard: Retard,
    process: KnockProcess,
    alike: NDArray[np.bool_],
    limits: Limits,
    context: Context,
) -> list[Observation]:
    """Are the cylinders that are alike retarded for long, or do they knock all the time, and by
    more than hot charge air explains?"""
    shared, common = limits[COMMON.name], process.sustained[alike].mean(axis=0)
    heat = retard_from_heat(pull, context, limits[HEAT.name].value, retard.time_s)
    beyond_heat = common - heat
    most = float(beyond_heat.max())
    peak_at = int(common.argmax())
    peak, explained = float(common[peak_at]), float(heat[peak_at])
    heat_share = float(np.clip(explained / max(peak, TAKEN_DEG), 0.0, 1.0))
    from_heat = min(
        sureness(peak, shared.value, COMMON_SPREAD_DEG),
        sureness(heat_share, HEAT_SHARE, HEAT_SHARE_SPREAD),
    )
    lasting = sureness(most, shared.value, COMMON_SPREAD_DEG)
    often = min(_often(process, alike, limits), sureness(most, KNOCKING_DEG, KNOCKING_SPREAD_DEG))
    present = max(lasting, often)
    if present < EVEN and from_heat < EVEN:
        return [
            Observation(Symptom.ALL_CYLINDERS_RETARDED, present),
            Observation(Symptom.RETARD_FROM_HEAT, from_heat),
        ]
    raw = retard.by_cylinder[alike].mean(axis=0)
    where = where_above(pull, retard, raw, float(raw.max()) / 2)
    key = "ignition-whole-engine" if retard.single_channel else "ignition-all-cylinders"
    statements = (
        say(key, retard=amount(float(raw.max()), "deg", 1), where=place_phrase(where)),
        rate_statement(process),
        *heat_statements(pull, context, min(peak, explained)),
    )
    severity = _severity(retard, limits)
    if present < EVEN:  # heat explains it: the air's own check judges the air
        noted = peak < limits[FROM_HEAT.name].value and severity is not Severity.STOP
        severity = Severity.NOTE if noted else severity
    finding = beyond(shared, severity, statements, most, where)
    if lasting < EVEN <= present:
        rate = float(process.rate_per_s[alike].mean())
        finding = beyond(limits[RATE.name], severity, statements, rate, where)
    present, from_heat = (max(p, FOUND) if p >= EVEN else p for p in (present, from_heat))
    lead = present >= from_heat
    return [
        Observation(Symptom.ALL_CYLINDERS_RETARDED, present, finding if lead else None),
        Observation(Symptom.RETARD_FROM_HEAT, from_heat, None if lead else finding),
    ]


def _often(process: KnockProcess, alike: NDArray[np.bool_], limits: Limits) -> float:
    """How sure the cylinders knock too often. A count's own spread is its root (Poisson)."""
    rate, counted = float(process.rate_per_s[alike].mean()), float(process.events[alike].sum())
    spread = np.hypot(RATE_SPREAD, rate / np.sqrt(max(counted, 1.0)))
    return sureness(rate, limits[RATE.name].value, float(spread))


def _too_much(
    pull: Pull, retard: Retard, process: KnockProcess, limits: Limits
) -> list[Observation]:
    """Retard that is deep or lasts, in a cylinder that chance may have picked. Worth a look is what
    lasts for twice its decay: two events that follow each other by chance do not."""
    for limit, values, over_s in (
        (limits[KNOCK_STOP.name], retard.by_cylinder, 0.0),
        (limits[KNOCK_SUSTAINED_STOP.name], _lasting(retard, limits), limits[KNOCK_FOR.name].value),
        (limits[KNOCK_SUSTAINED.name], process.sustained, process.sustained_s),
    ):
        worst = int(values.max(axis=1).argmax())
        if float(values[worst].max()) >= limit.value:
            return [_deep(pull, retard, process, limits, (limit, values[worst], over_s, worst))]
    return []


def _deep(
    pull: Pull,
    retard: Retard,
    process: KnockProcess,
    limits: Limits,
    found: tuple[Limit, FloatArray, float, int],
) -> Observation:
    """found: the limit, the values of one cylinder that are beyond it, what they are means over,
    and the cylinder's index."""
    limit, values, over_s, worst = found
    its, most, end_s = retard.by_cylinder[worst], values.max(), retard.time_s[values.argmax()]
    cylinder = None if retard.single_channel else retard.cylinders[worst]
    where = place(pull, float(end_s) - over_s, float(end_s), cylinder)
    said: dict[str, Argument] = {
        "retard": amount(float(its.max()), "deg", 1),
        "where": place_phrase(where),
    }
    if over_s:
        said["lasting"] = amount(float(most), "deg", 1)
        said["duration"] = amount(over_s, "s", 1)
    if cylinder is None:
        statement = say("ignition-lasting-engine" if over_s else "ignition-deep-engine", **said)
    else:
        said["cylinder"] = count(cylinder)
        statement = say("ignition-lasting" if over_s else "ignition-deep", **said)
    severity = _severity(_of(retard, worst), limits)
    return stated(beyond(limit, severity, (statement, rate_statement(process)), float(most), where))


def _fixed(pull: Pull, retard: Retard, limits: Limits) -> Observation:
    value = float(np.median(retard.by_cylinder))
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    statements = (
        say("ignition-fixed", retard=amount(value, "deg", 1)),
        say("ignition-fixed-why"),
    )
    finding = beyond(limits[EVENT.name], Severity.LOOK_CLOSER, statements, value, where)
    return Observation(Symptom.RETARD_FIXED, FIXED_SURE, finding)


def _at_its_limit(pull: Pull, retard: Retard, process: KnockProcess, limits: Limits) -> Observation:
    """All is well: nothing was taken, or single events were given back."""
    worst = int(process.peak_deg.argmax())
    peak = float(process.peak_deg[worst])
    lasting = float(process.sustained.max())
    at_s = retard.time_s[int(retard.by_cylinder[worst].argmax())]
    speed = rpm(float(pull.engine_speed_at(np.array([at_s]))[0]))
    taken = amount(peak, "deg", 1)
    if peak < TAKEN_DEG:
        start, end = rpm(pull.bounds.start_rpm), rpm(pull.bounds.end_rpm)
        statements = [say("ignition-nothing-taken", start=start, end=end)]
    elif retard.single_channel:
        statements = [
            say("ignition-given-back", retard=taken, speed=speed),
            rate_statement(process),
        ]
    else:
        cylinder = count(retard.cylinders[worst])
        statements = [
            say("ignition-given-back-cylinder", retard=taken, cylinder=cylinder, speed=speed),
            rate_statement(process),
        ]
    limit = limits[KNOCK_SUSTAINED.name]
    return healthy("ignition", tuple(statements), round(lasting, 2), limit)
