"""`pullwatch compare`: what did the change do? Every stage of a stored job against the others."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from analysis.archive.job_comparison import compare_job
from analysis.publish.messages.comparison import ComparisonMessage, comparison_message
from analysis.publish.terminal.tables import comparison_text
from capture.commands.as_json import print_json
from capture.commands.stored_jobs import chosen_job, store_at


def compare(
    where: Annotated[Path, typer.Argument(help="station file, or the folder of a store")],
    job: Annotated[
        int | None, typer.Argument(help="job; without it the one pulls fall into now")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="print one JSON list")] = False,
) -> None:
    """Compare each stage of a job with the first and with the one before.

    With a station file power is computed anew by its car, dyno and air; with a store's folder the
    curves are those that were stored.
    """
    with store_at(where) as (store, station):
        job_id = chosen_job(store, job)
        with Console(stderr=True).status("comparing"):
            comparisons = compare_job(store, job_id, station.setup if station else None)
        name = store.job(job_id).name
    if as_json:
        print_json(ComparisonMessage, [comparison_message(each) for each in comparisons])
        return
    console = Console(markup=False)
    if not comparisons:
        console.print(f"{name}: fewer than two stages with pulls that count.", markup=False)
    for comparison in comparisons:
        console.print(comparison_text(comparison))
