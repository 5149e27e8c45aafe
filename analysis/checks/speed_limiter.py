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
FULL_PEDAL: Final = 0.95  # of the highest reading
BEFORE_CUT_S: Final = 1.0  # what the engine had before its speed stood still
END_UNSURE_S: Final = 0.2  # channels come late, and the end lies between two readings
CUT_TO: Final = 0.5  # of what it had: only a cut takes so much at full pedal
BOUNCES_S: Final = 0.5  # before the end: the highest speed that the limiter let through


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Where the limiter ended the pull; nothing where it did not, or no top speed is stated."""
    top_rpm, bounds = context.setup.car.max_engine_speed_rpm, pull.bounds
    speed, limit = pull.first(Quantity.ENGINE_SPEED), limits[EARLY.name]
    if top_rpm is None or speed is None or not _was_limited(pull):
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


def _was_limited(pull: Pull) -> bool:
    """Whether a limiter ended the pull: seen as such, or speed stood still at full pedal while fuel
    or torque was cut. Standing still alone, a brake does too."""
    end_s = pull.bounds.end_s
    if pull.bounds.end_reason is not EndReason.STALLED:
        return pull.bounds.end_reason is EndReason.LIMITER
    until_s = _full_pedal_until_s(pull)
    for quantity in (Quantity.INJECTOR_DUTY, Quantity.ENGINE_TORQUE):
        samples = pull.first(quantity)
        if samples is None:
            continue
        before = samples.between(end_s - BEFORE_CUT_S, end_s - END_UNSURE_S)
        after = samples.between(end_s - END_UNSURE_S, until_s)
        if len(before) and len(after) and after.value.min() < CUT_TO * float(before.value.mean()):
            return True
    return False


def _full_pedal_until_s(pull: Pull) -> float:
    """Until when after the pull's end the pedal stays down; the end where no pedal is logged."""
    pedal = pull.first(Quantity.PEDAL_POSITION)
    if pedal is None:
        return pull.bounds.end_s
    after = pedal.between(pull.bounds.end_s, np.inf)
    eased = after.time_s[after.value < FULL_PEDAL * float(pedal.value.max())]
    if len(eased):
        return float(eased[0]) - END_UNSURE_S
    return float(after.time_s[-1]) if len(after) else pull.bounds.end_s


CHECK: Final = Check(
    name="speed_limiter", needs=((Quantity.ENGINE_SPEED,),), limits=(EARLY,), judge=judge
)
