"""Misfires, as the controller counts them."""

from typing import Final

import numpy as np

from analysis.causes.symptoms import EVEN, Observation, Symptom
from analysis.checks.against_limit import BETWEEN_COUNTS, beyond, place_phrase, sureness
from analysis.checks.stretches import place
from analysis.checks.torque_shortfall import misfire_counters
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.phrases.say import count, say
from decode.quantities import Quantity

MISFIRES = Limit(
    "ignition.misfires", 3.0, "misfires", COMMON_PRACTICE, "counted in one pull: look closer"
)
LIMITS: Final = (MISFIRES,)


def judge_misfires(pull: Pull, limits: Limits) -> list[Observation]:
    """How far every misfire counter rose in the pull, whether it runs on or starts anew."""
    if pull.first(Quantity.MISFIRE_COUNT) is None:
        return []
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
