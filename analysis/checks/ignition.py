"""Ignition and knock: how much timing was taken away, from which cylinder, where, and how.

Knock control takes about 3 degrees from the cylinder that knocked and gives them back slowly, in
steps below a degree (service descriptions of production controllers). One cylinder doing that is
that cylinder's own trouble; all of them together is the fuel or the air; the same figure on every
cylinder all the time is no knock at all but a controller that has lost its sensor.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.causes.symptoms import EVEN, NOT_SEEN, Observation, Symptom
from analysis.checks.against_limit import BETWEEN_COUNTS, beyond, place_phrase, sureness
from analysis.checks.charge_heat import air_first_word, reference, retard_from_heat
from analysis.checks.check import Check, Context, healthy, note, stated
from analysis.checks.stretches import Stretch, at, held_at, place, smoothed, stretches
from analysis.checks.torque_shortfall import misfire_counters
from analysis.model.findings import Severity, Where
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.setup import Ignition
from analysis.model.shared_limits import (
    KNOCK_FOR,
    KNOCK_STOP,
    KNOCK_SUSTAINED,
    KNOCK_SUSTAINED_STOP,
)
from analysis.phrases.say import amount, count, rpm, say
from analysis.phrases.statement import Statement
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

STEPS_ORIGIN: Final = (
    "service descriptions of production knock control (steps of 3 deg); threshold: "
    + COMMON_PRACTICE
)

EVENT = Limit(
    "ignition.knock_event", 3.0, "deg", STEPS_ORIGIN, "retard of one cylinder worth a look"
)
SINGLE = Limit(
    "ignition.knock_single", 6.0, "deg", STEPS_ORIGIN, "one cylinder may lose this much, once"
)
REPEATS = Limit(
    "ignition.knock_repeats",
    3.0,
    "events",
    COMMON_PRACTICE,
    "knock events of one cylinder in a pull",
)
COMMON = Limit(
    "ignition.knock_common",
    3.0,
    "deg",
    COMMON_PRACTICE,
    "mean retard over the cylinders, less what hot charge air explains",
)
FROM_HEAT = Limit(
    "ignition.knock_from_heat",
    5.0,
    "deg",
    COMMON_PRACTICE,
    "mean retard that hot charge air explains; below it is noted only",
)
HEAT = Limit(
    "ignition.heat_per_degree", 7.0, "K", "SAE 960497", "charge air this much hotter costs 1 deg"
)
BELOW_TARGET = Limit(
    "ignition.below_target",
    3.0,
    "deg",
    COMMON_PRACTICE,
    "timing may be this far below its target beyond what knock control took",
)

MISFIRES = Limit(
    "ignition.misfires", 3.0, "misfires", COMMON_PRACTICE, "counted in one pull: look closer"
)

STEP_DEG: Final = 1.5  # a rise of at least half a knock step within one update is an event
FIXED_SPREAD_DEG: Final = 0.3  # below one step of any recovery: the figure never moved
FIXED_SAMPLES: Final = 10  # fewer say nothing about standing still
OWN_SPREAD_DEG: Final = 0.75  # one recovery step: what two readings of one cylinder may differ
COMMON_OVER_S: Final = 0.8  # about two knock events and their recovery begin to overlap
COMMON_SPREAD_DEG: Final = 0.5  # what the mean of several cylinders' recovery steps leaves open
# From this share on hot charge air is called the reason for the retard that the cylinders share.
# It and its spread are chosen, no published source.
HEAT_SHARE: Final = 0.6
HEAT_SHARE_SPREAD: Final = 0.15
LEAST_HEAT_DEG: Final = 0.3  # what heat explains is not worth a sentence below
TAKEN_DEG: Final = 0.1  # less is printed as nothing
FIXED_SURE: Final = 0.95  # knock control in steps does not stand still; chosen, no published source
BELOW_TARGET_S: Final = 0.3  # a torque intervention for a gear change is shorter; common practice


@dataclass(frozen=True, slots=True)
class Retard:
    """Retard of every cylinder on one time base: by_cylinder float64[cylinders, n], degrees."""

    time_s: FloatArray
    cylinders: tuple[int, ...]
    by_cylinder: FloatArray

    @property
    def single_channel(self) -> bool:
        """One figure for the whole engine: which cylinder it is cannot be told."""
        return len(self.cylinders) == 1


def retard_of(pull: Pull) -> Retard | None:
    """Every retard channel in the pull, held between its updates; None without two samples."""
    channels = pull.per_cylinder(Quantity.KNOCK_RETARD)
    overall = pull.first(Quantity.KNOCK_RETARD)
    if not channels and overall is not None:
        channels = {0: overall}
    inside = {c: s for c, every in channels.items() if len(s := pull.sweep(every)) >= 2}
    if not inside:
        return None
    time_s = max(inside.values(), key=len).time_s
    cylinders = tuple(sorted(inside))
    return Retard(time_s, cylinders, np.stack([held_at(inside[c], time_s) for c in cylinders]))


def events(retard: FloatArray) -> int:
    """How often knock control took a step, of one cylinder's retard float64[n]."""
    rises = np.diff(retard) > STEP_DEG
    return int(np.count_nonzero(rises[1:] & ~rises[:-1]) + (len(rises) > 0 and rises[0]))


