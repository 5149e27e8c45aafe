"""Every cause on a simulated pull, and simulated healthy cars: one each here, thousands in
tests/benchmarks/causes.py."""

import random
from dataclasses import replace
from functools import cache

import pytest
from simulated_pulls import SIMULATED, Judged, judged_pulls, random_scenario

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.judging.verdict import pull_verdict
from analysis.model.findings import Cause, Finding, Severity
from analysis.model.limits import Limits

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
SEVERE = 1.0
CLEAR = 0.6


@cache
def judged(seed: int, causes: tuple[Cause, ...] = (), severity: float = 0.0) -> Judged:
    """The first pull of a session: one sweep is all these tests have time for."""
    scenario = random_scenario(random.Random(seed), causes, severity)
    return judged_pulls(replace(scenario, plan=scenario.plan[:1]), seed)[0]


def findings_of(given: Judged) -> tuple[Finding, ...]:
    return run_checks(given.pull, LIMITS, given.context)


# A car that has never had its torque does not show that its exhaust is held up: the check of torque
# asks for an earlier pull (test_analysis_checks_against_earlier.py).
IN_ONE_PULL = [cause for cause in SIMULATED if cause is not Cause.RESTRICTED_EXHAUST]


@pytest.mark.parametrize("cause", IN_ONE_PULL)
def test_a_severe_fault_is_named_first(cause: Cause) -> None:
    given = judged(31, (cause,), SEVERE)
    findings = findings_of(given)
    assert findings[0].cause is cause
    assert findings[0].settled_by
    assert findings[0].limit_origin
    assert pull_verdict(findings, given.pull) in (Severity.LOOK_CLOSER, Severity.STOP)


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_a_healthy_car_is_healthy(seed: int) -> None:
    given = judged(seed)
    findings = findings_of(given)
    assert pull_verdict(findings, given.pull) is Severity.HEALTHY
    assert all(f.cause is None for f in findings)


@pytest.mark.parametrize(
    "faults",
    [
        (Cause.SINGLE_CYLINDER_KNOCK, Cause.WEAK_LOW_PRESSURE_FUEL_PUMP),
        (Cause.TYRE_SLIP, Cause.CLOCK_OFFSET),  # slip shows once the clocks are brought together
    ],
)
def test_two_faults_at_once_are_both_among_the_first_three(faults: tuple[Cause, ...]) -> None:
    findings = findings_of(judged(12, faults, CLEAR))
    named = list(dict.fromkeys(f.cause for f in findings if f.cause is not None))
    assert set(faults) <= set(named[:3])


def test_a_closure_stands_behind_what_brought_it_about() -> None:
    findings = findings_of(judged(31, (Cause.WASTEGATE_STUCK_CLOSED,), SEVERE))
    named = list(dict.fromkeys(f.cause for f in findings if f.cause is not None))
    assert named.index(Cause.WASTEGATE_STUCK_CLOSED) < named.index(
        Cause.PROTECTIVE_THROTTLE_CLOSURE
    )
