"""Air temperatures: how warm the engine breathes, what the charge cooler does about it, and
whether it gets worse from pull to pull.

Warm air is a condition to know before two pulls are compared, not a fault: a note. Hot charge air
costs spark (SAE 960497) and charge mass (10 K at 45 degC is 3 % less air, by the gas law).
"""

from typing import Final

import numpy as np

from analysis.causes.symptoms import EVEN, Observation, Symptom
from analysis.checks.against_limit import beyond, sureness
from analysis.checks.charge_heat import (
    air_first_word,
    air_word,
    ambient_degc,
    charge_temperature,
)
from analysis.checks.check import Check, Context, healthy, note, stated
from analysis.checks.stretches import at, place
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.phrases.say import amount, say
from analysis.phrases.statement import Amount
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
LEAST_HEAT_K: Final = 30.0  # of the outlet over ambient: with less the ratio means nothing
END_S: Final = 0.5  # of the pull: a sensor this slow needs no more


def _end(pull: Pull, samples: Samples) -> float:
    """The mean over the last END_S of the pull."""
    tail = samples.between(pull.bounds.end_s - END_S, pull.bounds.end_s + 1e-6)
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
    value = top
    if ambient is not None:
        limit, value = limits[RISE.name], top - ambient
    present = sureness(value, limit.value, SENSOR_K)
    if present < EVEN:
        return Observation(Symptom.CHARGE_AIR_HOT, present)
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    if ambient is None:
        statement = say(
            "air-temperatures-hot", air=air_word(pull), top=_degc(top), limit=_degc(limit.value)
        )
    else:
        statement = say(
            "air-temperatures-hot-over-ambient",
            air=air_word(pull),
            top=_degc(top),
            over=amount(value, "K"),
            limit=amount(limit.value, "K"),
        )
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
    if outlet - ambient < LEAST_HEAT_K:
        return Observation()
    value, limit = cooler_effectiveness(outlet, charge, ambient), limits[EFFECTIVENESS.name]
    present = sureness(limit.value - value, 0.0, EFFECTIVENESS_SPREAD)
    cooled = {
        "outlet": _degc(outlet),
        "charge": _degc(charge),
        "effectiveness": amount(value, "1", 2),
    }
    if present < EVEN:
        noted = beyond(limit, Severity.NOTE, say("air-temperatures-cooler", **cooled), value)
        return Observation(Symptom.COOLER_WEAK, present, noted)
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    statement = say(
        "air-temperatures-cooler-weak",
        ambient=_degc(ambient),
        limit=amount(limit.value, "1", 2),
        **cooled,
    )
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    return Observation(Symptom.COOLER_WEAK, present, finding)


def _degc(value: float) -> Amount:
    return amount(value, "degC")


def _intake(pull: Pull, ambient: float | None, limits: Limits) -> Observation:
    """Air before the compressor, where another sensor measures the charge behind the cooler."""
    intake = pull.first(Quantity.INTAKE_AIR_TEMPERATURE)
    if intake is None or ambient is None or not pull.named(Quantity.CHARGE_AIR_TEMPERATURE):
        return Observation()
    value, limit = _top(pull, intake) - ambient, limits[INTAKE.name]
    present = sureness(value, limit.value, SENSOR_K)
    if present < EVEN:
        return Observation(Symptom.INTAKE_HOT, present)
    statement = say("air-temperatures-intake-warm", over=amount(value, "K"))
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
    if present < EVEN:
        return Observation(Symptom.HEAT_SOAK, present)
    statement = say(
        "air-temperatures-heat-soak",
        air=air_word(pull),
        start=_degc(start),
        hotter=amount(hotter, "K"),
        coolest=_degc(min(starts)),
    )
    where = place(pull, pull.bounds.start_s, pull.bounds.start_s)
    return Observation(
        Symptom.HEAT_SOAK, present, beyond(limit, Severity.NOTE, statement, hotter, where)
    )


def _seen(pull: Pull, charge: Samples, ambient: float | None, limits: Limits) -> list[Observation]:
    """What it was, and a note where it was warm: over the limit, and by more than ambient."""
    start, end, warm = _start(pull, charge), _end(pull, charge), limits[WARM.name]
    went = {"start": _degc(start), "end": _degc(end)}
    if ambient is None:
        limit, value = limits[HOT.name], _top(pull, charge)
        statement = say("air-temperatures-went", air=air_first_word(pull), **went)
    else:
        limit, value = limits[RISE.name], _top(pull, charge) - ambient
        statement = say(
            "air-temperatures-went-over-ambient",
            air=air_first_word(pull),
            over=amount(value, "K"),
            **went,
        )
    seen = [healthy("air_temperatures", statement, round(value, 1), limit)]
    if end > warm.value and (ambient is None or end - ambient > WATCH_K):
        statements = (
            say("air-temperatures-warm", air=air_word(pull), **went),
            say("air-temperatures-warm-why"),
        )
        seen.append(stated(beyond(warm, Severity.NOTE, statements, end)))
    return seen


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Charge temperature against ambient, the cooler, and heat soak."""
    charge, ambient = charge_temperature(pull), ambient_degc(pull, context)
    if charge is None:
        return [note("air_temperatures", say("air-temperatures-not-logged"))]
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
    needs=((Quantity.CHARGE_AIR_TEMPERATURE, Quantity.INTAKE_AIR_TEMPERATURE),),
    limits=(WARM, RISE, HOT, EFFECTIVENESS, INTAKE, SOAK),
    judge=judge,
)
