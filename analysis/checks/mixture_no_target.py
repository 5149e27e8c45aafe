"""Lambda without a target: what leans out, what no petrol engine is made for, and a diesel's smoke.

Lambda 1 at full load is no fault by itself: engines are made for it, as far as the exhaust gas
stays cool enough. What was rich and does not stay so is another matter.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.causes.symptoms import PASSING, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.check import Context, healthy, note
from analysis.checks.mixture_seen import SeenMixture
from analysis.checks.mixture_target import (
    LAMBDA_SPREAD,
    LEAN_FOR,
    RICH_SPREAD,
    boost_there,
    ratio,
    worst_of,
)
from analysis.checks.stretches import place
from analysis.model.engine_kind import Trait
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Engines, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.setup import FullLoad
from analysis.model.shared_limits import EXHAUST, LEAN, LEAN_NO_TARGET, LEAN_NO_TARGET_STOP
from analysis.phrases.say import amount, say
from decode.quantities import Quantity
from decode.samples import FloatArray

ENRICHED = Limit(
    "mixture.boosted_lambda",
    0.95,
    "1",
    "published: 0.9 to 1.0 at full load takes exhaust gas to about 1,050 degC; threshold: "
    + COMMON_PRACTICE,
    "what runs richer at full load is not to lean out beyond this, target or none",
    Engines.SPARK,
)
SMOKE = Limit(
    "mixture.smoke",
    1.05,
    "1",
    COMMON_PRACTICE,
    "a diesel that runs richer at full load smokes",
    Engines.COMPRESSION,
)
SMOKE_FOR = Limit(
    "mixture.smoke_for", 1.0, "s", COMMON_PRACTICE, "for at least this long", Engines.COMPRESSION
)
LIMITS: Final = (LEAN_NO_TARGET, LEAN_NO_TARGET_STOP, ENRICHED, SMOKE, SMOKE_FOR)


def judge_petrol(pull: Pull, seen: SeenMixture, limits: Limits, context: Context) -> Observation:
    """Leaned out, or leaner than any petrol engine is made for; for long enough."""
    value, leanest, enriched = seen.value, limits[LEAN_NO_TARGET.name], limits[ENRICHED.name]
    richest = np.minimum.accumulate(value)
    rose = value - richest
    if _is_stated(context, FullLoad.ENRICHED):
        rose = np.full(len(value), np.inf)
    leaned_out = (value > enriched.value) & (rose > limits[LEAN.name].value)
    found = seen.lasting(leaned_out | (value > leanest.value), limits[LEAN_FOR.name].value)
    if not found:
        return _not_lean(value, leaned_out, leanest, enriched)
    index = worst_of(found, value)
    where = place(pull, found[0].start_s, found[-1].end_s)
    limit = leanest if value[index] > leanest.value else enriched
    boost = boost_there(pull, context, limits, float(seen.time_s[index]))
    stop = boost is not None and value[index] > limits[LEAN_NO_TARGET_STOP.name].value
    at_place, ran = place_phrase(where), ratio(value[index])
    if limit is leanest or _is_stated(context, FullLoad.ENRICHED):
        statement = say(
            "mixture-lean-no-target", measured=ran, leanest=ratio(limit.value), where=at_place
        )
    else:
        statement = say(
            "mixture-leaned-out", richest=ratio(richest[index]), measured=ran, where=at_place
        )
    said = statement if boost is None else (statement, say("mixture-under-boost", boost=boost))
    severity = Severity.STOP if stop else Severity.LOOK_CLOSER
    finding = beyond(limit, severity, said, float(value[index]), where)
    present = sureness(float(value[index]), limit.value, LAMBDA_SPREAD)
    return Observation(Symptom.MIXTURE_LEAN, present, finding)


def _is_stated(context: Context, full_load: FullLoad) -> bool:
    """Whether the station file says so: what is taken from this mixture cannot judge it."""
    kind = context.kind
    return kind.full_load is full_load and Trait.FULL_LOAD not in kind.inferred


def _not_lean(
    value: FloatArray, leaned_out: NDArray[np.bool_], leanest: Limit, enriched: Limit
) -> Observation:
    """Evidence against a lean mixture; none where nobody can say what was asked for."""
    if leaned_out.any():
        return Observation(Symptom.MIXTURE_LEAN, PASSING)
    limit = enriched if float(np.median(value)) <= enriched.value else leanest
    return Observation(
        Symptom.MIXTURE_LEAN, min(PASSING, sureness(float(value.max()), limit.value, LAMBDA_SPREAD))
    )


def petrol_is_well(pull: Pull, seen: SeenMixture, limits: Limits, context: Context) -> Observation:
    """What can be said of a mixture that nobody asked for: well, or open."""
    low, high, enriched = float(seen.value.min()), float(seen.value.max()), limits[ENRICHED.name]
    if high <= enriched.value:
        statement = say("mixture-never-lean", leanest=ratio(high), limit=ratio(enriched.value))
        return healthy("mixture", statement, round(high, 3), enriched)
    limit = limits[LEAN_NO_TARGET.name]
    if not context.kind.is_boosted or _is_stated(context, FullLoad.STOICHIOMETRIC):
        statement = say("mixture-steady", richest=ratio(low), leanest=ratio(high))
        return healthy("mixture", statement, round(high, 3), limit)
    exhaust = pull.first(Quantity.EXHAUST_GAS_TEMPERATURE)
    inside = None if exhaust is None else pull.sweep(exhaust)
    if inside is None or not len(inside):
        return note("mixture", say("mixture-steady-open", richest=ratio(low), leanest=ratio(high)))
    hottest = float(inside.value.max())
    statement = say(
        "mixture-steady-cool",
        richest=ratio(low),
        leanest=ratio(high),
        exhaust=amount(hottest, "degC"),
    )
    if hottest > limits[EXHAUST.name].value:
        return note("mixture", statement)
    return healthy("mixture", statement, round(hottest, 1), limits[EXHAUST.name])


def judge_diesel(pull: Pull, seen: SeenMixture, limits: Limits) -> list[Observation]:
    """Richer than a diesel burns without smoke, for long enough."""
    limit = limits[SMOKE.name]
    found = seen.lasting(seen.value < limit.value, limits[SMOKE_FOR.name].value)
    if not found:
        return []
    index = worst_of(found, -seen.value)
    where, value = place(pull, found[0].start_s, found[-1].end_s), float(seen.value[index])
    statement = say(
        "mixture-smoke",
        measured=ratio(value),
        limit=ratio(limit.value),
        where=place_phrase(where),
    )
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    return [Observation(Symptom.MIXTURE_RICH, sureness(limit.value, value, RICH_SPREAD), finding)]


def diesel_is_well(seen: SeenMixture, limits: Limits) -> Observation:
    """Lean by design, and how far from smoke."""
    limit, richest = limits[SMOKE.name], float(seen.value.min())
    statement = say("mixture-no-smoke", richest=ratio(richest), limit=ratio(limit.value))
    return healthy("mixture", statement, round(richest, 3), limit)
