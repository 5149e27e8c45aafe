"""Fuel supply: both pressures against what they should be, and whether the injectors have time.

Flow goes with the square root of pressure: 10 % less rail pressure is 5 % less fuel in the same
time, and the injectors open longer to make up for it until there is no time left.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.causes.symptoms import EVEN, PASSING, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.check import Check, Context, healthy, note, stated
from analysis.checks.fuel_goals import SAME_PRESSURE, Basis, Goal, goals_of
from analysis.checks.injectors import DUTY, DUTY_ALL, DUTY_FOR, injector_time
from analysis.checks.stretches import Stretch, at, lasting, place, smoothed, stretches
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.shared_limits import (
    DROOP_STOP,
    LOW_PRESSURE_DROOP,
    OTHER_UNIT_PERCENT,
    RAIL_DROOP,
    VOLTAGE,
)
from analysis.phrases.say import amount, say
from analysis.phrases.statement import Statement
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

DROOP_FOR = Limit("fuel_supply.droop_for", 0.3, "s", COMMON_PRACTICE, "for at least this long")
UNASKED_FALL = Limit(
    "fuel_supply.unasked_fall",
    40.0,
    "%",
    "no control lowers its pressure so far while demand rises; threshold: " + COMMON_PRACTICE,
    "low-side pressure below where the sweep began, with nothing else to hold it against",
)
DROOP_SPREAD: Final = 1.5  # per cent: what pressure sensors and control are good for
LEAST_READINGS: Final = 2  # in a droop: a single reading may have come with an older target
FINEST: Final = 1.0  # per cent: no pressure sensor holds closer, so none is said to
LEAST_GOAL_KPA: Final = 1.0  # a channel that reads zero: no such pump in this car
SMOOTH_S: Final = 0.2  # over the strokes of the pumps and the target's own steps
WORTH_SAYING_S: Final = 0.05
FALLS_FREELY: Final = 0.75  # how sure a fall with nothing to hold it against is a droop. Chosen


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two pressures. name: the key of its phrase."""

    actual: Quantity
    symptom: Symptom
    limit: Limit
    name: str


SIDES: Final = (
    Side(
        Quantity.FUEL_PRESSURE_LOW,
        Symptom.LOW_PRESSURE_DROOPS,
        LOW_PRESSURE_DROOP,
        "fuel-side-low",
    ),
    Side(
        Quantity.FUEL_PRESSURE_HIGH,
        Symptom.HIGH_PRESSURE_DROOPS,
        RAIL_DROOP,
        "fuel-side-rail",
    ),
)


def droop_percent(inside: Samples, goal: FloatArray) -> FloatArray:
    """How far below its goal, per cent, float64[n]; noise and the target's own steps smoothed. 0
    where there is no goal."""
    short = 100.0 * (1.0 - inside.value / np.maximum(goal, LEAST_GOAL_KPA))
    return smoothed(Samples(inside.time_s, np.nan_to_num(short)), SMOOTH_S).value


def _side(pull: Pull, side: Side, limits: Limits, context: Context) -> list[Observation]:
    pressure = pull.first(side.actual)
    if pressure is None or len(inside := pull.sweep(pressure)) < 2:
        return []
    goals = goals_of(pull, side.actual, inside, context)
    goals = [goal for goal in goals if np.nanmax(goal.least_kpa) > LEAST_GOAL_KPA]
    seen = [_against(pull, side, inside, goal, limits) for goal in goals]
    # None of them is worse than another: what one finds short is short.
    short = [
        each for each in seen if any(o.finding and o.finding.severity.is_trouble for o in each)
    ]
    return next(iter(short + seen), None) or _open(pull, side, pressure, inside, limits)


def _against(
    pull: Pull, side: Side, inside: Samples, goal: Goal, limits: Limits
) -> list[Observation]:
    """One pressure against one goal."""
    limit, for_s = limits[side.limit.name], limits[DROOP_FOR.name].value
    short = droop_percent(inside, goal.least_kpa)
    if goal.basis is Basis.TARGET and float(short.min()) > OTHER_UNIT_PERCENT:
        return [_other_unit(pull, side, inside, goal.least_kpa, limit)]
    found = _droops(inside, short > limit.value, for_s)
    if not found:
        return _held(side, inside, short, goal, limits)
    worst = max(found, key=lambda s: float(short[s.indices].max()))
    index = worst.first + int(short[worst.indices].argmax())
    value, where = float(short[index]), place(pull, found[0].start_s, found[-1].end_s)
    statements = [
        say(
            f"fuel-drooped-{goal.basis}",
            side=say(side.name),
            short=amount(value, "%"),
            where=place_phrase(where),
            pressure=amount(inside.value[index], "kPa"),
            wanted=amount(goal.least_kpa[index], "kPa"),
        ),
        *_lag_allowed(goal),
    ]
    # a moment beyond the stop limit within a longer droop is not yet a stop
    too_far = _droops(inside, short > limits[DROOP_STOP.name].value, for_s)
    severity = Severity.STOP if too_far else Severity.LOOK_CLOSER
    present = sureness(value, limit.value, DROOP_SPREAD)
    finding = beyond(limit, severity, tuple(statements), value, where)
    return [Observation(side.symptom, present, finding)]


def _droops(inside: Samples, holds: NDArray[np.bool_], for_s: float) -> list[Stretch]:
    """Where it holds for long enough, and in more than one reading."""
    found = stretches(inside.time_s, holds, for_s)
    return [stretch for stretch in found if stretch.last - stretch.first + 1 >= LEAST_READINGS]


