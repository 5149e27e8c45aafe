"""`pullwatch`: the command line; each command is one file in capture/commands/."""

import sys

import typer
from rich.console import Console

from capture.commands import (
    analyse,
    compare,
    demo,
    export,
    init,
    jobs,
    limits,
    map_files,
    run,
    sign,
    watch,
)
from decode.errors import InputFileError, PullwatchError

app = typer.Typer(
    name="pullwatch",
    help="Records engine and dyno data beside the car, finds every wide-open-throttle pull by "
    "itself and says whether the engine is healthy while making its power.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)

for command in (
    demo.demo,
    init.init,
    run.run,
    analyse.analyse,
    watch.watch,
    jobs.jobs,
    jobs.pulls,
    jobs.recordings,
    compare.compare,
    jobs.report,
    export.export,
    limits.limits,
    sign.sign,
    sign.verify,
):
    app.command()(command)
app.add_typer(map_files.app, name="map")


def main() -> None:
    """Run one command; an error meant for the user is printed without a stack trace."""
    try:
        app()
    except InputFileError as error:
        Console(stderr=True, soft_wrap=True).print(str(error), markup=False, highlight=False)
        sys.exit(2)
    except PullwatchError as error:
        Console(stderr=True, soft_wrap=True).print(f"pullwatch: {error}", markup=False)
        sys.exit(1)
