"""A stored job's stages against each other: the first and the one before, excluded pulls out."""

from analysis.archive.store import Store
from analysis.model.setup import Setup
from analysis.power.sweep import sweep_of
from analysis.stages.compare import compare_runs
from analysis.stages.comparison import Comparison
from analysis.stages.curves import Run, run_of


def compare_job(store: Store, job_id: int, setup: Setup | None = None) -> list[Comparison]:
    """Each stage against the first and, from the third on, the one before; a stage without pulls
    is left out.

    Without a setup the torque curves are those that were stored with the pulls. Raises StoreError
    where there is no such job or a pull's file is not what was stored.
    """
    store.job(job_id)
    stages = [(stage.name, stored_runs(store, stage.id, setup)) for stage in store.stages(job_id)]
    return compare_runs([(name, runs) for name, runs in stages if runs])


def stored_runs(store: Store, stage_id: int, setup: Setup | None = None) -> list[Run]:
    """The pulls of a stage that nobody excluded; torque curves as compare_job says."""
    counted = [pull for pull in store.pulls(stage_id=stage_id) if pull.excluded is None]
    reports = [store.report_of(pull) for pull in counted]
    if setup is not None:
        return [run_of(report.pull, setup) for report in reports]
    return [Run(report.pull, sweep_of(report.pull), report.power) for report in reports]
