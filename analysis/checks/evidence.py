"""Evidence: was what matters most judged? A pull that nobody listened to for knock is not healthy.

Every check speaks for itself and may well say healthy of a log with few channels. The pull as a
whole is healthy only if the driver's demand, knock on a spark-ignition engine and boost on a
boosted one were judged; where one was not, this says which, and what to log for it.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from analysis.checks.boost import WORTH_JUDGING_KPA, why_untracked
from analysis.checks.boost_pressure import gauge_boost
from analysis.checks.check import Context
from analysis.checks.ignition import retard_of
from analysis.checks.words import listed, rpm
from analysis.model.findings import DATA_QUALITY, EVIDENCE, Finding, Severity
from analysis.model.pull import EndReason, Pull
from analysis.model.setup import Ignition
from decode.quantities import Quantity

TITLE: Final = "What was judged"
ENDINGS: Final = {
    EndReason.LIFT: "the driver let go",
    EndReason.LIMITER: "the speed limiter cut in",
    EndReason.GEAR_CHANGE: "the gear was changed",
    EndReason.STALLED: "engine speed no longer rose",
    EndReason.SESSION_END: "the session ended",
    EndReason.SOURCE_LOST: "a source was lost",
}


def lacking(findings: Sequence[Finding], pull: Pull, context: Context) -> Finding | None:
    """A note on what keeps the pull from being called healthy; None where nothing does.

    findings: of every check. pull: without the channels that cannot be trusted. Where a finding
    says that something is not well, that is the verdict, and what else was not judged says so
    itself.
    """
    if any(f.severity in (Severity.LOOK_CLOSER, Severity.STOP) for f in findings):
        return None
    well = [f.check for f in findings if f.severity is Severity.HEALTHY and f.check != DATA_QUALITY]
    missing = [*_broken_off(pull), *_not_judged(set(well), pull, context)]
    if well and not missing:
        return None
    reasons = "; ".join(missing) or "no check had the channels it needs"
    names = [name.replace("_", " ") for name in dict.fromkeys(well)]
    rest = f" What was judged is well: {listed(names)}." if names else ""
    return Finding(
        EVIDENCE, Severity.NOTE, f"No fault seen, but not called healthy: {reasons}.{rest}"
    )


def _broken_off(pull: Pull) -> Iterator[str]:
    if not pull.bounds.complete:
        why = ENDINGS[pull.bounds.end_reason]
        yield f"the pull is incomplete ({why} at {rpm(pull.bounds.end_rpm)} rpm)"


def _not_judged(well: set[str], pull: Pull, context: Context) -> Iterator[str]:
    """One reason for each thing that matters most and was not seen to be well."""
    car = context.setup.car
    if "throttle" not in well and pull.first(Quantity.PEDAL_POSITION) is None:
        yield "nothing shows what the driver asked for (log pedal or throttle position)"
    if car.ignition is Ignition.SPARK:
        yield from _knock(well, pull, car.cylinders)
    if "boost" not in well and (car.boosted or _is_boosted(pull, context)):
        yield f"boost was not judged ({_boost_needs(pull, context)})"


def _knock(well: set[str], pull: Pull, cylinders: int | None) -> Iterator[str]:
    retard = retard_of(pull)
    if "ignition" not in well or retard is None:
        yield "knock was not judged (log knock retard)"
        return
    unheard = sorted(set(range(1, (cylinders or 0) + 1)) - set(retard.cylinders))
    if unheard and not retard.single_channel:
        which = "cylinder" if len(unheard) == 1 else "cylinders"
        yield f"knock retard of {which} {listed([str(n) for n in unheard])} was not logged"


def _is_boosted(pull: Pull, context: Context) -> bool:
    """By what was measured, where the station file does not say."""
    boost = gauge_boost(pull, context.setup)
    return boost is not None and float(boost.value.max()) >= WORTH_JUDGING_KPA


def _boost_needs(pull: Pull, context: Context) -> str:
    target = pull.first(Quantity.BOOST_TARGET)
    if target is None:
        return "log its target"
    if (boost := gauge_boost(pull, context.setup)) is None:
        return "log boost, or manifold and barometric pressure"
    return why_untracked(pull, boost, target)
