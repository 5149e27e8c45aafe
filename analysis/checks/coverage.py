"""Evidence: was what matters most judged? A pull that nobody listened to for knock is not healthy.

Every check speaks for itself and may well say healthy of a log with few channels. The pull as a
whole is healthy only if what breaks this kind of engine was judged: a boosted petrol engine by
demand, boost, knock and mixture; a naturally aspirated one by demand, mixture and knock or timing;
a diesel by demand, boost, rail and what its exhaust says, mixture or temperature. Where one was
not, this says which, and what to log for it.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from analysis.checks.boost_pressure import gauge_boost
from analysis.checks.boost_tracking import why_untracked
from analysis.checks.check import Context
from analysis.checks.few_readings import is_too_little
from analysis.checks.knock_process import retard_of
from analysis.model.findings import COVERAGE, Finding, Severity, judged_well
from analysis.model.pull import EndReason, Pull
from analysis.phrases.say import count, in_line, listed, rpm, say
from analysis.phrases.statement import Joint, Statement
from analysis.segmenting.notes import begins_late
from decode.quantities import Quantity

OF_ITSELF: Final = (EndReason.LIFT, EndReason.LIMITER)  # a pull may be whole that ends like that
BOOST_CHECKS: Final = frozenset({"boost", "blower"})  # either judges boost, of its kind of engine


def lacking(findings: Sequence[Finding], pull: Pull, context: Context) -> Finding | None:
    """A note on what keeps the pull from being called healthy; None where nothing does.

    findings: of every check. pull: without the channels that cannot be trusted. Where a finding
    says that something is not well, that is the verdict, and what else was not judged says so
    itself.
    """
    if any(f.severity.is_trouble for f in findings):
        return None
    well = judged_well(findings)
    missing = [
        *_broken_off(pull),
        *_read_too_seldom(findings),
        *_not_judged(set(well), pull, context),
    ]
    if well and not missing:
        return None
    reasons = in_line(missing or [say("coverage-no-channels")], Joint.SEMICOLON)
    statements = [say("coverage-lacking", reasons=reasons)]
    if well:
        checks = listed([say(f"coverage-well-{name.replace('_', '-')}") for name in well])
        statements.append(say("coverage-well", checks=checks))
    return Finding(COVERAGE, Severity.NOTE, tuple(statements))


def _broken_off(pull: Pull) -> Iterator[Statement]:
    late = begins_late(pull.bounds.notes)
    if late:
        yield say("coverage-begins-late", speed=rpm(pull.bounds.start_rpm))
    if not pull.bounds.complete and not (late and pull.bounds.end_reason in OF_ITSELF):
        reason = pull.bounds.end_reason.replace("_", "-")
        yield say(f"coverage-broken-off-{reason}", speed=rpm(pull.bounds.end_rpm))


def _read_too_seldom(findings: Sequence[Finding]) -> Iterator[Statement]:
    if any(is_too_little(finding) for finding in findings):
        yield say("coverage-read-too-seldom")


def _not_judged(well: set[str], pull: Pull, context: Context) -> Iterator[Statement]:
    """One reason for each thing that matters most and was not seen to be well."""
    if "throttle" not in well and pull.first(Quantity.PEDAL_POSITION) is None:
        yield say("coverage-no-demand")
    if context.kind.is_diesel:
        yield from _diesel(well, pull)
    else:
        yield from _knock(well, pull, context)
        if not _mixture(well, pull):
            yield say("coverage-no-mixture", why=_mixture_needs(pull))
    if not well & BOOST_CHECKS and context.kind.is_boosted:
        yield say("coverage-no-boost", why=_boost_needs(pull, context))


def _diesel(well: set[str], pull: Pull) -> Iterator[Statement]:
    if "fuel_supply" not in well or pull.first(Quantity.FUEL_PRESSURE_HIGH) is None:
        yield say("coverage-no-rail")
    exhaust = pull.first(Quantity.EXHAUST_GAS_TEMPERATURE)
    heat = "engine_temperatures" in well and exhaust is not None
    if not heat and not _mixture(well, pull):
        yield say("coverage-no-exhaust")


def _mixture(well: set[str], pull: Pull) -> bool:
    """Whether it was measured and judged: trims alone say nothing of full load."""
    return "mixture" in well and pull.first(Quantity.LAMBDA) is not None


def _mixture_needs(pull: Pull) -> Statement:
    if pull.first(Quantity.LAMBDA) is None:
        return say("coverage-log-lambda")
    return say("coverage-log-lambda-target")


def _knock(well: set[str], pull: Pull, context: Context) -> Iterator[Statement]:
    retard, cylinders = retard_of(pull), context.setup.car.cylinders
    if "ignition" not in well or retard is None:
        if context.kind.is_boosted:
            yield say("coverage-no-knock")
        elif pull.first(Quantity.IGNITION_TIMING) is None:
            yield say("coverage-no-knock-nor-timing")
        return
    unheard = sorted(set(range(1, (cylinders or 0) + 1)) - set(retard.cylinders))
    if unheard and not retard.single_channel:
        names = listed([str(cylinder) for cylinder in unheard])
        yield say("coverage-no-retard", count=count(len(unheard)), cylinders=names)


def _boost_needs(pull: Pull, context: Context) -> Statement:
    target = pull.first(Quantity.BOOST_TARGET)
    if target is None:
        return say("coverage-log-boost-target")
    if (boost := gauge_boost(pull, context.setup)) is None:
        return say("coverage-log-boost")
    return why_untracked(pull, boost, target)
