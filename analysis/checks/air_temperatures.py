"""Air temperatures: how warm the engine breathes, what the charge cooler does about it, and
whether it gets worse from pull to pull.

Warm air is a condition to know before two pulls are compared, not a fault: a note. Hot charge air
costs spark (SAE 960497) and charge mass (10 K at 45 degC is 3 % less air, by the gas law).
"""

from typing import Final

import numpy as np

from analysis.causes.symptoms import Observation, Symptom
from analysis.checks.charge_heat import ambient_degc, charge_temperature
from analysis.checks.check import Check, Context, healthy, note, said
from analysis.checks.stretches import at, place
from analysis.checks.words import beyond, sureness
from analysis.findings import Finding, Severity
from analysis.limits import COMMON_PRACTICE, Limit, Limits
from analysis.pull import Pull
from analysis.thermodynamics import cooler_effectiveness
from decode.quantities import Quantity
from decode.samples import Samples

WARM = Limit(
    "air_temperatures.warm", 40.0, "degC", COMMON_PRACTICE, "warm enough to be worth knowing"
)
RISE = Limit(
    "air_temperatures.rise_over_ambient",
    40.0,
    "K",
    COMMON_PRACTICE,
    "charge air this far over ambient is hot",
)
HOT = Limit("air_temperatures.hot", 65.0, "degC", COMMON_PRACTICE, "charge air this warm is hot")
EFFECTIVENESS = Limit(
    "air_temperatures.cooler_effectiveness",
    0.5,
    "1",
    "definition: published charge-air-cooler tests; threshold: " + COMMON_PRACTICE,
    "below this the cooler, or the fan before it, does too little",
)
SOAK = Limit(
    "air_temperatures.heat_soak",
    10.0,
    "K",
    COMMON_PRACTICE,
    "the charge starts this much hotter than in the coolest pull of the stage",
)
SENSOR_K: Final = 2.0  # what an intake temperature sensor is good for


def _end(pull: Pull, samples: Samples) -> float:
    """The mean over the last half second of the pull: a sensor this slow needs no more."""
    tail = samples.between(pull.bounds.end_s - 0.5, pull.bounds.end_s + 1e-6)
    values = tail.value if len(tail) else pull.sweep(samples).value[-1:]
    return float(values.mean()) if len(values) else float(samples.value[-1])


def _start(pull: Pull, samples: Samples) -> float:
    return float(at(samples, np.array([pull.bounds.start_s]))[0])


def _hot(pull: Pull, charge: Samples, ambient: float | None, limits: Limits) -> Observation:
    end = _end(pull, charge)
    hot, rise = limits[HOT.name], limits[RISE.name]
    present = sureness(end, hot.value, SENSOR_K)
    limit, value, words = hot, end, f"the limit is {hot.value:.0f} degC"
    if ambient is not None and (by_rise := sureness(end - ambient, rise.value, SENSOR_K)) > present:
        present, limit, value = by_rise, rise, end - ambient
        words = f"{value:.0f} K over ambient; the limit is {rise.value:.0f} K"
    if present < 0.5:
        return Observation(Symptom.CHARGE_AIR_HOT, present)
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    statement = f"The charge air ended the pull at {end:.0f} degC ({words})."
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    return Observation(Symptom.CHARGE_AIR_HOT, present, finding)


def _cooler(pull: Pull, ambient: float | None, limits: Limits) -> list[Observation]:
    before = pull.first(Quantity.COMPRESSOR_OUTLET_TEMPERATURE)
    after = pull.first(Quantity.CHARGE_AIR_TEMPERATURE)
    if before is None or after is None or ambient is None:
        return []
    outlet, charge = _end(pull, before), _end(pull, after)
    if outlet - ambient < 30.0:  # too little heat for the ratio of differences to mean anything
        return []
    value, limit = cooler_effectiveness(outlet, charge, ambient), limits[EFFECTIVENESS.name]
    if value >= limit.value:
        return [said(_cooler_fine(outlet, charge, value, limit))]
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    statement = (
        f"The charge cooler took the air from {outlet:.0f} to {charge:.0f} degC, an effectiveness "
        f"of {value:.2f}; below {limit.value:.2f} look at the fan before the cooler."
    )
    return [said(beyond(limit, Severity.LOOK_CLOSER, statement, value, where))]


def _cooler_fine(outlet: float, charge: float, value: float, limit: Limit) -> Finding:
    words = (
        f"The charge cooler took the air from {outlet:.0f} to {charge:.0f} degC at the end "
        f"(effectiveness {value:.2f})."
    )
    return Finding(
        "air_temperatures",
        Severity.NOTE,
        words,
        value=round(value, 3),
        limit=limit.value,
        unit=limit.unit,
        limit_origin=limit.origin,
    )


def _soak(pull: Pull, charge: Samples, limits: Limits, context: Context) -> Observation:
    starts = [_start(p, s) for p in context.earlier if (s := charge_temperature(p)) is not None]
    if not starts:
        return Observation()
    limit, start = limits[SOAK.name], _start(pull, charge)
    hotter = start - min(starts)
    present = sureness(hotter, limit.value, SENSOR_K)
    if present < 0.5:
        return Observation(Symptom.HEAT_SOAK, present)
    statement = (
        f"The charge air started this pull at {start:.0f} degC, {hotter:.0f} K hotter than the "
        f"coolest start of this stage ({min(starts):.0f} degC): heat soak; let it cool."
    )
    where = place(pull, pull.bounds.start_s, pull.bounds.start_s)
    return Observation(
        Symptom.HEAT_SOAK, present, beyond(limit, Severity.NOTE, statement, hotter, where)
    )


def _seen(pull: Pull, charge: Samples, limits: Limits) -> list[Observation]:
    start, end, warm = _start(pull, charge), _end(pull, charge), limits[WARM.name]
    words = f"Intake air went from {start:.0f} to {end:.0f} degC in the pull"
    seen = [healthy("air_temperatures", f"{words}.", round(end, 1), limits[HOT.name])]
    if end > warm.value:
        statement = (
            f"{words}: warm, not a fault; compare only with pulls of about the same temperature."
        )
        seen.append(said(beyond(warm, Severity.NOTE, statement, end)))
    return seen


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Charge temperature against ambient, the cooler, and heat soak."""
    charge, ambient = charge_temperature(pull), ambient_degc(pull, context)
    if charge is None:
        return [note("air_temperatures", "Not judged: no air temperature was logged.")]
    seen = [
        _hot(pull, charge, ambient, limits),
        *_cooler(pull, ambient, limits),
        _soak(pull, charge, limits, context),
    ]
    if not any(o.finding and o.finding.severity is not Severity.NOTE for o in seen):
        seen += _seen(pull, charge, limits)
    return seen


CHECK: Final = Check(
    name="air_temperatures",
    title="Air temperatures",
    needs=((Quantity.CHARGE_AIR_TEMPERATURE, Quantity.INTAKE_AIR_TEMPERATURE),),
    limits=(WARM, RISE, HOT, EFFECTIVENESS, SOAK),
    judge=judge,
)
