"""Healthy only where the driver's demand, knock and boost were judged; and what was lacking."""

from dataclasses import replace

import pytest
from engine_pulls import HEALTHY, Shape, Sweep, by_rpm, engine_pull, steady

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.judging.verdict import pull_verdict
from analysis.model.findings import COVERAGE, Finding, Severity
from analysis.model.limits import Limits
from analysis.model.pull import EndReason, Pull
from analysis.model.setup import Car, Ignition, Setup
from decode.quantities import Quantity
from decode.samples import Channel, Samples

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


def changed_for(context: Context) -> dict[str, Shape]:
    """A diesel's exhaust is cooler."""
    return {"exhaust": by_rpm((1500, 450), (6500, 720))} if context is DIESEL else {}


def test_where_no_compressor_feeds_it_timing_says_as_much_as_knock() -> None:
    pull = engine_pull(without=(*KNOCK, *BOOST))
    speed = pull.samples["engine_speed"]
    timing = Channel("timing", "deg", Quantity.IGNITION_TIMING)
    with_timing = replace(
        pull,
        channels={**pull.channels, "timing": timing},
        samples={**pull.samples, "timing": Samples(speed.time_s, speed.value / 250.0)},
    )
    assert judged(with_timing, PLAIN) == (Severity.HEALTHY, [])
    assert judged(with_timing, TURBO)[0] is Severity.NOTE


def test_a_whole_log_lacks_nothing() -> None:
    assert judged(engine_pull(), TURBO) == (Severity.HEALTHY, [])


@pytest.mark.parametrize(
    ("without", "context", "words"),
    [
        (KNOCK, TURBO, "knock was not judged (log knock retard)"),
        (("lambda",), TURBO, "mixture was not judged (log lambda)"),
        (("lambda",), PLAIN, "mixture was not judged (log lambda)"),
        ((*KNOCK, *BOOST), PLAIN, "neither knock nor timing was judged (log knock retard, or"),
        (("rail",), DIESEL, "rail pressure was not judged (log it and its target)"),
        (("lambda", "exhaust"), DIESEL, "neither mixture nor exhaust temperature was judged"),
        (("boost_target",), DIESEL, "boost was not judged (log its target)"),
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
    verdict, (said,) = judged(engine_pull(changed_for(context), without), context)
    assert verdict is Severity.NOTE
    assert words in said
    assert "What was judged is well: " in said


@pytest.mark.parametrize(
    ("without", "context"),
    [
        ((*KNOCK, "exhaust"), DIESEL),  # no knock control; the mixture says enough
        (BOOST, PLAIN),  # no turbo
        (("throttle",), TURBO),  # the pedal shows full load
        (("coolant", "oil", "roller", "wheels"), TURBO),  # said by their own checks
        (("lambda", "lambda_target"), DIESEL),  # exhaust temperature tells as much
        ((*BOOST, "rail", "rail_target"), PLAIN),
    ],
)
def test_what_this_engine_does_not_need_is_not_missed(
    without: tuple[str, ...], context: Context
) -> None:
    pull = engine_pull(changed_for(context), without)
    assert judged(pull, context) == (Severity.HEALTHY, [])


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
