"""Ignition: misfires, knock, and timing against its target.

A compression-ignition engine has no knock control and no timing to judge.
"""

from typing import Final

from analysis.causes.symptoms import Observation
from analysis.checks import ignition_target, knock, misfires
from analysis.checks.check import Check, Context, note
from analysis.checks.ignition_target import judge_target
from analysis.checks.knock import judge_knock
from analysis.checks.knock_process import retard_of
from analysis.checks.misfires import judge_misfires
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.phrases.say import say
from decode.quantities import Quantity


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """What the ignition shows; each part says for itself what it needs."""
    seen = judge_misfires(pull, limits)
    if context.kind.is_diesel:
        return [*seen, note("ignition", say("ignition-compression"))]
    retard = retard_of(pull)
    if retard is None:
        seen = [*seen, note("ignition", say("ignition-knock-not-judged"))]
    else:
        seen = [*seen, *judge_knock(pull, retard, limits, context)]
    return [*seen, *judge_target(pull, retard, limits)]


CHECK: Final = Check(
    name="ignition",
    needs=((Quantity.KNOCK_RETARD, Quantity.MISFIRE_COUNT, Quantity.IGNITION_TARGET),),
    limits=(*knock.LIMITS, *ignition_target.LIMITS, *misfires.LIMITS),
    judge=judge,
)
