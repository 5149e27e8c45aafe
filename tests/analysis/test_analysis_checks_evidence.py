"""Healthy only where the driver's demand, knock and boost were judged; and what was lacking."""

from dataclasses import replace

import pytest
from engine_pulls import HEALTHY, Sweep, engine_pull, steady

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.judging.verdict import pull_verdict
from analysis.model.findings import COVERAGE, Finding, Severity
from analysis.model.limits import Limits
from analysis.model.pull import EndReason, Pull
from analysis.model.setup import Car, Ignition, Setup

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
TURBO = Context(Setup(Car(cylinders=4, displacement_l=1.6, boosted=True)))
DIESEL = Context(Setup(Car(cylinders=4, ignition=Ignition.COMPRESSION, boosted=True)))
PLAIN = Context(Setup(Car(cylinders=4)))
KNOCK = tuple(name for name in HEALTHY if name.startswith("retard_"))
BOOST = ("boost", "boost_target", "wastegate")
ENDINGS = {
    EndReason.LIFT: "the driver let go",
    EndReason.LIMITER: "the speed limiter cut in",
    EndReason.GEAR_CHANGE: "the gear was changed",
    EndReason.STALLED: "engine speed no longer rose",
    EndReason.SESSION_END: "the session ended",
    EndReason.SOURCE_LOST: "a source was lost",
}


def judged(pull: Pull, context: Context) -> tuple[Severity, list[str]]:
    """The verdict, and what the evidence finding says."""
    findings = run_checks(pull, LIMITS, context)
    return pull_verdict(findings, pull), [f.text for f in findings if f.check == COVERAGE]


def test_a_whole_log_lacks_nothing() -> None:
    assert judged(engine_pull(), TURBO) == (Severity.HEALTHY, [])


@pytest.mark.parametrize(
    ("without", "context", "words"),
    [
        (KNOCK, TURBO, "knock was not judged (log knock retard)"),
        (("boost_target",), TURBO, "boost was not judged (log its target)"),
        (("boost",), TURBO, "boost was not judged (log boost, or manifold and barometric"),
        (("boost_target",), PLAIN, "boost was not judged"),  # the car shows that it is boosted
        (("pedal", "throttle"), TURBO, "nothing shows what the driver asked for"),
        (("retard_2", "retard_3"), TURBO, "knock retard of cylinders 2 and 3 was not logged"),
    ],
)
def test_without_what_matters_most_no_pull_is_healthy(
    without: tuple[str, ...], context: Context, words: str
) -> None:
    verdict, (said,) = judged(engine_pull(without=without), context)
    assert verdict is Severity.NOTE
    assert words in said
    assert "What was judged is well: " in said


@pytest.mark.parametrize(
    ("without", "context"),
    [
        ((*KNOCK, "exhaust"), DIESEL),  # no knock control (and a spark engine's exhaust)
        (BOOST, PLAIN),  # no turbo
        (("throttle",), TURBO),  # the pedal shows full load
        (("lambda", "coolant", "oil", "roller", "wheels"), TURBO),  # said by their own checks
    ],
)
def test_what_this_engine_does_not_need_is_not_missed(
    without: tuple[str, ...], context: Context
) -> None:
    assert judged(engine_pull(without=without), context) == (Severity.HEALTHY, [])


def test_every_lack_is_said_at_once() -> None:
    only = tuple(name for name in HEALTHY if name not in ("engine_speed", "pedal", "lambda"))
    verdict, (said,) = judged(engine_pull(without=only), TURBO)
    assert verdict is Severity.NOTE
    assert "knock was not judged" in said
    assert "boost was not judged" in said


@pytest.mark.parametrize("reason", EndReason)
def test_a_pull_broken_off_says_so(reason: EndReason) -> None:
    pull = engine_pull(sweep=Sweep(complete=False))
    verdict, (said,) = judged(replace(pull, bounds=replace(pull.bounds, end_reason=reason)), TURBO)
    assert verdict is Severity.NOTE
    assert f"the pull is incomplete ({ENDINGS[reason]} at 6,500 rpm)" in said


def test_a_fault_stands_for_itself() -> None:
    pull = engine_pull({"coolant": steady(112.0)}, without=KNOCK)
    findings: tuple[Finding, ...] = run_checks(pull, LIMITS, TURBO)
    assert pull_verdict(findings, pull) is Severity.LOOK_CLOSER
    assert not [f for f in findings if f.check == COVERAGE]
