"""Lambda against its target: what is left once the probe's own lag is taken out."""

from typing import Final

import numpy as np

from analysis.causes.symptoms import PASSING, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.boost_pressure import gauge_boost
from analysis.checks.check import Context, healthy
from analysis.checks.mixture_seen import SeenMixture
from analysis.checks.stretches import Stretch, at, place
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.shared_limits import LEAN, LEAN_STOP, UNDER_BOOST
from analysis.phrases.say import amount, as_given, say
from analysis.phrases.statement import Amount, Statement
from decode.samples import FloatArray

LEAN_FOR = Limit("mixture.lean_for", 0.3, "s", COMMON_PRACTICE, "for at least this long")
RICH = Limit("mixture.rich", 0.08, "1", COMMON_PRACTICE, "lambda below its target under load")
LIMITS: Final = (LEAN, LEAN_STOP, LEAN_FOR, UNDER_BOOST, RICH)
LAMBDA_SPREAD: Final = 0.01  # a wideband controller's accuracy near lambda 0.9
RICH_SPREAD: Final = 2 * LAMBDA_SPREAD  # less accurate the richer. Chosen, no published source
# What lasted beyond a limit is there: near the limit it is no half evidence. Chosen, no source.
FOUND: Final = 0.8
LAG_WORTH_SAYING_S: Final = 0.15  # a probe in the manifold


def ratio(lambda_: float) -> Amount:
    """Lambda as people say it."""
    return amount(float(lambda_), "1", 2)


def boost_there(pull: Pull, context: Context, limits: Limits, at_s: float) -> Amount | None:
    """The boost at a time, where it is enough to make a lean mixture a danger."""
    boost = gauge_boost(pull, context.setup)
    pressed = 0.0 if boost is None else float(at(boost, np.array([at_s]))[0])
    return amount(pressed, "kPa") if pressed > limits[UNDER_BOOST.name].value else None


def worst_of(found: list[Stretch], excess: FloatArray) -> int:
    """The sample with most excess within the stretches."""
    index = [s.first + int(excess[s.indices].argmax()) for s in found]
    return max(index, key=lambda i: float(excess[i]))


def lag_statements(seen: SeenMixture) -> tuple[Statement, ...]:
    """How late the probe comes, where that is worth saying: one statement, or none."""
    if seen.lag is None or seen.lag.total_s < LAG_WORTH_SAYING_S:
        return ()
    return (say("mixture-lag", lag=amount(seen.lag.total_s, "s", 1)),)


def judge_lean(
    pull: Pull, seen: SeenMixture, limits: Limits, context: Context
) -> list[Observation]:
    """Leaner than a healthy mixture can read behind its target, for long enough. That a mixture is
    not lean is evidence where it is held, and none where it is rich."""
    assert seen.most is not None
    assert seen.least is not None
    limit, over = limits[LEAN.name], seen.value - seen.most - seen.dilution
    found = seen.lasting(over > limit.value, limits[LEAN_FOR.name].value)
    if not found and float(np.median(seen.least - seen.value)) > limit.value:
        return []
    if not found:
        present = sureness(float(over.max()), limit.value, LAMBDA_SPREAD)
        return [Observation(Symptom.MIXTURE_LEAN, min(PASSING, present))]
    index = worst_of(found, over)
    value, where = float(over[index]), place(pull, found[0].start_s, found[-1].end_s)
    boost = boost_there(pull, context, limits, float(seen.time_s[index]))
    stop = boost is not None and value > limits[LEAN_STOP.name].value
    ran, asked, at_place = ratio(seen.value[index]), ratio(seen.most[index]), place_phrase(where)
    if boost is None:
        statement = say("mixture-lean", measured=ran, wanted=asked, where=at_place)
    else:
        statement = say(
            "mixture-lean-boosted", measured=ran, wanted=asked, where=at_place, boost=boost
        )
    severity = Severity.STOP if stop else Severity.LOOK_CLOSER
    finding = beyond(limit, severity, statement, value, where)
    present = max(FOUND, sureness(value, limit.value, LAMBDA_SPREAD))
    return [Observation(Symptom.MIXTURE_LEAN, present, finding)]


def judge_rich(pull: Pull, seen: SeenMixture, limits: Limits) -> list[Observation]:
    """Richer than a healthy mixture can read behind its target, for long enough. One that is not
    says nothing of what makes an engine lean, so it is no evidence."""
    assert seen.least is not None
    limit, under = limits[RICH.name], seen.least - seen.value
    found = seen.lasting(under > limit.value, limits[LEAN_FOR.name].value)
    if not found:
        return []
    index = worst_of(found, under)
    value, where = float(under[index]), place(pull, found[0].start_s, found[-1].end_s)
    statement = say(
        "mixture-rich",
        measured=ratio(seen.value[index]),
        wanted=ratio(seen.least[index]),
        where=place_phrase(where),
    )
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    present = max(FOUND, sureness(value, limit.value, RICH_SPREAD))
    return [Observation(Symptom.MIXTURE_RICH, present, finding)]


def held(seen: SeenMixture, limits: Limits) -> Observation:
    """All is well: how closely the target was held, and from where to where."""
    assert seen.least is not None
    assert seen.most is not None
    limit, late = limits[LEAN.name], lag_statements(seen)
    over = seen.value - seen.most - seen.dilution
    worst = float(np.maximum(np.maximum(over, seen.least - seen.value), 0.0).max())
    first, last = ratio(seen.value[0]), ratio(seen.value[-1])
    if float(over.max()) > limit.value or worst > limits[RICH.name].value:
        moment = as_given(limits[LEAN_FOR.name].value, "s")
        statement = say("mixture-held-but-moments", moment=moment, first=first, last=last)
        return healthy("mixture", (statement, *late))
    within = ratio(max(worst, LAMBDA_SPREAD))
    statement = say("mixture-held", error=within, first=first, last=last)
    if worst > limit.value:  # on the rich side, where more is allowed
        limit = limits[RICH.name]
    return healthy("mixture", (statement, *late), round(worst, 3), limit)


def never_rich(seen: SeenMixture, limits: Limits) -> Observation:
    """All is well with an engine that may run as lean as it likes."""
    assert seen.least is not None
    under = float(np.maximum(seen.least - seen.value, 0.0).max())
    statement = say("mixture-never-rich", richest=ratio(seen.value.min()))
    limit = limits[RICH.name]
    if under > limit.value:  # for a moment
        return healthy("mixture", (statement, *lag_statements(seen)))
    return healthy("mixture", (statement, *lag_statements(seen)), round(under, 3), limit)
