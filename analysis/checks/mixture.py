"""Mixture: lambda against its target under load, and what the trims had to add.

Best torque lies 10 to 15 % rich of stoichiometric; a boosted petrol engine that runs leaner than
asked under load knocks and overheats within seconds, so lean under boost stops the run. A
compression-ignition engine runs lean by design: there only too rich is judged.
"""

from typing import Final

import numpy as np

from analysis.causes.symptoms import EVEN, PASSING, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.boost_pressure import gauge_boost
from analysis.checks.check import Check, Context, healthy
from analysis.checks.needs import not_judged
from analysis.checks.stretches import at, place, smoothed, stretches
from analysis.model.findings import Severity, Where
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.shared_limits import (
    LEAN,
    LEAN_NO_TARGET,
    LEAN_NO_TARGET_STOP,
    LEAN_STOP,
    UNDER_BOOST,
)
from analysis.phrases.say import amount, as_given, say
from analysis.phrases.statement import Amount, Statement
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

LEAN_FOR = Limit("mixture.lean_for", 0.3, "s", COMMON_PRACTICE, "for at least this long")
RICH = Limit("mixture.rich", 0.08, "1", COMMON_PRACTICE, "lambda below its target under load")
UNKNOWN_TARGET = Limit(
    "mixture.boosted_lambda",
    0.95,
    "1",
    "published: 0.9 to 1.0 at full load takes exhaust gas to about 1,050 degC; threshold: "
    + COMMON_PRACTICE,
    "a boosted petrol engine without a logged target is not to run leaner",
)
TRIM = Limit("mixture.trim", 12.0, "%", COMMON_PRACTICE, "fuel the trims had to add")
LAMBDA_SPREAD: Final = 0.01  # a wideband controller's accuracy near lambda 0.9
RICH_SPREAD: Final = 2 * LAMBDA_SPREAD  # less accurate the richer. Chosen, no published source
TRIM_SPREAD: Final = 2.0  # per cent: trims settle no closer. Chosen, no published source
SMOOTH_S: Final = 0.15  # over control's own swing from rich to lean
SETTLE_S: Final = 0.4  # gas travel and the sensor's own lag after the throttle opens


def _target(pull: Pull, time_s: FloatArray, context: Context, limits: Limits) -> FloatArray | None:
    """The lambda to judge by, float64[n]: the logged target; without one, for a boosted petrol
    engine, the leanest that is safe less the margin that is added again."""
    target = pull.first(Quantity.LAMBDA_TARGET)
    if target is not None:
        return at(target, time_s)
    if not context.kind.is_boosted or context.kind.is_diesel:
        return None
    return np.full(len(time_s), limits[UNKNOWN_TARGET.name].value - limits[LEAN.name].value)


def _lean(
    pull: Pull, lean: Samples, measured: FloatArray, context: Context, limits: Limits
) -> Observation:
    """lean: lambda over its target, or over the safe one where none is logged."""
    limit = limits[LEAN.name]
    found = stretches(lean.time_s, lean.value > limit.value, limits[LEAN_FOR.name].value)
    if not found:
        present = sureness(float(lean.value.max()), limit.value, LAMBDA_SPREAD)
        return Observation(Symptom.MIXTURE_LEAN, min(PASSING, present))
    worst = max(found, key=lambda s: float(lean.value[s.indices].max()))
    index = worst.first + int(lean.value[worst.indices].argmax())
    value, where = float(lean.value[index]), place(pull, found[0].start_s, found[-1].end_s)
    boost = gauge_boost(pull, context.setup)
    pressed = 0.0 if boost is None else float(at(boost, lean.time_s[index : index + 1])[0])
    boosted = pressed > limits[UNDER_BOOST.name].value
    lambda_ = float(measured[index])
    stop = boosted and value > limits[LEAN_STOP.name].value
    severity = Severity.STOP if stop else Severity.LOOK_CLOSER
    pressure = amount(pressed, "kPa") if boosted else None
    if pull.first(Quantity.LAMBDA_TARGET) is None:
        safe = limits[UNKNOWN_TARGET.name]
        statement = _ran_lean_of_safe(lambda_, safe, where, pressure)
        finding = beyond(safe, severity, statement, lambda_, where)
    else:
        statement = _ran_lean(lambda_, lambda_ - value, where, pressure)
        finding = beyond(limit, severity, statement, value, where)
    return Observation(Symptom.MIXTURE_LEAN, sureness(value, limit.value, LAMBDA_SPREAD), finding)


def _ran_lean(measured: float, wanted: float, where: Where, boost: Amount | None) -> Statement:
    ran, asked, at_place = _ratio(measured), _ratio(wanted), place_phrase(where)
    if boost is None:
        return say("mixture-lean", measured=ran, wanted=asked, where=at_place)
    return say("mixture-lean-boosted", measured=ran, wanted=asked, where=at_place, boost=boost)


