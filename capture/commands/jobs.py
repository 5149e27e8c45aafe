"""`pullwatch jobs`, `pulls`, `recordings`, `report`: what the page shows of the archive."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from analysis.archive.jobs import StoreError
from analysis.archive.recordings import FOLDER, kept_recordings
from analysis.model.setup import Setup
from analysis.publish.report.document import render_report
from analysis.publish.report.pdf import report_pdf
from analysis.publish.terminal.tables import jobs_table, recordings_table, stored_pulls_table
from analysis.publish.wording.summary import judged_jobs
from capture.commands.as_json import AsJson, print_document, print_json
from capture.commands.stored_jobs import chosen_job, store_at

Where = Annotated[Path, typer.Argument(help="station file, or the folder of a store")]
JobNumber = Annotated[
    int | None, typer.Argument(help="job; without it the one pulls fall into now")
]


def jobs(where: Where, as_json: AsJson = False) -> None:
    """List the jobs of a store, each with its verdict."""
    with store_at(where) as (store, _):
        found = judged_jobs(store)
    if as_json:
        print_json(found)
    else:
        Console(markup=False).print(jobs_table(found))


def pulls(where: Where, job: JobNumber = None, as_json: AsJson = False) -> None:
    """List the pulls of a job, with what stands out in each."""
    with store_at(where) as (store, _):
        found = store.pulls(job_id=chosen_job(store, job))
    if as_json:
        print_json(found)
    else:
        Console(markup=False).print(stored_pulls_table(found))


def recordings(where: Where, as_json: AsJson = False) -> None:
    """List the recordings of a store, with the jobs that own pulls of them."""
    with store_at(where) as (store, _):
        found = kept_recordings(store)
        folder = store.folder / FOLDER
    if as_json:
        print_json(found)
    else:
        Console(markup=False).print(recordings_table(found))
        Console(soft_wrap=True).print(f"in {folder.resolve()}", markup=False, highlight=False)


def report(
    where: Where,
    job: JobNumber = None,
    output: Annotated[Path, typer.Option("--output", "-o", help=".html or .pdf")] = Path(
        "report.html"
    ),
    as_json: AsJson = False,
) -> None:
    """Write the report of a job: two pages for the customer and a technical annex."""
    with store_at(where) as (store, station):
        setup = station.setup if station else Setup()
        letterhead = station.letterhead if station else None
        job_id = chosen_job(store, job)
        with Console(stderr=True).status(f"writing {output.name}"):
            html = render_report(store, job_id, setup, letterhead=letterhead)
            content = report_pdf(html) if output.suffix == ".pdf" else html.encode()
    try:
        with output.open("xb") as file:
            file.write(content)
    except OSError as error:
        raise StoreError(f"the report cannot be written to {output}: {error.strerror}") from error
    if as_json:
        print_document({"job": job_id, "report": output.resolve()})
    else:
        Console().print(f"Report: {output.resolve()}", markup=False)
