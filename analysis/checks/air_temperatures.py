"""Air temperatures: how warm the engine breathes, what the charge cooler does about it, and
whether it gets worse from pull to pull.

Warm air is a condition to know before two pulls are compared, not a fault: a note. Hot charge air
costs spark (SAE 960497) and charge mass (10 K at 45 degC is 3 % less air, by the gas law).
"""

from typing import Final

import numpy as np

from analysis.causes.symptoms import Observation, Symptom
from analysis.checks.charge_heat import air_words, ambient_degc, charge_temperature
from analysis.checks.check import Check, Context, healthy, note, said
from analysis.checks.stretches import at, place
from analysis.checks.words import beyond, sureness
from analysis.model.findings import Finding, Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.physics.thermodynamics import cooler_effectiveness
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
    "charge air this far over ambient is hot (worth watching from 25 to 30 K)",
)
HOT = Limit("air_temperatures.hot", 65.0, "degC", COMMON_PRACTICE, "charge air this warm is hot")
EFFECTIVENESS = Limit(
    "air_temperatures.cooler_effectiveness",
    0.6,
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
INTAKE = Limit(
    "air_temperatures.intake_over_ambient",
    12.0,
    "K",
    COMMON_PRACTICE,
    "air before the compressor this far over ambient comes from the engine bay",
)
EFFECTIVENESS_SPREAD: Final = 0.03  # 2 K on differences of about 70 K
WATCH_K: Final = 25.0  # over ambient: worth watching from 25 to 30 K, common practice
SENSOR_K: Final = 2.0  # what an intake temperature sensor is good for


def _end(pull: Pull, samples: Samples) -> float:
    """The mean over the last half second of the pull: a sensor this slow needs no more."""
    tail = samples.between(pull.bounds.end_s - 0.5, pull.bounds.end_s + 1e-6)
    values = tail.value if len(tail) else pull.sweep(samples).value[-1:]
    return float(values.mean()) if len(values) else float(samples.value[-1])


def _start(pull: Pull, samples: Samples) -> float:
    return float(at(samples, np.array([pull.bounds.start_s]))[0])


def _top(pull: Pull, samples: Samples) -> float:
    inside = pull.sweep(samples)
    return float(inside.value.max()) if len(inside) else float(samples.value[-1])


def _hot(pull: Pull, charge: Samples, ambient: float | None, limits: Limits) -> Observation:
    """By its rise over ambient where that is known, else by itself."""
    top, limit = _top(pull, charge), limits[HOT.name]
    value, words = top, f"the limit is {limit.value:.0f} degC"
    if ambient is not None:
        limit, value = limits[RISE.name], top - ambient
        words = f"{value:.0f} K over ambient; the limit is {limit.value:.0f} K"
    present = sureness(value, limit.value, SENSOR_K)
    if present < 0.5:
        return Observation(Symptom.CHARGE_AIR_HOT, present)
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    statement = f"The {air_words(pull)} reached {top:.0f} degC ({words})."
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    return Observation(Symptom.CHARGE_AIR_HOT, present, finding)


def _cooler(pull: Pull, ambient: float | None, limits: Limits) -> Observation:
    """Effectiveness where the compressor's outlet is hottest: the ratio is surest there."""
    before = pull.first(Quantity.COMPRESSOR_OUTLET_TEMPERATURE)
    after = pull.first(Quantity.CHARGE_AIR_TEMPERATURE)
    if before is None or after is None or ambient is None or len(pull.sweep(before)) < 2:
        return Observation()
    inside = pull.sweep(before)
    hottest = int(inside.value.argmax())
    outlet = float(inside.value[hottest])
    charge = float(at(after, inside.time_s[hottest : hottest + 1])[0])
    if outlet - ambient < 30.0:  # too little heat for the ratio of differences to mean anything
        return Observation()
    value, limit = cooler_effectiveness(outlet, charge, ambient), limits[EFFECTIVENESS.name]
    present = sureness(limit.value - value, 0.0, EFFECTIVENESS_SPREAD)
    words = f"The charge cooler took the air from {outlet:.0f} to {charge:.0f} degC"
    if present < 0.5:
        words = f"{words} where it was hottest (effectiveness {value:.2f})."
        return Observation(Symptom.COOLER_WEAK, present, _noted(words, value, limit))
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    statement = (
        f"{words}, an effectiveness of {value:.2f} with ambient at {ambient:.0f} degC; below "
        f"{limit.value:.2f} look at the fan before the cooler."
    )
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    return Observation(Symptom.COOLER_WEAK, present, finding)


def _noted(words: str, value: float, limit: Limit) -> Finding:
    return beyond(limit, Severity.NOTE, words, value)


def _intake(pull: Pull, ambient: float | None, limits: Limits) -> Observation:
    """Air before the compressor, where another sensor measures the charge behind the cooler."""
    intake = pull.first(Quantity.INTAKE_AIR_TEMPERATURE)
    if intake is None or ambient is None or not pull.named(Quantity.CHARGE_AIR_TEMPERATURE):
        return Observation()
    value, limit = _top(pull, intake) - ambient, limits[INTAKE.name]
    present = sureness(value, limit.value, SENSOR_K)
    if present < 0.5:
        return Observation(Symptom.INTAKE_HOT, present)
    statement = (
        f"The air before the compressor was {value:.0f} K over ambient; the engine breathes warm "
        "air from the engine bay."
    )
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    return Observation(
        Symptom.INTAKE_HOT, present, beyond(limit, Severity.NOTE, statement, value, where)
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
        f"The {air_words(pull)} started this pull at {start:.0f} degC, {hotter:.0f} K hotter than "
        f"the coolest start of this stage ({min(starts):.0f} degC): heat soak; let it cool."
    )
    where = place(pull, pull.bounds.start_s, pull.bounds.start_s)
    return Observation(
        Symptom.HEAT_SOAK, present, beyond(limit, Severity.NOTE, statement, hotter, where)
    )


def _seen(pull: Pull, charge: Samples, ambient: float | None, limits: Limits) -> list[Observation]:
    """What it was, and a note where it was warm: over the limit, and by more than ambient."""
    start, end, warm = _start(pull, charge), _end(pull, charge), limits[WARM.name]
    words = f"{air_words(pull)} went from {start:.0f} to {end:.0f} degC in the pull"
    limit, value, over = limits[HOT.name], _top(pull, charge), ""
    if ambient is not None:
        limit, value = limits[RISE.name], _top(pull, charge) - ambient
        over = f", at most {value:.0f} K over ambient"
    said_well = f"{words[0].upper()}{words[1:]}{over}."
    seen = [healthy("air_temperatures", said_well, round(value, 1), limit)]
    if end > warm.value and (ambient is None or end - ambient > WATCH_K):
        statement = (
            f"Warm: {words}. No fault, but compare it only with pulls of about the same "
            "temperature."
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
        _cooler(pull, ambient, limits),
        _intake(pull, ambient, limits),
        _soak(pull, charge, limits, context),
    ]
    if not any(o.finding and o.finding.severity is not Severity.NOTE for o in seen):
        seen += _seen(pull, charge, ambient, limits)
    return seen


CHECK: Final = Check(
    name="air_temperatures",
    title="Air temperatures",
    needs=((Quantity.CHARGE_AIR_TEMPERATURE, Quantity.INTAKE_AIR_TEMPERATURE),),
    limits=(WARM, RISE, HOT, EFFECTIVENESS, INTAKE, SOAK),
    judge=judge,
)