def _ran_lean_of_safe(
    measured: float, safe: Limit, where: Where, boost: Amount | None
) -> Statement:
    ran, leanest, at_place = _ratio(measured), _ratio(safe.value), place_phrase(where)
    if boost is None:
        return say("mixture-lean-no-target", measured=ran, leanest=leanest, where=at_place)
    return say(
        "mixture-lean-no-target-boosted",
        measured=ran,
        leanest=leanest,
        where=at_place,
        boost=boost,
    )


def _ratio(lambda_: float) -> Amount:
    return amount(lambda_, "1", 2)


def _rich(pull: Pull, lean: Samples, measured: FloatArray, limits: Limits) -> Observation:
    limit = limits[RICH.name]
    found = stretches(lean.time_s, -lean.value > limit.value, limits[LEAN_FOR.name].value)
    value = float(-lean.value.min())
    if not found:
        return Observation(
            Symptom.MIXTURE_RICH, min(PASSING, sureness(value, limit.value, RICH_SPREAD))
        )
    where = place(pull, found[0].start_s, found[-1].end_s)
    index = int(lean.value.argmin())
    statement = say(
        "mixture-rich",
        measured=_ratio(measured[index]),
        wanted=_ratio(measured[index] + value),
        where=place_phrase(where),
    )
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    return Observation(Symptom.MIXTURE_RICH, sureness(value, limit.value, RICH_SPREAD), finding)


def _trims(pull: Pull, limits: Limits) -> list[Observation]:
    added = [
        float(np.median(pull.sweep(trim).value))
        for quantity in (Quantity.FUEL_TRIM_LONG, Quantity.FUEL_TRIM_SHORT)
        if (trim := pull.first(quantity)) is not None and len(pull.sweep(trim))
    ]
    if not added:
        return []
    limit, value = limits[TRIM.name], sum(added)
    present = sureness(value, limit.value, TRIM_SPREAD)
    if present < EVEN:
        return [Observation(Symptom.TRIMS_ADD, present)]
    statement = say("mixture-trims", added=amount(value, "%"))
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value)
    return [Observation(Symptom.TRIMS_ADD, present, finding)]


def _never_lean(measured: FloatArray, limits: Limits) -> Observation:
    """What can be said without a target."""
    top, safe = float(measured.max()), limits[UNKNOWN_TARGET.name]
    statement = say("mixture-never-lean", leanest=_ratio(top), limit=_ratio(safe.value))
    return healthy("mixture", statement, round(top, 3), safe)


def _never_rich(error: Samples, measured: FloatArray, limits: Limits) -> Observation:
    """Of an engine that may run as lean as it likes."""
    statement = say("mixture-never-rich", richest=_ratio(measured.min()))
    return healthy("mixture", statement, round(float(-error.value.min()), 3), limits[RICH.name])


def _held(error: Samples, measured: FloatArray, limits: Limits) -> Observation:
    worst, limit = float(np.abs(error.value).max()), limits[LEAN.name]
    first, last = _ratio(measured[0]), _ratio(measured[-1])
    if float(error.value.max()) > limit.value:
        moment = as_given(limits[LEAN_FOR.name].value, "s")
        statement = say("mixture-held-but-moments", moment=moment, first=first, last=last)
    else:
        within = _ratio(max(worst, LAMBDA_SPREAD))
        statement = say("mixture-held", error=within, first=first, last=last)
    return healthy("mixture", statement, round(worst, 3), limit)


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Lambda against its target once it has settled, and the trims."""
    lambda_ = pull.first(Quantity.LAMBDA)
    if lambda_ is None:
        return []
    inside = smoothed(lambda_, SMOOTH_S).between(pull.bounds.start_s + SETTLE_S, pull.bounds.end_s)
    target = _target(pull, inside.time_s, context, limits)
    if target is None or len(inside) < 3:
        return [not_judged("mixture", [[Quantity.LAMBDA_TARGET]]), *_trims(pull, limits)]
    error = Samples(inside.time_s, inside.value - target)
    diesel = context.kind.is_diesel
    has_target = pull.first(Quantity.LAMBDA_TARGET) is not None
    seen = _trims(pull, limits)
    if not diesel:
        seen = [_lean(pull, error, inside.value, context, limits), *seen]
    if has_target:
        seen.append(_rich(pull, error, inside.value, limits))
    if any(o.finding for o in seen):
        return seen
    if diesel:
        return [*seen, _never_rich(error, inside.value, limits)]
    if not has_target:
        return [*seen, _never_lean(inside.value, limits)]
    return [*seen, _held(error, inside.value, limits)]


CHECK: Final = Check(
    name="mixture",
    needs=((Quantity.LAMBDA,),),
    limits=(
        LEAN,
        LEAN_STOP,
        LEAN_NO_TARGET,
        LEAN_NO_TARGET_STOP,
        LEAN_FOR,
        UNDER_BOOST,
        RICH,
        UNKNOWN_TARGET,
        TRIM,
    ),
    judge=judge,
)
