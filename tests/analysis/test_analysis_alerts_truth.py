"""A small share of tests/benchmarks/alerts.py: alerts held against the physics."""

from functools import cache

import pytest
from alert_truth import Outcome, faulty, healthy, play, silenced

from analysis.model.events import AlertKind
from analysis.model.findings import Cause, Severity

# Each seed draws a severity at which the fault's own alert is owed.
WITH_FAULTS = {
    Cause.LOW_OCTANE_FUEL: 1,
    Cause.SINGLE_CYLINDER_KNOCK: 0,
    Cause.WASTEGATE_STUCK_CLOSED: 1,
    Cause.INJECTOR_LIMIT: 9,
    Cause.WEAK_LOW_PRESSURE_FUEL_PUMP: 0,
    Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP: 0,
    Cause.OVERHEATING: 0,
}


@cache
def played(cause: Cause) -> Outcome:
    return play(faulty(cause, WITH_FAULTS[cause]), judge=True)


@pytest.mark.parametrize("seed", range(4))
def test_a_healthy_pull_raises_nothing(seed: int) -> None:
    outcome = play(healthy(seed))
    assert outcome.pulls == 1
    assert outcome.raised == []


@pytest.mark.parametrize("cause", WITH_FAULTS)
def test_what_is_owed_comes_and_nothing_else(cause: Cause) -> None:
    outcome = played(cause)
    assert outcome.owed, "the case proves nothing"
    assert outcome.missed == []
    assert outcome.false == []


def test_every_kind_that_a_fault_can_bring_is_owed_somewhere() -> None:
    assert {kind for cause in WITH_FAULTS for kind in played(cause).owed} == {
        AlertKind.KNOCK_RETARD,
        AlertKind.LEAN_UNDER_BOOST,
        AlertKind.OVER_BOOST,
        AlertKind.LOW_FUEL_PRESSURE,
        AlertKind.OVERHEATING,
    }


@pytest.mark.parametrize("what", ["source", "channel"])
def test_silence_is_told_within_a_fifth_of_a_second_of_its_limit(what: str) -> None:
    outcome = play(silenced(what, 0))
    assert outcome.missed == []
    assert outcome.false == []
    (late_s,) = [s for found in outcome.delays_s.values() for s in found]
    assert 0.0 <= late_s < 0.2


def test_a_knocking_cylinder_is_told_within_a_fifth_of_a_second_of_lasting() -> None:
    outcome = played(Cause.SINGLE_CYLINDER_KNOCK)
    assert all(s < 0.2 for s in outcome.delays_s[AlertKind.KNOCK_RETARD])


@pytest.mark.parametrize("cause", WITH_FAULTS)
def test_what_was_a_stop_inside_the_pull_is_a_stop_in_its_verdict(cause: Cause) -> None:
    outcome = played(cause)
    if outcome.stopped_live:
        assert outcome.verdict is Severity.STOP


def test_some_fault_is_a_stop_in_the_pull() -> None:
    assert any(played(cause).stopped_live for cause in WITH_FAULTS)
