"""Engine temperatures and pressures: coolant, oil, exhaust gas; warm before the pull, whole after.

A cold engine is no fault but no engine to judge either: its timing and friction are not those of a
warm one, so a pull started cold gets a note.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from analysis.causes.symptoms import EVEN, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.check import Check, Context, healthy, note, stated
from analysis.checks.oil_course import OIL_COURSE_LIMITS, oil_course
from analysis.checks.stretches import at, place, smoothed, stretches
from analysis.model.findings import Severity
from analysis.model.limits import Limit, Limits
from analysis.model.oil_pressure import has_plain_bearings, least_oil_pressure_kpa
from analysis.model.pull import Pull
from analysis.model.setup import Ignition
from analysis.model.shared_limits import (
    COLD,
    COOLANT,
    COOLANT_STOP,
    DIESEL_EXHAUST,
    DIESEL_EXHAUST_STOP,
    EXHAUST,
    EXHAUST_STOP,
    OIL,
    OIL_PRESSURE_ABOVE,
    OIL_PRESSURE_ENOUGH,
    OIL_PRESSURE_LOST,
    OIL_PRESSURE_SLOPE,
    OIL_STOP,
)
from analysis.phrases.say import amount, say
from analysis.phrases.statement import Statement
from decode.quantities import Quantity
from decode.samples import Samples

SENSOR_K: Final = 2.0
EXHAUST_SENSOR_K: Final = 12.0  # a class 2 thermocouple type K at 1,000 degC is good for 7.5 K
OIL_PRESSURE_SPREAD_KPA: Final = 10.0  # Chosen, no published source
SMOOTH_S: Final = 0.3  # none of these changes faster; noise does


@dataclass(frozen=True, slots=True)
class Hot:
    """One temperature and its limits. fluid: the key of its phrase."""

    quantity: Quantity
    symptom: Symptom
    limit: Limit
    stop: Limit
    fluid: str
    spread_k: float


def _temperatures(ignition: Ignition | None) -> tuple[Hot, ...]:
    diesel = ignition is Ignition.COMPRESSION
    return (
        Hot(
            Quantity.COOLANT_TEMPERATURE,
            Symptom.COOLANT_HOT,
            COOLANT,
            COOLANT_STOP,
            "fluid-coolant",
            SENSOR_K,
        ),
        Hot(Quantity.OIL_TEMPERATURE, Symptom.OIL_HOT, OIL, OIL_STOP, "fluid-oil", SENSOR_K),
        Hot(
            Quantity.EXHAUST_GAS_TEMPERATURE,
            Symptom.EXHAUST_HOT,
            DIESEL_EXHAUST if diesel else EXHAUST,
            DIESEL_EXHAUST_STOP if diesel else EXHAUST_STOP,
            "fluid-exhaust",
            EXHAUST_SENSOR_K,
        ),
    )


Seen = tuple[list[Observation], Statement | None]  # and what to say where all is well


def _hot(pull: Pull, hot: Hot, limits: Limits) -> Seen:
    samples = pull.first(hot.quantity)
    if samples is None or len(inside := smoothed(pull.sweep(samples), SMOOTH_S)) < 1:
        return [], None
    top, limit = float(inside.value.max()), limits[hot.limit.name]
    present = sureness(top, limit.value, hot.spread_k)
    reached, fluid = amount(top, "degC"), say(hot.fluid)
    if present < EVEN:
        well = say("engine-temperatures-well", fluid=fluid, temperature=reached)
        return [Observation(hot.symptom, present)], well
    found = stretches(inside.time_s, inside.value >= limit.value)
    where = place(pull, found[0].start_s, found[-1].end_s)
    statement = say(
        "engine-temperatures-hot",
        fluid=fluid,
        temperature=reached,
        where=place_phrase(where),
        limit=amount(limit.value, "degC"),
    )
    severity, further = Severity.LOOK_CLOSER, []
    if top >= (stop := limits[hot.stop.name]).value:
        severity = Severity.STOP
        further = [say("engine-temperatures-stop", limit=amount(stop.value, "degC"))]
    finding = beyond(limit, severity, (statement, *further), top, where)
    return [Observation(hot.symptom, present, finding)], None


def _oil_pressure(pull: Pull, limits: Limits, context: Context) -> Seen:
    pressure = pull.first(Quantity.OIL_PRESSURE)
    if pressure is None or len(inside := smoothed(pull.sweep(pressure), SMOOTH_S)) < 2:
        return [], None
    speed = pull.engine_speed_at(inside.time_s)
    fast = speed >= limits[OIL_PRESSURE_ABOVE.name].value
    if not fast.any():
        return [], None
    plain = has_plain_bearings(context.kind)
    least = least_oil_pressure_kpa(speed, limits, plain)
    spare = np.where(fast, inside.value - least, np.inf)
    worst = int(spare.argmin())
    present = sureness(-float(spare[worst]), 0.0, OIL_PRESSURE_SPREAD_KPA)
    if present < EVEN and (falls := oil_course(pull, limits, context)) is not None:
        return [falls], None
    if present < EVEN:
        lowest = amount(inside.value[fast].min(), "kPa")
        well = say("engine-temperatures-oil-pressure-well", pressure=lowest)
        return [Observation(Symptom.OIL_PRESSURE_LOW, present)], well
    found = stretches(inside.time_s, spare <= 0.0)
    where = place(pull, found[0].start_s, found[-1].end_s)
    value = float(inside.value[worst])
    statement = say(
        "engine-temperatures-oil-pressure-low",
        pressure=amount(value, "kPa"),
        where=place_phrase(where),
        limit=amount(float(least[worst]), "kPa"),
    )
    limit = replace(
        limits[(OIL_PRESSURE_ENOUGH if plain else OIL_PRESSURE_LOST).name],
        value=round(float(least[worst]), 1),
    )
    finding = beyond(limit, Severity.STOP, statement, value, where)
    return [Observation(Symptom.OIL_PRESSURE_LOW, present, finding)], None


def _start_of(pull: Pull, samples: Samples) -> float:
    return float(at(samples, np.array([pull.bounds.start_s]))[0])


def _cold(pull: Pull, limits: Limits) -> list[Observation]:
    coolant, limit = pull.first(Quantity.COOLANT_TEMPERATURE), limits[COLD.name]
    if coolant is None or (start := _start_of(pull, coolant)) >= limit.value:
        return []
    began, worth = amount(start, "degC"), amount(limit.value, "degC")
    statement = say("engine-temperatures-cold", temperature=began, limit=worth)
    return [stated(beyond(limit, Severity.NOTE, statement, start))]


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Each temperature against its limit, oil pressure by speed, and warm enough to begin."""
    looks = [_hot(pull, hot, limits) for hot in _temperatures(context.kind.ignition)]
    looks.append(_oil_pressure(pull, limits, context))
    seen = [o for observations, _ in looks for o in observations]
    well = tuple(good for _, good in looks if good is not None)
    if not seen:
        seen.append(note("engine_temperatures", say("engine-temperatures-none-came")))
    elif well and not any(o.finding for o in seen):
        seen.append(healthy("engine_temperatures", well))
    return seen + _cold(pull, limits)


CHECK: Final = Check(
    name="engine_temperatures",
    needs=(
        (
            Quantity.COOLANT_TEMPERATURE,
            Quantity.OIL_TEMPERATURE,
            Quantity.EXHAUST_GAS_TEMPERATURE,
            Quantity.OIL_PRESSURE,
        ),
    ),
    limits=(
        COOLANT,
        COOLANT_STOP,
        OIL,
        OIL_STOP,
        EXHAUST,
        EXHAUST_STOP,
        DIESEL_EXHAUST,
        DIESEL_EXHAUST_STOP,
        OIL_PRESSURE_SLOPE,
        OIL_PRESSURE_ENOUGH,
        OIL_PRESSURE_LOST,
        OIL_PRESSURE_ABOVE,
        *OIL_COURSE_LIMITS,
        COLD,
    ),
    judge=judge,
)
