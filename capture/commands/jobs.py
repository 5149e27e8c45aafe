"""`pullwatch jobs`, `pulls`, `recordings`: what the page shows of the archive."""

from rich.console import Console

from analysis.archive.jobs import StoredPull
from analysis.archive.recordings import FOLDER, KeptRecording, kept_recordings
from analysis.publish.terminal.tables import jobs_table, recordings_table, stored_pulls_table
from analysis.publish.wording.summary import JudgedJob, judged_jobs
from capture.commands.as_json import AsJson, print_json
from capture.commands.stored_jobs import JobNumber, Where, chosen_job, store_at


def jobs(where: Where, as_json: AsJson = False) -> None:
    """List the jobs of a store, each with its verdict."""
    with store_at(where) as (store, _):
        found = judged_jobs(store)
    if as_json:
        print_json(JudgedJob, found)
    else:
        Console(markup=False).print(jobs_table(found))


def pulls(where: Where, job: JobNumber = None, as_json: AsJson = False) -> None:
    """List the pulls of a job, with what stands out in each."""
    with store_at(where) as (store, _):
        found = store.pulls(job_id=chosen_job(store, job))
        if as_json:
            print_json(StoredPull, found)
            return
        figures = {pull.id: store.report_of(pull).figures() for pull in found}
    Console(markup=False).print(stored_pulls_table(found, figures))


def recordings(where: Where, as_json: AsJson = False) -> None:
    """List the recordings of a store, with the jobs that own pulls of them."""
    with store_at(where) as (store, _):
        found = kept_recordings(store)
        folder = store.folder / FOLDER
    if as_json:
        print_json(KeptRecording, found)
    else:
        Console(markup=False).print(recordings_table(found))
        Console(soft_wrap=True).print(f"in {folder.resolve()}", markup=False, highlight=False)
