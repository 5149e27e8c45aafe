"""Fuel trims: what closed loop had to add to, or take from, the fuel that was reckoned with."""

from typing import Final

import numpy as np

from analysis.causes.symptoms import EVEN, Observation, Symptom
from analysis.checks.against_limit import beyond, sureness
from analysis.checks.mixture_seen import tip_in_s
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.phrases.say import amount, say
from decode.quantities import Quantity

TRIM = Limit(
    "mixture.trim", 12.0, "%", COMMON_PRACTICE, "fuel the trims had to add, or to take away"
)
FOUND: Final = 0.8  # trims are read, not estimated: near the limit they are no half evidence
PART_LOAD_S: Final = 3.0
SETTLE_S: Final = 0.2  # the pedal comes down, and the trims are let go
TRIM_SPREAD: Final = 2.0  # per cent: trims settle no closer. Chosen, no published source


def judge_trims(pull: Pull, limits: Limits) -> list[Observation]:
    """The long and the short trim together, at part load before the pull or in it, whichever is
    more: at full load many controllers stop trimming, and trims of nothing there say nothing.

    Trims that take nothing away say nothing of what makes an engine lean, so they are no evidence.
    """
    before, inside = _part_load(pull), _together(pull, pull.bounds.start_s, pull.bounds.end_s)
    known = [value for value in (before, inside) if value is not None]
    if not known:
        return []
    limit, value = limits[TRIM.name], max(known, key=abs)
    present = sureness(abs(value), limit.value, TRIM_SPREAD)
    if present < EVEN:
        absent = sureness(value, limit.value, TRIM_SPREAD)
        return [] if before is None else [Observation(Symptom.TRIMS_ADD, absent)]
    symptom = Symptom.TRIMS_ADD if value > 0.0 else Symptom.TRIMS_TAKE
    at_part_load = value == before
    if value > 0.0:
        key = "mixture-trims-before" if at_part_load else "mixture-trims"
    else:
        key = "mixture-trims-take-before" if at_part_load else "mixture-trims-take"
    statement = say(key, trim=amount(abs(value), "%"))
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, abs(value))
    return [Observation(symptom, max(present, FOUND), finding)]


def _part_load(pull: Pull) -> float | None:
    """Of the closed loop before the pedal went down."""
    end_s = min(tip_in_s(pull), pull.bounds.start_s)
    return _together(pull, end_s - PART_LOAD_S, end_s - SETTLE_S)


def _together(pull: Pull, start_s: float, end_s: float) -> float | None:
    """The sum of both trims, each its median between two times; None without any."""
    trims = [
        float(np.median(there.value))
        for quantity in (Quantity.FUEL_TRIM_LONG, Quantity.FUEL_TRIM_SHORT)
        if (trim := pull.first(quantity)) is not None and len(there := trim.between(start_s, end_s))
    ]
    return sum(trims) if trims else None
