"""Engine temperatures and pressures: coolant, oil, exhaust gas; warm before the pull, whole after.

A cold engine is no fault but no engine to judge either: its timing and friction are not those of a
warm one, so a pull started cold gets a note.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.causes.symptoms import EVEN, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.check import Check, Context, healthy, note, stated
from analysis.checks.stretches import at, place, smoothed, stretches
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.setup import Ignition
from analysis.phrases.say import amount, say
from analysis.phrases.statement import Statement
from decode.quantities import Quantity
from decode.samples import Samples

COOLANT = Limit(
    "engine_temperatures.coolant", 108.0, "degC", COMMON_PRACTICE, "normal is 80 to 105 degC"
)
COOLANT_STOP = Limit(
    "engine_temperatures.coolant_stop", 115.0, "degC", COMMON_PRACTICE, "let it cool: stop"
)
OIL = Limit("engine_temperatures.oil", 130.0, "degC", COMMON_PRACTICE, "hot oil")
OIL_STOP = Limit(
    "engine_temperatures.oil_stop", 140.0, "degC", COMMON_PRACTICE, "oil film at risk: stop"
)
EXHAUST = Limit(
    "engine_temperatures.exhaust",
    990.0,
    "degC",
    "manufacturer training text: closed-loop set point 980 degC, sustained 950 to 1,000 degC",
    "exhaust gas before the turbine of a spark-ignition engine",
)
EXHAUST_STOP = Limit(
    "engine_temperatures.exhaust_stop",
    1_050.0,
    "degC",
    "turbo maker's text: full load at lambda 0.9 to 1.0 reaches about 1,050 degC",
    "turbine and valves at risk: stop",
)
DIESEL_EXHAUST = Limit(
    "engine_temperatures.diesel_exhaust",
    800.0,
    "degC",
    COMMON_PRACTICE,
    "exhaust gas before the turbine of a compression-ignition engine",
)
OIL_PRESSURE = Limit(
    "engine_temperatures.oil_pressure",
    35.0,
    "kPa per 1000 rpm",
    COMMON_PRACTICE,
    "less is too little for the bearings",
)
COLD = Limit(
    "engine_temperatures.cold", 70.0, "degC", COMMON_PRACTICE, "coolant before a pull worth judging"
)
SENSOR_K: Final = 2.0
EXHAUST_SENSOR_K: Final = 12.0  # a class 2 thermocouple type K at 1,000 degC is good for 7.5 K
OIL_PRESSURE_SPREAD: Final = 4.0  # kPa per 1,000 rpm. Chosen, no published source
SMOOTH_S: Final = 0.3  # none of these changes faster; noise does
OIL_ABOVE_RPM: Final = 2_000.0  # at idle the figure per 1,000 rpm means little


@dataclass(frozen=True, slots=True)
class Hot:
    """One temperature and its limits. fluid: the key of its phrase."""

    quantity: Quantity
    symptom: Symptom
    limit: Limit
    stop: Limit | None
    fluid: str
    spread_k: float


def _temperatures(ignition: Ignition) -> tuple[Hot, ...]:
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
            None if diesel else EXHAUST_STOP,
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
    if hot.stop is not None and top >= (stop := limits[hot.stop.name]).value:
        severity = Severity.STOP
        further = [say("engine-temperatures-stop", limit=amount(stop.value, "degC"))]
    finding = beyond(limit, severity, (statement, *further), top, where)
    return [Observation(hot.symptom, present, finding)], None


def _oil_pressure(pull: Pull, limits: Limits) -> Seen:
    pressure = pull.first(Quantity.OIL_PRESSURE)
    if pressure is None or len(inside := smoothed(pull.sweep(pressure), SMOOTH_S)) < 2:
        return [], None
    speed, limit = pull.engine_speed_at(inside.time_s), limits[OIL_PRESSURE.name]
    fast = speed >= OIL_ABOVE_RPM
    if not fast.any():
        return [], None
    share = np.where(fast, inside.value / speed * 1000, np.inf)
    worst = int(share.argmin())
    least, value = float(share[worst]), float(inside.value[worst])
    present = sureness(limit.value - least, 0.0, OIL_PRESSURE_SPREAD)
    if present < EVEN:
        lowest = amount(inside.value[fast].min(), "kPa")
        well = say("engine-temperatures-oil-pressure-well", pressure=lowest)
        return [Observation(Symptom.OIL_PRESSURE_LOW, present)], well
    found = stretches(inside.time_s, share <= limit.value)
    where = place(pull, found[0].start_s, found[-1].end_s)
    statement = say(
        "engine-temperatures-oil-pressure-low",
        pressure=amount(value, "kPa"),
        where=place_phrase(where),
        share=amount(least, "kPa"),
        limit=amount(limit.value, "kPa"),
    )
    finding = beyond(limit, Severity.STOP, statement, least, where)
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
    looks = [_hot(pull, hot, limits) for hot in _temperatures(context.setup.car.ignition)]
    looks.append(_oil_pressure(pull, limits))
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
        OIL_PRESSURE,
        COLD,
    ),
    judge=judge,
)
