"""Speed limiter: does it cut in where the station file says that the engine's top speed is?

A limiter well below is no protection that a symptom explains: a wrong calibration, a cold engine or
a stored fault lowers it.
"""

from typing import Final

import numpy as np

from analysis.causes.symptoms import NOT_SEEN, Observation, Symptom
from analysis.checks.against_limit import beyond, sureness
from analysis.checks.check import Check, Context
from analysis.checks.stretches import place
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import EndReason, Pull
from analysis.phrases.say import rpm, say
from decode.quantities import Quantity

EARLY = Limit(
    "speed_limiter.early",
    5.0,
    "%",
    "limiters cut within 1 to 2 % of their speed; threshold: " + COMMON_PRACTICE,
    "the limiter cut in so far below the stated top speed: look closer",
)
SPREAD_PERCENT: Final = 1.0
BOUNCES_S: Final = 0.5  # before the end: the highest speed that the limiter let through


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Where the limiter ended the pull; nothing where it did not, or no top speed is stated."""
    top_rpm, bounds = context.setup.car.max_engine_speed_rpm, pull.bounds
    speed, limit = pull.first(Quantity.ENGINE_SPEED), limits[EARLY.name]
    if top_rpm is None or speed is None or bounds.end_reason is not EndReason.LIMITER:
        return []
    near = speed.between(bounds.end_s - BOUNCES_S, np.nextafter(bounds.end_s, np.inf))
    cut_rpm = max(float(near.value.max(initial=0.0)), bounds.end_rpm)
    early = 100.0 * (1.0 - cut_rpm / top_rpm)
    if early <= limit.value:
        return [Observation(Symptom.SPEED_LIMITED, NOT_SEEN)]
    statement = say("speed-limiter-early", speed=rpm(cut_rpm), top=rpm(top_rpm))
    where = place(pull, bounds.end_s - BOUNCES_S, bounds.end_s)
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, early, where)
    sure = sureness(early, limit.value, SPREAD_PERCENT)
    return [Observation(Symptom.SPEED_LIMITED, sure, finding)]


CHECK: Final = Check(
    name="speed_limiter", needs=((Quantity.ENGINE_SPEED,),), limits=(EARLY,), judge=judge
)
