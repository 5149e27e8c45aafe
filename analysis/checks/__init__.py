"""The checks, in the order a calibrator would read them, and how they are run together."""

from dataclasses import replace
from typing import Final

from analysis.causes.explain import explain
from analysis.causes.symptoms import Observation
from analysis.checks import (
    air_and_torque,
    air_temperatures,
    blower,
    boost,
    data_quality,
    drive,
    engine_temperatures,
    fuel_supply,
    ignition,
    intake,
    mixture,
    speed_limiter,
    throttle,
    turbo,
)
from analysis.checks.check import Check, Context, note
from analysis.checks.coverage import lacking
from analysis.checks.gear_shift import without_shifts
from analysis.checks.kinds import kind_of, kind_statements
from analysis.checks.needs import not_judged
from analysis.checks.severity_law import with_live_stops
from analysis.model.engine_kind import FORCED, EngineKind
from analysis.model.findings import ENGINE_KIND, Cause, Finding, Severity
from analysis.model.limits import Limit, Limits
from analysis.model.pull import Pull, as_read
from analysis.model.setup import Induction
from analysis.phrases.say import say
from decode.quantities import Quantity

CHECKS: Final[tuple[Check, ...]] = (
    throttle.CHECK,
    ignition.CHECK,
    boost.CHECK,
    blower.CHECK,
    turbo.CHECK,
    intake.CHECK,
    air_and_torque.CHECK,
    air_temperatures.CHECK,
    fuel_supply.CHECK,
    mixture.CHECK,
    engine_temperatures.CHECK,
    drive.CHECK,
    speed_limiter.CHECK,
    data_quality.CHECK,
)
SPARK_CAUSES: Final = frozenset(
    {
        Cause.LOW_OCTANE_FUEL,
        Cause.SINGLE_CYLINDER_KNOCK,
        Cause.IGNITION_INTERVENTION,
        Cause.ETHANOL_CONTENT,
    }
)
TURBO_CAUSES: Final = frozenset(
    {
        Cause.WASTEGATE_STUCK_OPEN,
        Cause.WASTEGATE_STUCK_CLOSED,
        Cause.BOOST_OSCILLATION,
        Cause.TURBO_OVERSPEED,
    }
)
BLOWER_CAUSES: Final = frozenset({Cause.BELT_SLIP})
BOOST_CAUSES: Final = TURBO_CAUSES | BLOWER_CAUSES | {Cause.BOOST_LEAK}
DEFAULT_LIMITS: Final[tuple[Limit, ...]] = tuple(limit for c in CHECKS for limit in c.limits)


def observe(
    check: Check, pull: Pull, limits: Limits, context: Context, distrusted: frozenset[str]
) -> list[Observation]:
    """What one check saw, or one note that it could not judge and what it needs for that."""
    if not _fits(check, pull, context.kind):
        boosts = check.induction == FORCED and not context.kind.is_boosted
        return [note(check.name, say("not-judged-not-boosted"))] if boosts else []
    missing = [
        group
        for group in check.needs
        if not any(pull.first(quantity) is not None for quantity in group)
    ]
    if missing:
        return [not_judged(check.name, missing, distrusted)]
    return check.judge(pull, limits, context)


def _fits(check: Check, pull: Pull, kind: EngineKind) -> bool:
    """Whether it means something for this kind of engine: a channel of boost calls for what judges
    boost though nothing else does."""
    if check is boost.CHECK and kind.induction is Induction.BLOWER:
        return pull.first(Quantity.BOOST_TARGET) is not None  # few of them have one
    if not check.induction or kind.induction in check.induction:
        return True
    return check.induction == FORCED and _logs_boost(pull)


def impossible(pull: Pull, context: Context) -> frozenset[Cause]:
    """What cannot ail this kind of engine: knock without spark ignition, boost without a
    compressor, a wastegate where a belt drives it."""
    knock = SPARK_CAUSES if context.kind.is_diesel else frozenset()
    if context.kind.induction is Induction.BLOWER:
        return knock | TURBO_CAUSES
    boosted = context.kind.is_boosted or _logs_boost(pull)
    return knock | (BLOWER_CAUSES if boosted else BOOST_CAUSES)


def _logs_boost(pull: Pull) -> bool:
    return bool(pull.named(Quantity.BOOST_PRESSURE) or pull.named(Quantity.BOOST_TARGET))


def logged_in(pull: Pull) -> frozenset[Quantity]:
    """The quantities that the pull has channels of."""
    return frozenset(c.quantity for c in pull.channels.values() if c.quantity is not None)


def without(pull: Pull, names: frozenset[str]) -> Pull:
    """The pull with some channels left out; engine speed stays, nothing can be said without."""
    keep = [
        name
        for name, channel in pull.channels.items()
        if name not in names or channel.quantity is Quantity.ENGINE_SPEED
    ]
    return replace(
        pull,
        channels={name: pull.channels[name] for name in keep},
        samples={name: pull.samples[name] for name in keep},
    )


def run_checks(pull: Pull, limits: Limits, context: Context) -> tuple[Finding, ...]:
    """Every check over one pull, its findings with their causes; most telling first.

    Values that are only written again are no readings: every check sees what was read anew.
    Data goes first: no other check judges by a channel that cannot be trusted, nor with clocks that
    are apart, or slip would hide behind the offset. What was a stop by the live rules is one here
    too. Last, what keeps a pull without a fault from
    being called healthy.
    """
    pull = as_read(pull)
    context = replace(context, inferred_kind=kind_of(pull, context.earlier, context.setup))
    data, together = data_quality.judge_data(pull, limits, context)
    distrusted = frozenset(name for o in data for name in o.distrust)
    sound = without_shifts(without(together, distrusted))
    if distrusted:  # no kind is inferred from what cannot be trusted
        context = replace(context, inferred_kind=kind_of(sound, context.earlier, context.setup))
    seen = [
        observation
        for check in CHECKS
        if check is not data_quality.CHECK
        for observation in observe(check, sound, limits, context, distrusted)
    ]
    findings = explain(seen + data, impossible(pull, context), logged_in(sound))
    findings = with_live_stops(findings, sound, limits, context.kind)
    unsaid = lacking(findings, sound, context)
    return (*findings, *_kind(context), *([] if unsaid is None else [unsaid]))


def _kind(context: Context) -> list[Finding]:
    """A note on the kind of engine that the pull was judged as, where no file states it."""
    taken = kind_statements(context.kind)
    return [Finding(ENGINE_KIND, Severity.NOTE, (say("engine-kind-open"), *taken))] if taken else []
