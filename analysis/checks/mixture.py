"""Mixture: lambda against its target under load, and what the trims had to add.

Best torque lies 10 to 15 % rich of stoichiometric; a boosted petrol engine that runs leaner than
asked under load knocks and overheats within seconds, so lean under boost stops the run. A
compression-ignition engine runs lean by design: there only too rich is judged.
"""

from typing import Final

import numpy as np

from analysis.causes.symptoms import Observation, Symptom
from analysis.checks.boost_pressure import gauge_boost
from analysis.checks.check import Check, Context, healthy, note
from analysis.checks.stretches import at, place, smoothed, stretches
from analysis.checks.words import beyond, span, sureness
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.setup import Ignition
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

LEAN = Limit("mixture.lean", 0.04, "1", COMMON_PRACTICE, "lambda above its target under load")
LEAN_STOP = Limit(
    "mixture.lean_stop", 0.10, "1", COMMON_PRACTICE, "lambda above its target under boost: stop"
)
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
UNDER_BOOST_KPA: Final = 30.0
SETTLE_S: Final = 0.4  # gas travel and the sensor's own lag after the throttle opens


def _target(pull: Pull, time_s: FloatArray, context: Context, limits: Limits) -> FloatArray | None:
    """The lambda to judge by, float64[n]: the logged target; without one, for a boosted petrol
    engine, the leanest that is safe less the margin that is added again."""
    target = pull.first(Quantity.LAMBDA_TARGET)
    if target is not None:
        return at(target, time_s)
    car = context.setup.car
    if not car.boosted or car.ignition is Ignition.COMPRESSION:
        return None
    return np.full(len(time_s), limits[UNKNOWN_TARGET.name].value - limits[LEAN.name].value)


def _lean(
    pull: Pull, lean: Samples, measured: FloatArray, context: Context, limits: Limits
) -> Observation:
    """lean: lambda over its target, or over the safe one where none is logged: then the sentence
    names no target."""
    limit = limits[LEAN.name]
    found = stretches(lean.time_s, lean.value > limit.value, limits[LEAN_FOR.name].value)
    if not found:
        present = sureness(float(lean.value.max()), limit.value, LAMBDA_SPREAD)
        return Observation(Symptom.MIXTURE_LEAN, min(0.4, present))
    worst = max(found, key=lambda s: float(lean.value[s.indices].max()))
    index = worst.first + int(lean.value[worst.indices].argmax())
    value, where = float(lean.value[index]), place(pull, found[0].start_s, found[-1].end_s)
    boost = gauge_boost(pull, context.setup)
    pressed = 0.0 if boost is None else float(at(boost, lean.time_s[index : index + 1])[0])
    boosted = pressed > UNDER_BOOST_KPA
    under = f" under {pressed:.0f} kPa of boost" if boosted else ""
    ran = f"The mixture ran lean{under}: lambda {measured[index]:.2f}"
    stop = boosted and value > limits[LEAN_STOP.name].value
    severity = Severity.STOP if stop else Severity.LOOK_CLOSER
    statement = f"{ran} where {measured[index] - value:.2f} was wanted, {span(where)}."
    finding = beyond(limit, severity, statement, value, where)
    if pull.first(Quantity.LAMBDA_TARGET) is None:
        safe = limits[UNKNOWN_TARGET.name]
        statement = (
            f"{ran} {span(where)}; no target is logged, and a boosted petrol engine is not to run "
            f"leaner than {safe.value:.2f} under load."
        )
        finding = beyond(safe, severity, statement, float(measured[index]), where)
    return Observation(Symptom.MIXTURE_LEAN, sureness(value, limit.value, LAMBDA_SPREAD), finding)


def _rich(pull: Pull, lean: Samples, measured: FloatArray, limits: Limits) -> Observation:
    limit = limits[RICH.name]
    found = stretches(lean.time_s, -lean.value > limit.value, limits[LEAN_FOR.name].value)
    value = float(-lean.value.min())
    if not found:
        return Observation(
            Symptom.MIXTURE_RICH, min(0.4, sureness(value, limit.value, 2 * LAMBDA_SPREAD))
        )
    where = place(pull, found[0].start_s, found[-1].end_s)
    index = int(lean.value.argmin())
    statement = (
        f"The mixture ran rich: lambda {measured[index]:.2f} where "
        f"{measured[index] + value:.2f} was wanted, {span(where)}."
    )
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    return Observation(
        Symptom.MIXTURE_RICH, sureness(value, limit.value, 2 * LAMBDA_SPREAD), finding
    )


def _trims(pull: Pull, limits: Limits) -> list[Observation]:
    added = [
        float(np.median(pull.sweep(trim).value))
        for quantity in (Quantity.FUEL_TRIM_LONG, Quantity.FUEL_TRIM_SHORT)
        if (trim := pull.first(quantity)) is not None and len(pull.sweep(trim))
    ]
    if not added:
        return []
    limit, value = limits[TRIM.name], sum(added)
    present = sureness(value, limit.value, 2.0)
    if present < 0.5:
        return [Observation(Symptom.TRIMS_ADD, present)]
    statement = (
        f"The trims had to add {value:.0f} % of fuel in the pull; the calibration or the fuel "
        f"supply is short by that much."
    )
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value)
    return [Observation(Symptom.TRIMS_ADD, present, finding)]


def _never_lean(measured: FloatArray, limits: Limits) -> Observation:
    """What can be said without a target."""
    top, safe = float(measured.max()), limits[UNKNOWN_TARGET.name]
    statement = (
        f"Lambda was at most {top:.2f}; no target is logged, and {safe.value:.2f} is the leanest "
        "for a boosted petrol engine under load."
    )
    return healthy("mixture", statement, round(top, 3), safe)


def _never_rich(error: Samples, measured: FloatArray, limits: Limits) -> Observation:
    """Of an engine that may run as lean as it likes."""
    statement = (
        f"Lambda was at least {float(measured.min()):.2f}, never much richer than its target; a "
        "compression-ignition engine runs lean by design."
    )
    return healthy("mixture", statement, round(float(-error.value.min()), 3), limits[RICH.name])


def _held(error: Samples, measured: FloatArray, limits: Limits) -> Observation:
    worst, limit = float(np.abs(error.value).max()), limits[LEAN.name]
    how = f"held its target within {max(worst, 0.01):.2f}"
    if float(error.value.max()) > limit.value:
        how = f"held its target but for moments of less than {limits[LEAN_FOR.name].value:g} s"
    statement = f"Lambda {how} ({measured[0]:.2f} at the start, {measured[-1]:.2f} at the end)."
    return healthy("mixture", statement, round(worst, 3), limit)


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Lambda against its target once it has settled, and the trims."""
    lambda_ = pull.first(Quantity.LAMBDA)
    if lambda_ is None:
        return []
    inside = smoothed(lambda_, 0.15).between(pull.bounds.start_s + SETTLE_S, pull.bounds.end_s)
    target = _target(pull, inside.time_s, context, limits)
    if target is None or len(inside) < 3:
        return [note("mixture", "Not judged: needs lambda_target."), *_trims(pull, limits)]
    error = Samples(inside.time_s, inside.value - target)
    diesel = context.setup.car.ignition is Ignition.COMPRESSION
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
    title="Mixture",
    needs=((Quantity.LAMBDA,),),
    limits=(LEAN, LEAN_STOP, LEAN_FOR, RICH, UNKNOWN_TARGET, TRIM),
    judge=judge,
)
