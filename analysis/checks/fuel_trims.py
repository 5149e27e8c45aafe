"""Fuel trims: what closed loop had to add to, or take from, the fuel that was reckoned with."""

from typing import Final

import numpy as np

from analysis.causes.symptoms import EVEN, Observation, Symptom
from analysis.checks.against_limit import beyond, sureness
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.phrases.say import amount, say
from decode.quantities import Quantity

TRIM = Limit(
    "mixture.trim", 12.0, "%", COMMON_PRACTICE, "fuel the trims had to add, or to take away"
)
TRIM_SPREAD: Final = 2.0  # per cent: trims settle no closer. Chosen, no published source


def judge_trims(pull: Pull, limits: Limits) -> list[Observation]:
    """The long and the short trim together, each its median over the sweep.

    Trims that take nothing away say nothing of what makes an engine lean, so they are no evidence.
    """
    trims = [
        float(np.median(pull.sweep(trim).value))
        for quantity in (Quantity.FUEL_TRIM_LONG, Quantity.FUEL_TRIM_SHORT)
        if (trim := pull.first(quantity)) is not None and len(pull.sweep(trim))
    ]
    if not trims:
        return []
    limit, value = limits[TRIM.name], sum(trims)
    present = sureness(abs(value), limit.value, TRIM_SPREAD)
    if present < EVEN:
        return [Observation(Symptom.TRIMS_ADD, sureness(value, limit.value, TRIM_SPREAD))]
    symptom = Symptom.TRIMS_ADD if value > 0.0 else Symptom.TRIMS_TAKE
    key = "mixture-trims" if value > 0.0 else "mixture-trims-take"
    statement = say(key, trim=amount(abs(value), "%"))
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, abs(value))
    return [Observation(symptom, present, finding)]
