"""A pull or a job in one line: the finding that matters most, and the verdict."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from analysis.archive.jobs import Job, PullMark, Stage, StoredPull
from analysis.archive.store import Store
from analysis.judging.verdict import job_verdict, stage_verdict
from analysis.model.findings import Finding, Severity, lack_of
from analysis.phrases.say import say
from analysis.phrases.statement import Statement


def headline(pull: StoredPull) -> tuple[Statement, ...]:
    """What the finding says that made the verdict."""
    return headline_of(pull.findings, pull.verdict)


def headline_of(findings: Sequence[Finding], verdict: Severity) -> tuple[Statement, ...]:
    """What the finding says that made the verdict; of several, the most telling one, which the
    checks put first. Of a pull that was not judged, what was missing."""
    if verdict is Severity.HEALTHY:
        return (say("headline-healthy"),)
    if verdict is Severity.NOTE:
        lack = lack_of(findings)
        return (say("headline-too-little-seen"),) if lack is None else lack.statements
    return next(finding.statements for finding in findings if finding.severity is verdict)


@dataclass(frozen=True, slots=True)
class JudgedJob:
    """A job, its stages, how many pulls it has, excluded ones too, and how the car leaves."""

    job: Job
    stages: tuple[Stage, ...]
    pulls: int
    verdict: Severity


def judged_jobs(store: Store) -> list[JudgedJob]:
    """Every job of the store with its verdict."""
    pulls: dict[int, list[PullMark]] = defaultdict(list)
    for mark in store.pull_marks():
        pulls[mark.job_id].append(mark)
    return [_judged(job, store.stages(job.id), pulls[job.id]) for job in store.jobs()]


def _judged(job: Job, stages: Sequence[Stage], pulls: Sequence[PullMark]) -> JudgedJob:
    return JudgedJob(job, tuple(stages), len(pulls), verdict_of_job(stages, pulls))


def verdict_of_job(
    stages: Sequence[Stage], pulls: Sequence[StoredPull] | Sequence[PullMark]
) -> Severity:
    """How the car leaves, by the last stage with a pull that counts; stages in their order."""
    counted = [
        [pull.verdict for pull in pulls if pull.stage_id == stage.id and pull.excluded is None]
        for stage in stages
    ]
    return job_verdict([stage_verdict(verdicts) for verdicts in counted if verdicts])
