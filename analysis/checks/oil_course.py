"""Oil pressure that is no danger yet: lower than usual, than in this sweep, than in earlier pulls.

The pressure of warm oil rises with engine speed until the pump's relief valve opens, so it does not
fall while the engine speeds up. From pull to pull it falls as the oil warms, and no further. What
is usual depends on the bearings: a crankshaft in rolling bearings (singles, some twins) needs so
little that nothing is said of it.
"""

from dataclasses import replace
from typing import Final

import numpy as np

from analysis.causes.symptoms import Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.check import Context
from analysis.checks.earlier_pulls import at_same_speed
from analysis.checks.stretches import place, smoothed, stretches
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Engines, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.setup import Vehicle
from analysis.model.shared_limits import OIL_PRESSURE_ABOVE
from analysis.phrases.say import amount, say
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

OIL_PRESSURE_USUAL = Limit(
    "engine_temperatures.oil_pressure_usual",
    35.0,
    "kPa per 1000 rpm",
    "half of what builders ask for (70 kPa per 1,000 rpm); threshold: " + COMMON_PRACTICE,
    "less is unusual for plain bearings, up to oil_pressure_usual_car or _multi: look closer",
)
OIL_PRESSURE_USUAL_CAR = Limit(
    "engine_temperatures.oil_pressure_usual_car",
    175.0,
    "kPa",
    "pumps that control their pressure hold 150 to 200 kPa at low speed; " + COMMON_PRACTICE,
    "so much oil pressure is usual at any speed",
    Engines.CAR,
)
OIL_PRESSURE_USUAL_MULTI = Limit(
    "engine_temperatures.oil_pressure_usual_multi",
    120.0,
    "kPa",
    COMMON_PRACTICE,
    "so much oil pressure is usual at any speed of three cylinders and more",
    Engines.OTHER_THAN_CAR,
)
OIL_PRESSURE_FALLS = Limit(
    "engine_temperatures.oil_pressure_falls",
    35.0,
    "%",
    "a pump gives more with speed; threshold: " + COMMON_PRACTICE,
    "oil pressure below what it was earlier in the sweep: look closer",
)
OIL_PRESSURE_EARLIER = Limit(
    "engine_temperatures.oil_pressure_earlier",
    25.0,
    "%",
    COMMON_PRACTICE,
    "oil pressure below the pulls before, beyond what warmer oil explains: look closer",
)
LOW_FOR = Limit(
    "engine_temperatures.oil_pressure_low_for", 0.3, "s", COMMON_PRACTICE, "for at least this long"
)
SMOOTH_S: Final = 0.3
PLAIN_BEARINGS_FROM: Final = 3  # cylinders: rolling bearings carry singles and some twins
SPREAD_KPA: Final = 10.0  # Chosen, as for what is a danger
SPREAD_PERCENT: Final = 5.0  # of two pressures in whole kPa, smoothed. Chosen
THINS_PER_K: Final = 0.025  # engine oils lose 2 to 3 % of their viscosity a kelvin near 100 degC
UNKNOWN_WARMER_K: Final = 15.0  # from pull to pull, where no oil temperature is logged


def _usual_kpa(speed_rpm: FloatArray, limits: Limits, context: Context) -> FloatArray | None:
    """The least that is usual for this kind of engine, float64[n]; None where nobody can say."""
    kind, car = context.kind, context.setup.car
    is_car = kind.vehicle is Vehicle.CAR or kind.is_boosted or kind.is_diesel
    if is_car and not kind.is_motorcycle:
        most = limits[OIL_PRESSURE_USUAL_CAR.name].value
    elif (car.cylinders or 0) >= PLAIN_BEARINGS_FROM:
        most = limits[OIL_PRESSURE_USUAL_MULTI.name].value
    else:
        return None
    return np.minimum(limits[OIL_PRESSURE_USUAL.name].value * speed_rpm / 1000.0, most)


