"""`pullwatch report`: the report of a stored job as a file."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from analysis.archive.jobs import StoreError
from analysis.model.setup import Setup
from analysis.phrases.reader import Reader
from analysis.phrases.table import ENGLISH, Language
from analysis.publish.report.document import render_report
from analysis.publish.report.pdf import report_pdf
from capture.commands.as_json import AsJson, print_document
from capture.commands.stored_jobs import JobNumber, Where, chosen_job, store_at


def report(
    where: Where,
    job: JobNumber = None,
    output: Annotated[Path, typer.Option("--output", "-o", help=".html or .pdf")] = Path(
        "report.html"
    ),
    language: Annotated[
        Language | None, typer.Option(help="of the report; else that of the station file")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Write the report of a job: two pages for the customer and a technical annex."""
    with store_at(where) as (store, station):
        setup = station.setup if station else Setup()
        letterhead = station.letterhead if station else None
        chosen = language or (station.language if station else ENGLISH)
        job_id = chosen_job(store, job)
        with Console(stderr=True).status(f"writing {output.name}"):
            html = render_report(
                store, job_id, setup, Reader(language=chosen), letterhead=letterhead
            )
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
