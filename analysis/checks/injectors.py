"""Injectors: whether they have time left to add fuel.

Past some nine tenths of the time nothing is left for colder air or more boost; the engine is short
of fuel only where they are open all the time, or where the mixture does not hold.
"""

from typing import Final

import numpy as np

from analysis.causes.symptoms import EVEN, PASSING, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.check import Context, healthy
from analysis.checks.following import LONGEST_S, target_lag
from analysis.checks.stretches import Stretch, lasting, place, smoothed, stretches
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.phrases.say import amount, say
from analysis.physics.lag import extremes
from decode.quantities import Quantity

DUTY = Limit("fuel_supply.injector_duty", 90.0, "%", COMMON_PRACTICE, "no time left to inject more")
DUTY_ALL = Limit(
    "fuel_supply.injector_duty_all",
    98.0,
    "%",
    "an injector that hardly closes meters no more; threshold: " + COMMON_PRACTICE,
    "no time left at all, also where the mixture held so far",
)
DUTY_FOR = Limit("fuel_supply.injector_duty_for", 0.3, "s", COMMON_PRACTICE, "for this long")
DUTY_SPREAD: Final = 2.0  # per cent. Chosen, no published source
DUTY_SMOOTH_S: Final = 0.1
HELD_LAMBDA: Final = 0.02  # over its target: closer no probe and no control keep it


def injector_time(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """How much of their time the injectors were open, and whether what is left is enough."""
    duty, limit = pull.first(Quantity.INJECTOR_DUTY), limits[DUTY.name]
    if duty is None or len(inside := pull.sweep(duty)) < 2:
        return []
    steady, for_s = smoothed(inside, DUTY_SMOOTH_S).value, limits[DUTY_FOR.name].value
    found = stretches(inside.time_s, steady > limit.value, for_s)
    top = float(steady.max())
    if not found:
        present = min(PASSING, sureness(top, limit.value, DUTY_SPREAD))
        statement, most = say("fuel-injectors-spare", duty=amount(top, "%")), top
        if top > limit.value:
            most = lasting(inside.time_s, steady, for_s)
            statement = say(
                "fuel-injectors-briefly-full",
                duty=amount(most, "%"),
                top=amount(top, "%"),
                duration=amount(for_s, "s", 1),
            )
        return [
            Observation(Symptom.INJECTOR_FULL, present),
            healthy("fuel_supply", statement, round(most, 1), limit),
        ]
    where = place(pull, found[0].start_s, found[-1].end_s)
    always = stretches(inside.time_s, steady > limits[DUTY_ALL.name].value, for_s)
    spare = not always and _mixture_held(pull, context, found)
    statement = say(
        "fuel-injectors-no-reserve" if spare else "fuel-injectors-full",
        duty=amount(top, "%"),
        where=place_phrase(where),
        limit=amount(limit.value, "%"),
    )
    severity = Severity.NOTE if spare else Severity.LOOK_CLOSER
    present = EVEN if spare else sureness(top, limit.value, DUTY_SPREAD)
    finding = beyond(limit, severity, statement, top, where)
    return [Observation(Symptom.INJECTOR_FULL, present, finding)]


def _mixture_held(pull: Pull, context: Context, found: list[Stretch]) -> bool:
    """Whether lambda kept to its target where the injectors had hardly time: nothing was missing.
    False where that is not logged."""
    mixture, target = pull.first(Quantity.LAMBDA), pull.first(Quantity.LAMBDA_TARGET)
    if mixture is None or target is None:
        return False
    longest_s = LONGEST_S[Quantity.LAMBDA]
    inside = mixture.between(found[0].start_s, found[-1].end_s + longest_s)
    if len(inside) == 0:
        return False
    lag = target_lag(Quantity.LAMBDA, pull, context)
    _, leanest = extremes(target, lag, longest_s, inside.time_s)
    return float(np.median(inside.value - leanest)) <= HELD_LAMBDA
