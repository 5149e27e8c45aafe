"""`pullwatch`: the command line; each command is one file in capture/commands/, loaded when run."""

import sys
from typing import Annotated

import typer

from capture.commands import map_files
from capture.commands.lazy_group import Listed, lazy_group
from decode.errors import InputFileError, PullwatchError
from decode.on_first_use import on_first_use

metadata = on_first_use("importlib.metadata")  # half of what a start costs, only for --version

app = typer.Typer(
    name="pullwatch",
    help="Records engine and dyno data beside the car, finds every wide-open-throttle pull by "
    "itself and says whether the engine is healthy while making its power.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    cls=lazy_group(
        Listed(
            "demo",
            "capture.commands.demo:demo",
            "Play an invented job: a simulated car, six pulls, one real trouble, and the evidence.",
        ),
        Listed(
            "init",
            "capture.commands.init:init",
            "Write a commented station file and channel map; list serial ports and CAN interfaces.",
        ),
        Listed(
            "run",
            "capture.commands.run:run",
            "Record, find pulls, alert and judge until Ctrl+C.",
        ),
        Listed(
            "analyse",
            "capture.commands.analyse:analyse",
            "Find the pulls of a recording or a table and say what each tells.",
        ),
        Listed(
            "watch",
            "capture.commands.watch:watch",
            "Watch a station live in the terminal, until Ctrl+C.",
        ),
        Listed(
            "jobs",
            "capture.commands.jobs:jobs",
            "List the jobs of a store, each with its verdict.",
        ),
        Listed(
            "pulls",
            "capture.commands.jobs:pulls",
            "List the pulls of a job, with what stands out in each.",
        ),
        Listed(
            "recordings",
            "capture.commands.jobs:recordings",
            "List the recordings of a store, with the jobs that own pulls of them.",
        ),
        Listed(
            "compare",
            "capture.commands.compare:compare",
            "Compare each stage of a job with the first and with the one before.",
        ),
        Listed(
            "report",
            "capture.commands.report:report",
            "Write the report of a job: two pages for the customer and a technical annex.",
        ),
        Listed(
            "export",
            "capture.commands.export:export",
            "Write every decoded channel of a recording as CSV, Parquet or MDF4.",
        ),
        Listed(
            "limits",
            "capture.commands.limits:limits",
            "List every limit a limits file can change, with its default and its origin.",
        ),
        Listed(
            "sign",
            "capture.commands.sign:sign",
            "Sign a job as it is: pulls, findings, map, limits and version, frozen by their hash.",
        ),
        Listed(
            "verify",
            "capture.commands.sign:verify",
            "Say of every signature whether what was signed is unchanged; exit code 1 where it is "
            "not.",
        ),
    ),
)
app.add_typer(map_files.app, name="map")


def _print_version(asked: bool) -> None:
    if asked:
        typer.echo(f"pullwatch {metadata.version('pullwatch')}")
        raise typer.Exit


@app.callback()
def options(
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_print_version, is_eager=True, help="Print the version and exit."
        ),
    ] = False,
) -> None:
    """What `pullwatch` takes before a command."""


def main() -> None:
    """Run one command; an error meant for the user is printed without a stack trace."""
    try:
        app()
    except InputFileError as error:
        typer.echo(str(error), err=True)
        sys.exit(2)
    except PullwatchError as error:
        typer.echo(f"pullwatch: {error}", err=True)
        sys.exit(1)
