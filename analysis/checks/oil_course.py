"""Oil pressure against the car's own course: a pump gives more with speed, and as much as before.

The pressure of warm oil rises with engine speed until the pump's relief valve opens, so it does not
fall while the engine speeds up. From pull to pull it falls as the oil warms, and no further.
"""

from typing import Final

import numpy as np

from analysis.causes.symptoms import Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.check import Context
from analysis.checks.earlier_pulls import at_same_speed
from analysis.checks.stretches import place, smoothed, stretches
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.phrases.say import amount, say
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

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
SPREAD_PERCENT: Final = 5.0  # of two pressures in whole kPa, smoothed. Chosen
THINS_PER_K: Final = 0.025  # engine oils lose 2 to 3 % of their viscosity a kelvin near 100 degC
UNKNOWN_WARMER_K: Final = 15.0  # from pull to pull, where no oil temperature is logged


def oil_course(pull: Pull, limits: Limits, context: Context) -> Observation | None:
    """What is wrong with the course of the pressure; None where nothing is."""
    pressure = pull.first(Quantity.OIL_PRESSURE)
    if pressure is None or len(inside := smoothed(pull.sweep(pressure), SMOOTH_S)) < 2:
        return None
    falls = np.maximum.accumulate(inside.value)
    found = _below(pull, inside, falls, OIL_PRESSURE_FALLS, limits)
    if found is not None:
        return found
    expected = [
        course.value * np.exp(-THINS_PER_K * _warmer_k(pull, course.pull))
        for course in at_same_speed(pull, Quantity.OIL_PRESSURE, inside, context)
    ]
    if not expected:
        return None
    return _below(pull, inside, np.fmin.reduce(expected), OIL_PRESSURE_EARLIER, limits)


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
