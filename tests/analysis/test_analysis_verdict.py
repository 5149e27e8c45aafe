import pytest
from engine_pulls import Sweep, engine_pull

from analysis.judging.verdict import job_verdict, pull_verdict, stage_verdict
from analysis.model.findings import Finding, Severity
from analysis.phrases.say import as_written

GOOD = Finding("boost", Severity.HEALTHY, (as_written("followed"),))
GOOD_DATA = Finding("data_quality", Severity.HEALTHY, (as_written("no gaps"),))
NOTED = Finding("turbo", Severity.NOTE, (as_written("not judged"),))
BAD_DATA = Finding("data_quality", Severity.LOOK_CLOSER, (as_written("stuck"),))
STOP = Finding("mixture", Severity.STOP, (as_written("lean"),))


@pytest.mark.parametrize(
    ("findings", "verdict"),
    [
        ([GOOD, GOOD_DATA, NOTED], Severity.HEALTHY),
        ([GOOD, BAD_DATA], Severity.LOOK_CLOSER),
        ([GOOD, BAD_DATA, STOP], Severity.STOP),
        ([GOOD_DATA, NOTED], Severity.NOTE),
        ([NOTED], Severity.NOTE),
        ([], Severity.NOTE),
    ],
)
def test_a_pull_is_its_worst_finding_and_healthy_only_if_something_was_judged(
    findings: list[Finding], verdict: Severity
) -> None:
    assert pull_verdict(findings, engine_pull()) is verdict


def test_an_aborted_pull_is_never_healthy_but_may_be_worse() -> None:
    aborted = engine_pull(sweep=Sweep(complete=False))
    assert pull_verdict([GOOD], aborted) is Severity.NOTE
    assert pull_verdict([GOOD, STOP], aborted) is Severity.STOP


def test_a_stage_is_its_worst_pull() -> None:
    assert stage_verdict([Severity.HEALTHY, Severity.NOTE]) is Severity.HEALTHY
    assert stage_verdict([Severity.HEALTHY, Severity.LOOK_CLOSER]) is Severity.LOOK_CLOSER
    assert stage_verdict([]) is Severity.NOTE


def test_a_job_is_what_its_last_stage_is() -> None:
    assert job_verdict([Severity.LOOK_CLOSER, Severity.HEALTHY]) is Severity.HEALTHY
    assert job_verdict([Severity.HEALTHY, Severity.STOP]) is Severity.STOP
    assert job_verdict([Severity.HEALTHY, stage_verdict([])]) is Severity.NOTE
    assert job_verdict([]) is Severity.NOTE


def test_stop_is_worse_than_look_closer_than_healthy_than_a_note() -> None:
    order = [Severity.NOTE, Severity.HEALTHY, Severity.LOOK_CLOSER, Severity.STOP]
    shuffled = [order[2], order[0], order[3], order[1]]
    assert sorted(shuffled, key=lambda severity: severity.rank) == order
    assert [severity.is_trouble for severity in order] == [False, False, True, True]