def oil_course(pull: Pull, limits: Limits, context: Context) -> Observation | None:
    """What is wrong with the course of the pressure; None where nothing is."""
    pressure = pull.first(Quantity.OIL_PRESSURE)
    if pressure is None or len(inside := smoothed(pull.sweep(pressure), SMOOTH_S)) < 2:
        return None
    speed = pull.engine_speed_at(inside.time_s)
    usual = _usual_kpa(speed, limits, context)
    if usual is not None and (found := _unusual(pull, inside, usual, limits)) is not None:
        return found
    highest = np.maximum.accumulate(inside.value)
    if (found := _below(pull, inside, highest, OIL_PRESSURE_FALLS, limits)) is not None:
        return found
    expected = [
        course.value * np.exp(-THINS_PER_K * _warmer_k(pull, course.pull))
        for course in at_same_speed(pull, Quantity.OIL_PRESSURE, inside, context)
    ]
    if not expected:
        return None
    return _below(pull, inside, np.fmin.reduce(expected), OIL_PRESSURE_EARLIER, limits)


def _unusual(pull: Pull, inside: Samples, usual: FloatArray, limits: Limits) -> Observation | None:
    """Less than is usual, from the speed on at which oil pressure is judged."""
    spare = inside.value - usual
    fast = pull.engine_speed_at(inside.time_s) >= limits[OIL_PRESSURE_ABOVE.name].value
    found = stretches(inside.time_s, fast & (spare < 0.0), limits[LOW_FOR.name].value)
    if not found:
        return None
    worst = min(found, key=lambda s: float(spare[s.indices].min()))
    index = worst.first + int(spare[worst.indices].argmin())
    where = place(pull, found[0].start_s, found[-1].end_s)
    statement = say(
        "oil-pressure-unusual",
        pressure=amount(inside.value[index], "kPa"),
        where=place_phrase(where),
        usual=amount(usual[index], "kPa"),
    )
    limit = replace(
        limits[OIL_PRESSURE_USUAL.name], value=round(float(usual[index]), 1), unit="kPa"
    )
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, float(inside.value[index]), where)
    present = sureness(-float(spare[index]), 0.0, SPREAD_KPA)
    return Observation(Symptom.OIL_PRESSURE_LOW, present, finding)


def _below(
    pull: Pull, inside: Samples, wanted: FloatArray, named: Limit, limits: Limits
) -> Observation | None:
    limit = limits[named.name]
    short = np.nan_to_num(100.0 * (1.0 - inside.value / np.maximum(wanted, 1.0)))
    found = stretches(inside.time_s, short > limit.value, limits[LOW_FOR.name].value)
    if not found:
        return None
    worst = max(found, key=lambda s: float(short[s.indices].max()))
    index = worst.first + int(short[worst.indices].argmax())
    value, where = float(short[index]), place(pull, found[0].start_s, found[-1].end_s)
    statement = say(
        "oil-pressure-falls" if named is OIL_PRESSURE_FALLS else "oil-pressure-below-earlier",
        pressure=amount(inside.value[index], "kPa"),
        where=place_phrase(where),
        before=amount(wanted[index], "kPa"),
    )
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    present = sureness(value, limit.value, SPREAD_PERCENT)
    return Observation(Symptom.OIL_PRESSURE_LOW, present, finding)


def _warmer_k(pull: Pull, earlier: Pull) -> float:
    """By how much the oil is warmer than in an earlier pull, 0 where it is colder."""
    now, then = (each.first(Quantity.OIL_TEMPERATURE) for each in (pull, earlier))
    if now is None or then is None:
        return UNKNOWN_WARMER_K
    warmer = float(np.median(pull.sweep(now).value) - np.median(earlier.sweep(then).value))
    return max(warmer, 0.0) if np.isfinite(warmer) else UNKNOWN_WARMER_K


OIL_COURSE_LIMITS: Final = (
    OIL_PRESSURE_USUAL,
    OIL_PRESSURE_USUAL_CAR,
    OIL_PRESSURE_USUAL_MULTI,
    OIL_PRESSURE_FALLS,
    OIL_PRESSURE_EARLIER,
    LOW_FOR,
)