def common_retard(retard: Retard) -> FloatArray:
    """Retard the cylinders share, deg[n]: the mean without the worst one where there are three or
    more, so that one bad cylinder does not speak for all."""
    every = retard.by_cylinder
    if len(every) >= 3:
        worst = int(every.mean(axis=1).argmax())
        every = np.delete(every, worst, axis=0)
    return smoothed(Samples(retard.time_s, every.mean(axis=0)), COMMON_OVER_S).value


def is_fixed(retard: Retard, limits: Limits) -> bool:
    """The same retard on every cylinder from end to end: a fail-safe, not knock."""
    every = retard.by_cylinder
    return bool(
        every.shape[1] >= FIXED_SAMPLES
        and every.min() >= limits[EVENT.name].value / 2
        and float(every.max() - every.min()) <= FIXED_SPREAD_DEG
    )


def _worst_cylinder(retard: Retard) -> tuple[int, FloatArray]:
    """Index of the cylinder that lost most, and what it lost beyond the others' median, deg[n]."""
    worst = int(retard.by_cylinder.mean(axis=1).argmax())
    others = np.delete(retard.by_cylinder, worst, axis=0)
    return worst, retard.by_cylinder[worst] - np.median(others, axis=0)


def _place_above(pull: Pull, time_s: FloatArray, values: FloatArray, level: float) -> Stretch:
    """From the first to the last sample at or above a level; values: float64[n]."""
    above = np.flatnonzero(values >= level)
    first, last = int(above[0]), int(above[-1])
    return Stretch(first, last, float(time_s[first]), float(time_s[last]))


def _severity(peak: float, limits: Limits) -> Severity:
    return Severity.STOP if peak >= limits[KNOCK_STOP.name].value else Severity.LOOK_CLOSER


def _one_cylinder(pull: Pull, retard: Retard, limits: Limits) -> Observation:
    """Is one cylinder retarded far more than the rest, again and again or deeply?"""
    worst, own = _worst_cylinder(retard)
    own_peak, its = float(own.max()), retard.by_cylinder[worst]
    own_events = events(its) - int(np.median([events(r) for r in retard.by_cylinder]))
    event, single = limits[EVENT.name], limits[SINGLE.name]
    deep = sureness(own_peak, single.value, OWN_SPREAD_DEG)
    repeated = min(
        sureness(own_peak, event.value - OWN_SPREAD_DEG, OWN_SPREAD_DEG),
        sureness(own_events, limits[REPEATS.name].value - BETWEEN_COUNTS, BETWEEN_COUNTS),
    )
    present = 1 - (1 - deep) * (1 - repeated)
    if present < EVEN:
        return Observation(Symptom.ONE_CYLINDER_RETARDED, present)
    found = _place_above(pull, retard.time_s, its, min(event.value, float(its.max())) / 2)
    where = place(pull, found.start_s, found.end_s, retard.cylinders[worst])
    statement = _one_cylinder_lost(retard, worst, where)
    limit = event if deep < EVEN else single
    finding = beyond(limit, _severity(float(its.max()), limits), statement, float(its.max()), where)
    return Observation(Symptom.ONE_CYLINDER_RETARDED, present, finding)


