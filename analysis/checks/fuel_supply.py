"""Fuel supply: both pressures against what they should be, and whether the injectors have time.

Flow goes with the square root of pressure: 10 % less rail pressure is 5 % less fuel in the same
time, and the injectors open longer to make up for it until there is no time left.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from analysis.causes.symptoms import PASSING, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.check import Check, Context, healthy, stated
from analysis.checks.stretches import at, place, smoothed, stretches
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.shared_limits import DROOP_STOP, LOW_PRESSURE_DROOP, RAIL_DROOP
from analysis.phrases.say import amount, say
from decode.quantities import TARGET_OF, Quantity
from decode.samples import FloatArray, Samples

DROOP_FOR = Limit("fuel_supply.droop_for", 0.3, "s", COMMON_PRACTICE, "for at least this long")
DUTY = Limit("fuel_supply.injector_duty", 90.0, "%", COMMON_PRACTICE, "no time left to inject more")
DUTY_FOR = Limit("fuel_supply.injector_duty_for", 0.3, "s", COMMON_PRACTICE, "for this long")
VOLTAGE = Limit(
    "fuel_supply.battery", 12.5, "V", COMMON_PRACTICE, "below this the electric pump slows down"
)
DROOP_SPREAD: Final = 1.5  # per cent: what pressure sensors and control are good for
NOT_RUNNING_PERCENT: Final = 70.0  # short from end to end: no engine sweeps on a third of it
DUTY_SPREAD: Final = 2.0  # per cent. Chosen, no published source
FINEST: Final = 1.0  # per cent: no pressure sensor holds closer, so none is said to
LEAST_GOAL_KPA: Final = 1.0  # a channel that reads zero: no such pump in this car
SMOOTH_S: Final = 0.2  # over the strokes of the pumps and the target's own steps
DUTY_SMOOTH_S: Final = 0.1


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


def _goal(pull: Pull, side: Side, pressure: Samples, inside: Samples) -> FloatArray | None:
    """What the pressure should be: its target; the low side without one, what it was before the
    sweep, for an electric pump holds one pressure."""
    target = pull.first(TARGET_OF[side.actual])
    if target is not None:
        return at(target, inside.time_s)
    before = pressure.between(pressure.time_s[0], pull.bounds.start_s)
    if side.actual is not Quantity.FUEL_PRESSURE_LOW or len(before) < 2:
        return None
    return np.full(len(inside), float(np.median(before.value)))


def droop_percent(inside: Samples, goal: FloatArray) -> FloatArray:
    """How far below its goal, per cent, float64[n]; noise and the target's own steps smoothed."""
    short = 100.0 * (1.0 - inside.value / np.maximum(goal, LEAST_GOAL_KPA))
    return smoothed(Samples(inside.time_s, short), SMOOTH_S).value


def _side(pull: Pull, side: Side, limits: Limits) -> list[Observation]:
    pressure, limit = pull.first(side.actual), limits[side.limit.name]
    if pressure is None or len(inside := pull.sweep(pressure)) < 2:
        return []
    goal = _goal(pull, side, pressure, inside)
    if goal is None or goal.max() <= LEAST_GOAL_KPA:
        return []
    short = droop_percent(inside, goal)
    if float(short.min()) > NOT_RUNNING_PERCENT:
        return [_other_unit(pull, side, inside, goal, limit)]
    found = stretches(inside.time_s, short > limit.value, limits[DROOP_FOR.name].value)
    if not found:
        most = float(short.max())
        least = sureness(most, limit.value, DROOP_SPREAD)
        within = amount(max(most, FINEST), "%")
        statement = say("fuel-held", side=say(side.name), short=within)
        return [
            Observation(side.symptom, min(PASSING, least)),
            healthy("fuel_supply", statement, round(most, 1), limit),
        ]
    worst = max(found, key=lambda s: float(short[s.indices].max()))
    index = worst.first + int(short[worst.indices].argmax())
    value, where = float(short[index]), place(pull, found[0].start_s, found[-1].end_s)
    has_target = pull.first(TARGET_OF[side.actual]) is not None
    statement = say(
        "fuel-drooped" if has_target else "fuel-drooped-from-before",
        side=say(side.name),
        short=amount(value, "%"),
        where=place_phrase(where),
        pressure=amount(inside.value[index], "kPa"),
        **{"wanted" if has_target else "before": amount(goal[index], "kPa")},
    )
    too_far = value > limits[DROOP_STOP.name].value
    severity = Severity.STOP if too_far else Severity.LOOK_CLOSER
    present = sureness(value, limit.value, DROOP_SPREAD)
    return [Observation(side.symptom, present, beyond(limit, severity, statement, value, where))]


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


def _duty(pull: Pull, limits: Limits) -> list[Observation]:
    duty, limit = pull.first(Quantity.INJECTOR_DUTY), limits[DUTY.name]
    if duty is None or len(inside := pull.sweep(duty)) < 2:
        return []
    steady = smoothed(inside, DUTY_SMOOTH_S).value
    found = stretches(inside.time_s, steady > limit.value, limits[DUTY_FOR.name].value)
    top = float(steady.max())
    if not found:
        present = min(PASSING, sureness(top, limit.value, DUTY_SPREAD))
        statement = say("fuel-injectors-spare", duty=amount(top, "%"))
        return [
            Observation(Symptom.INJECTOR_FULL, present),
            healthy("fuel_supply", statement, round(top, 1), limit),
        ]
    where = place(pull, found[0].start_s, found[-1].end_s)
    statement = say(
        "fuel-injectors-full",
        duty=amount(top, "%"),
        where=place_phrase(where),
        limit=amount(limit.value, "%"),
    )
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, top, where)
    return [Observation(Symptom.INJECTOR_FULL, sureness(top, limit.value, DUTY_SPREAD), finding)]


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
    seen = [o for side in SIDES for o in _side(pull, side, limits)]
    seen += [*_duty(pull, limits), *_battery(pull, limits)]
    return _together(seen)


CHECK: Final = Check(
    name="fuel_supply",
    needs=((Quantity.FUEL_PRESSURE_LOW, Quantity.FUEL_PRESSURE_HIGH, Quantity.INJECTOR_DUTY),),
    limits=(LOW_PRESSURE_DROOP, RAIL_DROOP, DROOP_FOR, DROOP_STOP, DUTY, DUTY_FOR, VOLTAGE),
    judge=judge,
)
