"""Mixture: lambda against its target under load, and what the trims had to add.

Best torque lies 10 to 15 % rich of stoichiometric; a boosted petrol engine that runs leaner than
asked under load knocks and overheats within seconds, so lean under boost stops the run. A
compression-ignition engine runs lean by design: there only too rich is judged.
"""

from typing import Final

from analysis.causes.symptoms import Observation
from analysis.checks import mixture_no_target, mixture_target
from analysis.checks.against_limit import beyond, place_phrase
from analysis.checks.check import Check, Context, note, stated
from analysis.checks.fuel_trims import TRIM, judge_trims
from analysis.checks.mixture_no_target import (
    diesel_is_well,
    judge_diesel,
    judge_petrol,
    petrol_is_well,
)
from analysis.checks.mixture_seen import SeenMixture, seen_mixture
from analysis.checks.mixture_target import (
    LEAN_FOR,
    held,
    judge_lean,
    judge_rich,
    never_rich,
    ratio,
    worst_of,
)
from analysis.checks.stretches import place
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Engines, Limit, Limits
from analysis.model.pull import Pull
from analysis.phrases.say import say
from decode.quantities import Quantity

VERY_RICH = Limit(
    "mixture.very_rich",
    0.70,
    "1",
    COMMON_PRACTICE,
    "richer makes less power and washes the oil off the bores: noted",
    Engines.SPARK,
)


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Lambda against its target or against what an engine of this kind stands, and the trims."""
    trims, seen = judge_trims(pull, limits), seen_mixture(pull, limits, context)
    if seen is None:
        return [*trims, note("mixture", say("mixture-too-few"))]
    found = [*_beyond(pull, seen, limits, context), *trims]
    if not any(o.finding for o in found):
        found.append(_well(pull, seen, limits, context))
    if not context.kind.is_diesel:
        found += _very_rich(pull, seen, limits)
    return found


def _beyond(pull: Pull, seen: SeenMixture, limits: Limits, context: Context) -> list[Observation]:
    if seen.most is None:
        if context.kind.is_diesel:
            return judge_diesel(pull, seen, limits)
        return [judge_petrol(pull, seen, limits, context)]
    rich = judge_rich(pull, seen, limits)
    return rich if context.kind.is_diesel else [*judge_lean(pull, seen, limits, context), *rich]


def _well(pull: Pull, seen: SeenMixture, limits: Limits, context: Context) -> Observation:
    if seen.most is None:
        if context.kind.is_diesel:
            return diesel_is_well(seen, limits)
        return petrol_is_well(pull, seen, limits, context)
    return never_rich(seen, limits) if context.kind.is_diesel else held(seen, limits)


def _very_rich(pull: Pull, seen: SeenMixture, limits: Limits) -> list[Observation]:
    """Beyond what any petrol engine needs: noted, whatever was asked for."""
    limit = limits[VERY_RICH.name]
    found = seen.lasting(seen.value < limit.value, limits[LEAN_FOR.name].value)
    if not found:
        return []
    where = place(pull, found[0].start_s, found[-1].end_s)
    richest = float(seen.value[worst_of(found, -seen.value)])
    statement = say("mixture-very-rich", richest=ratio(richest), where=place_phrase(where))
    return [stated(beyond(limit, Severity.NOTE, statement, richest, where))]


CHECK: Final = Check(
    name="mixture",
    needs=((Quantity.LAMBDA,),),
    limits=(*mixture_target.LIMITS, *mixture_no_target.LIMITS, VERY_RICH, TRIM),
    judge=judge,
)