def _one_cylinder_lost(retard: Retard, worst: int, where: Where) -> Statement:
    cylinder = count(retard.cylinders[worst])
    taken = amount(float(retard.by_cylinder[worst].max()), "deg", 1)
    others = float(np.delete(retard.by_cylinder, worst, axis=0).max())
    place_of = place_phrase(where)
    if others < TAKEN_DEG:
        return say("ignition-one-cylinder-alone", cylinder=cylinder, retard=taken, where=place_of)
    return say(
        "ignition-one-cylinder",
        cylinder=cylinder,
        retard=taken,
        where=place_of,
        others=amount(others, "deg", 1),
    )


def _from_heat(pull: Pull, context: Context, explained_deg: float) -> tuple[Statement, ...]:
    """What heat has to do with the retard: one statement, or none."""
    usual = reference(pull, context)
    if usual is None:
        return (say("ignition-heat-unknown"),)
    if explained_deg < LEAST_HEAT_DEG:
        return ()
    explained = amount(explained_deg, "deg", 1)
    air = air_first_word(pull)
    return (say("ignition-heat-explains", air=air, usual=usual.origin, explained=explained),)


def _all_cylinders(
    pull: Pull, retard: Retard, limits: Limits, context: Context
) -> list[Observation]:
    """Are all cylinders retarded, and by more than hot charge air explains?"""
    shared, common = limits[COMMON.name], common_retard(retard)
    heat = retard_from_heat(pull, context, limits[HEAT.name].value, retard.time_s)
    beyond_heat = common - heat
    worst = int(beyond_heat.argmax())
    peak = float(common.max())
    heat_share = float(np.clip(heat[int(common.argmax())] / max(peak, TAKEN_DEG), 0.0, 1.0))
    from_heat = min(
        sureness(peak, shared.value, COMMON_SPREAD_DEG),
        sureness(heat_share, HEAT_SHARE, HEAT_SHARE_SPREAD),
    )
    present = sureness(float(beyond_heat[worst]), shared.value, COMMON_SPREAD_DEG)
    if present < EVEN and from_heat < EVEN:
        return [
            Observation(Symptom.ALL_CYLINDERS_RETARDED, present),
            Observation(Symptom.RETARD_FROM_HEAT, from_heat),
        ]
    found = _place_above(pull, retard.time_s, common, 0.5 * peak)
    where = place(pull, found.start_s, found.end_s)
    key = "ignition-whole-engine" if retard.single_channel else "ignition-all-cylinders"
    statements = (
        say(key, retard=amount(peak, "deg", 1), where=place_phrase(where)),
        *_from_heat(pull, context, min(peak, float(heat[int(common.argmax())]))),
    )
    severity = _severity(float(retard.by_cylinder.max()), limits)
    if present < EVEN:  # heat explains it: the air's own check judges the air
        noted = peak < limits[FROM_HEAT.name].value
        severity = Severity.NOTE if noted else Severity.LOOK_CLOSER
    finding = beyond(shared, severity, statements, float(beyond_heat[worst]), where)
    lead = present >= from_heat
    return [
        Observation(Symptom.ALL_CYLINDERS_RETARDED, present, finding if lead else None),
        Observation(Symptom.RETARD_FROM_HEAT, from_heat, None if lead else finding),
    ]


def _fixed(pull: Pull, retard: Retard, limits: Limits) -> Observation:
    value = float(np.median(retard.by_cylinder))
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    statements = (
        say("ignition-fixed", retard=amount(value, "deg", 1)),
        say("ignition-fixed-why"),
    )
    finding = beyond(limits[EVENT.name], Severity.LOOK_CLOSER, statements, value, where)
    return Observation(Symptom.RETARD_FIXED, FIXED_SURE, finding)


