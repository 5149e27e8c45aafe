"""Ignition later than asked for, and not by knock control: another intervention took it.

Traction and gearbox control, torque limits and component protection take torque by the spark first,
for that is quickest. The torque is missing then, and nothing holds the engine back.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.causes.symptoms import PASSING, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.check import stated
from analysis.checks.knock_process import Retard, retard_of
from analysis.checks.stretches import at, held_at, place, stretches
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Engines, Limit, Limits
from analysis.model.pull import Pull
from analysis.phrases.say import amount, say
from decode.cadence import period_s
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

BELOW_TARGET = Limit(
    "ignition.below_target",
    3.0,
    "deg",
    COMMON_PRACTICE,
    "timing may be this far below its target beyond what knock control took",
    Engines.SPARK,
)
LIMITS: Final = (BELOW_TARGET,)
BELOW_TARGET_S: Final = 0.3  # a torque intervention for a gear change is shorter; common practice
LEAST_READINGS: Final = 3  # fewer are no lasting state
SHIFTS: Final = 7  # within which knock control's own readings are looked for
TIMING_SPREAD_DEG: Final = 0.75  # a controller's step of timing; retard and timing come apart


def short_of_target(pull: Pull, time_s: FloatArray, retard: Retard | None) -> FloatArray | None:
    """Timing below its target beyond what knock control took, deg[n]; None without both. What it
    took within one refresh of either channel counts: they are read at different moments."""
    timing, target = pull.first(Quantity.IGNITION_TIMING), pull.first(Quantity.IGNITION_TARGET)
    if timing is None or target is None:
        return None
    short = at(target, time_s) - at(timing, time_s)
    if retard is None:
        return short
    logged = [pull.samples[name] for name in pull.named(Quantity.KNOCK_RETARD)]
    apart_s = max(period_s(samples.time_s) for samples in (timing, *logged))
    deepest = Samples(retard.time_s, retard.by_cylinder.max(axis=0))
    shifts_s = np.linspace(-apart_s, apart_s, SHIFTS)
    taken = np.max([held_at(deepest, time_s + shift_s) for shift_s in shifts_s], axis=0)
    less: FloatArray = short - taken
    return less


def is_as_asked(pull: Pull, time_s: FloatArray, limits: Limits) -> NDArray[np.bool_]:
    """Where nothing but knock control took timing, bool[n]; everywhere where that is unknown."""
    short = short_of_target(pull, time_s, retard_of(pull))
    if short is None:
        return np.ones(len(time_s), dtype=bool)
    asked: NDArray[np.bool_] = short <= limits[BELOW_TARGET.name].value / 2
    return asked


def judge_target(pull: Pull, retard: Retard | None, limits: Limits) -> list[Observation]:
    """Timing below its target by more than knock control took: something else took it."""
    timing = pull.first(Quantity.IGNITION_TIMING)
    inside = None if timing is None else pull.sweep(timing)
    short = None if inside is None else short_of_target(pull, inside.time_s, retard)
    if inside is None or short is None or not len(short):
        return []
    limit = limits[BELOW_TARGET.name]
    found = stretches(inside.time_s, short > limit.value, BELOW_TARGET_S)
    found = [s for s in found if s.last - s.first + 1 >= LEAST_READINGS]
    if not found and retard is None:
        return []
    if not found:
        most = sureness(float(short.max()), limit.value, TIMING_SPREAD_DEG)
        return [Observation(Symptom.TIMING_BELOW_TARGET, min(PASSING, most))]
    worst = max(found, key=lambda s: float(short[s.indices].max()))
    where, value = place(pull, worst.start_s, worst.end_s), float(short[worst.indices].max())
    key = "ignition-below-target" if retard is not None else "ignition-below-target-knock-unknown"
    statement = say(key, short=amount(value, "deg", 1), where=place_phrase(where))
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    if retard is None:  # knock control may have taken it: no evidence of anything else
        return [stated(finding)]
    present = sureness(value, limit.value, TIMING_SPREAD_DEG)
    return [Observation(Symptom.TIMING_BELOW_TARGET, present, finding)]