def _lag_allowed(goal: Goal) -> list[Statement]:
    """That the lag behind the target was taken out, where it is worth a word."""
    if goal.basis is not Basis.TARGET or goal.lag is None or goal.lag.total_s < WORTH_SAYING_S:
        return []
    lag = amount(goal.lag.total_s, "s", 2)
    return [say("fuel-lag-allowed", lag=lag)]


def _held(
    side: Side, inside: Samples, short: FloatArray, goal: Goal, limits: Limits
) -> list[Observation]:
    """That it held; value: what it was short by for as long as a droop has to last."""
    limit, for_s = limits[side.limit.name], limits[DROOP_FOR.name].value
    most, top = lasting(inside.time_s, short, for_s), float(short.max())
    if most > limit.value:  # in one reading of few
        return [note("fuel_supply", say("fuel-too-few", side=say(side.name)))]
    statements = [
        say(f"fuel-held-{goal.basis}", side=say(side.name), short=amount(max(most, FINEST), "%"))
    ]
    if top > limit.value:
        statements.append(
            say("fuel-briefly-short", short=amount(top, "%"), duration=amount(for_s, "s", 1))
        )
    statements += _lag_allowed(goal)
    present = min(PASSING, sureness(top, limit.value, DROOP_SPREAD))
    return [
        Observation(side.symptom, present),
        healthy("fuel_supply", tuple(statements), round(most, 1), limit),
    ]


def _open(
    pull: Pull, side: Side, pressure: Samples, inside: Samples, limits: Limits
) -> list[Observation]:
    """The low side with nothing to hold it against: what it did, and what would tell more. Many
    lift pumps are controlled by demand, so a pressure that changes is no fault of its own."""
    if side.actual is not Quantity.FUEL_PRESSURE_LOW:
        return []
    course, start_s = smoothed(inside, SMOOTH_S), pull.bounds.start_s
    first = float(at(smoothed(pressure, SMOOTH_S), np.array([start_s]))[0])
    short = 100.0 * (1.0 - course.value / max(first, LEAST_GOAL_KPA))
    fell, limit = float(short.max()), limits[UNASKED_FALL.name]
    if fell <= SAME_PRESSURE * 100.0:
        most = amount(max(fell, FINEST), "%")
        statement = say("fuel-low-side-steady", start=amount(first, "kPa"), fell=most)
        return [note("fuel_supply", statement)]
    least = amount(course.value.min(), "kPa")
    found = stretches(course.time_s, short > limit.value, limits[DROOP_FOR.name].value)
    if found:
        where = place(pull, found[0].start_s, found[-1].end_s)
        statement = say(
            "fuel-low-side-fell",
            start=amount(first, "kPa"),
            least=least,
            where=place_phrase(where),
        )
        sure = sureness(fell, limit.value, DROOP_SPREAD)
        finding = beyond(limit, Severity.LOOK_CLOSER, statement, fell, where)
        return [Observation(side.symptom, sure, finding)]
    # A fall speaks for a weak pump, but hardly louder than for one that is controlled.
    present = FALLS_FREELY if fell > limits[side.limit.name].value else EVEN
    statement = say("fuel-low-side-open", start=amount(first, "kPa"), least=least)
    return [replace(note("fuel_supply", statement), symptom=side.symptom, present=present)]


def _other_unit(
    pull: Pull, side: Side, inside: Samples, goal: FloatArray, limit: Limit
) -> Observation:
    """bar against kPa is a hundredth, psi against kPa a seventh: no pump fails like that."""
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    value, wanted = float(np.median(inside.value)), float(np.median(goal))
    statement = say(
        "fuel-other-unit",
        side=say(side.name),
        pressure=amount(value, "kPa"),
        wanted=amount(wanted, "kPa"),
    )
    share = 100.0 * (1.0 - value / max(wanted, LEAST_GOAL_KPA))
    return stated(beyond(limit, Severity.LOOK_CLOSER, statement, share, where))


def _battery(pull: Pull, limits: Limits) -> list[Observation]:
    battery, limit = pull.first(Quantity.BATTERY_VOLTAGE), limits[VOLTAGE.name]
    if battery is None or len(inside := pull.sweep(battery)) < 2:
        return []
    least = float(np.median(inside.value))
    if least >= limit.value:
        return []
    voltage, lowest = amount(least, "V", 1), amount(limit.value, "V", 1)
    statement = say("fuel-supply-voltage", voltage=voltage, limit=lowest)
    return [stated(beyond(limit, Severity.NOTE, statement, least))]


def _together(seen: list[Observation]) -> list[Observation]:
    """One healthy finding for everything that held, or none where something did not."""
    good = [f for o in seen if (f := o.finding) and f.severity is Severity.HEALTHY]
    rest = [o for o in seen if o.finding is None or o.finding.severity is not Severity.HEALTHY]
    if not good or any(o.finding and o.finding.severity is not Severity.NOTE for o in rest):
        return rest
    nearest = max(good, key=lambda f: (f.value or 0.0) / (f.limit or 1.0))
    return [
        *rest,
        stated(replace(nearest, statements=tuple(s for f in good for s in f.statements))),
    ]


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Both pressures, the injectors' time, and the voltage that feeds them."""
    seen = [o for side in SIDES for o in _side(pull, side, limits, context)]
    seen += [*injector_time(pull, limits, context), *_battery(pull, limits)]
    return _together(seen)


CHECK: Final = Check(
    name="fuel_supply",
    needs=((Quantity.FUEL_PRESSURE_LOW, Quantity.FUEL_PRESSURE_HIGH, Quantity.INJECTOR_DUTY),),
    limits=(
        LOW_PRESSURE_DROOP,
        RAIL_DROOP,
        DROOP_FOR,
        DROOP_STOP,
        UNASKED_FALL,
        DUTY,
        DUTY_ALL,
        DUTY_FOR,
        VOLTAGE,
    ),
    judge=judge,
)
