"""A job with everything in it."""

from dataclasses import dataclass

from analysis.archive.jobs import Job, Stage, StoredPull, StoredRefused
from analysis.archive.store import Store


@dataclass(frozen=True, slots=True)
class WholeJob:
    """current_stage_id: of the stage that pulls fall into, which may be another job's."""

    job: Job
    stages: list[Stage]
    current_stage_id: int | None
    pulls: list[StoredPull]
    refused: list[StoredRefused]


def whole_job(store: Store, job_id: int) -> WholeJob:
    """Read a job with everything in it."""
    current = store.current_stage()
    return WholeJob(
        job=store.job(job_id),
        stages=store.stages(job_id),
        current_stage_id=None if current is None else current.id,
        pulls=store.pulls(job_id),
        refused=store.refused(job_id),
    )