def _below_target(pull: Pull, retard: Retard | None, limits: Limits) -> list[Observation]:
    """Timing below its target by more than knock control took: something else took it."""
    timing, target = pull.first(Quantity.IGNITION_TIMING), pull.first(Quantity.IGNITION_TARGET)
    if timing is None or target is None:
        return []
    inside, limit = pull.sweep(timing), limits[BELOW_TARGET.name]
    short = at(target, inside.time_s) - inside.value
    if retard is not None:
        taken = Samples(retard.time_s, retard.by_cylinder.max(axis=0))
        short = short - held_at(taken, inside.time_s)
    found = stretches(inside.time_s, short > limit.value, BELOW_TARGET_S)
    if not found:
        return []
    worst = max(found, key=lambda s: float(short[s.indices].max()))
    where, value = place(pull, worst.start_s, worst.end_s), float(short[worst.indices].max())
    statement = say(
        "ignition-below-target", short=amount(value, "deg", 1), where=place_phrase(where)
    )
    return [stated(beyond(limit, Severity.LOOK_CLOSER, statement, value, where))]


def _misfires(pull: Pull, limits: Limits) -> list[Observation]:
    """How far every misfire counter rose in the pull, whether it runs on or starts anew."""
    counters = [pull.sweep(counter) for counter in misfire_counters(pull)]
    rises = [(np.diff(c.value, prepend=c.value[:1]), c.time_s) for c in counters if len(c)]
    if not rises:
        return []
    limit, counted = limits[MISFIRES.name], sum(float(r[r > 0].sum()) for r, _ in rises)
    present = sureness(counted, limit.value - BETWEEN_COUNTS, BETWEEN_COUNTS)
    if present < EVEN:
        return [Observation(Symptom.MISFIRES, present)]
    when = np.concatenate([time_s[r > 0] for r, time_s in rises])
    where = place(pull, float(when.min()), float(when.max()))
    statement = say("ignition-misfires", misfires=count(round(counted)), where=place_phrase(where))
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, counted, where)
    return [Observation(Symptom.MISFIRES, present, finding)]


def _nothing_wrong(pull: Pull, retard: Retard, limits: Limits) -> Observation:
    worst = int(retard.by_cylinder.max(axis=1).argmax())
    peak = float(retard.by_cylinder[worst].max())
    at_s = retard.time_s[int(retard.by_cylinder[worst].argmax())]
    speed = rpm(float(pull.engine_speed_at(np.array([at_s]))[0]))
    taken = amount(peak, "deg", 1)
    if peak < TAKEN_DEG:
        start, end = rpm(pull.bounds.start_rpm), rpm(pull.bounds.end_rpm)
        statement = say("ignition-nothing-taken", start=start, end=end)
    elif retard.single_channel:
        statement = say("ignition-given-back", retard=taken, speed=speed)
    else:
        cylinder = count(retard.cylinders[worst])
        statement = say(
            "ignition-given-back-cylinder", retard=taken, cylinder=cylinder, speed=speed
        )
    return healthy("ignition", statement, round(peak, 2), limits[SINGLE.name])


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Misfires; retard by cylinder and by all, less what heat explains; timing against target."""
    seen, retard = _misfires(pull, limits), retard_of(pull)
    if context.setup.car.ignition is Ignition.COMPRESSION:
        return [*seen, note("ignition", say("ignition-compression"))]
    if retard is None:
        return [*seen, note("ignition", say("ignition-knock-not-judged"))]
    if is_fixed(retard, limits):
        return [*seen, _fixed(pull, retard, limits)]
    seen.append(Observation(Symptom.RETARD_FIXED, NOT_SEEN))
    if not retard.single_channel:
        seen.append(_one_cylinder(pull, retard, limits))
    seen += _all_cylinders(pull, retard, limits, context)
    seen += _below_target(pull, retard, limits)
    if not any(o.finding and o.finding.severity is not Severity.NOTE for o in seen):
        seen.append(_nothing_wrong(pull, retard, limits))
    return seen


CHECK: Final = Check(
    name="ignition",
    needs=((Quantity.KNOCK_RETARD, Quantity.MISFIRE_COUNT),),
    limits=(
        EVENT,
        SINGLE,
        REPEATS,
        KNOCK_SUSTAINED,
        KNOCK_SUSTAINED_STOP,
        KNOCK_FOR,
        KNOCK_STOP,
        COMMON,
        FROM_HEAT,
        HEAT,
        BELOW_TARGET,
        MISFIRES,
    ),
    judge=judge,
)
