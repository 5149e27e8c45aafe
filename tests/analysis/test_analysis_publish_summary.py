"""A pull and a job in one line."""

from pathlib import Path

import demo_job

from analysis.model.findings import COVERAGE, Finding, Severity
from analysis.phrases.say import as_written
from analysis.publish.wording.summary import headline_of, judged_jobs, verdict_of_job


def test_a_pull_that_was_not_judged_says_what_was_missing() -> None:
    lacking = Finding(
        COVERAGE, Severity.NOTE, (as_written("Knock was not judged (log knock retard)."),)
    )
    warm = Finding("air_temperatures", Severity.NOTE, (as_written("Warm."),))
    assert headline_of([warm, lacking], Severity.NOTE) == lacking.statements
    (too_little,) = headline_of([warm], Severity.NOTE)
    assert too_little.text == "Too little was seen to judge it."


def test_a_job_is_judged_by_its_last_stage_with_a_pull_that_counts(tmp_path: Path) -> None:
    with demo_job.fill(tmp_path) as store:
        (as_driven,) = judged_jobs(store)
        for pull in store.pulls(job_id=1):
            if pull.stage_id == store.stages(1)[-1].id:
                store.exclude_pull(pull.id, "another car")
        (without_the_last,) = judged_jobs(store)
    assert as_driven.verdict is not Severity.HEALTHY  # a cylinder knocks in the second stage
    assert without_the_last.verdict is Severity.HEALTHY
    assert [stage.name for stage in as_driven.stages] == ["baseline", "larger cooler, more boost"]
    assert as_driven.pulls == without_the_last.pulls == 6


def test_a_list_of_jobs_is_judged_as_each_job_alone(tmp_path: Path) -> None:
    with demo_job.fill(tmp_path) as store:
        store.open_job("nothing yet")
        for judged in judged_jobs(store):
            pulls = store.pulls(job_id=judged.job.id)
            assert judged.verdict is verdict_of_job(store.stages(judged.job.id), pulls)
            assert judged.pulls == len(pulls)
