"""`pullwatch analyse`: the pipeline of the bay over a recording or a table."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from analysis.judging.analyse_pull import analyse_pull
from analysis.judging.limits_file import default_limits, load_limits
from analysis.judging.pull_report import PullReport
from analysis.model.limits import Limits
from analysis.model.pull import Refused
from analysis.model.setup import Setup
from analysis.publish.messages.analysis import analysis_message
from analysis.publish.terminal.tables import (
    budgets_text,
    findings_table,
    pulls_table,
    refused_table,
)
from analysis.session.analysis import SessionAnalysis, replay
from capture.commands.map_for import map_for
from capture.commands.warnings import print_table_notes, warn_of_mismatches, warn_of_torn_recording
from capture.recording.any_recording import open_recording
from capture.recording.reader import Recording
from capture.station.station import load_station
from decode.channel_map import ChannelMap


def analyse(
    file: Annotated[Path, typer.Argument(help="a recording, a CAN log or a table")],
    map_file: Annotated[
        Path | None, typer.Option("--map", help="channel map; a recording carries its own")
    ] = None,
    limits_file: Annotated[
        Path | None, typer.Option("--limits", help="limits file over the defaults")
    ] = None,
    station_file: Annotated[
        Path | None, typer.Option("--station", help="station file: car, dyno and air")
    ] = None,
    budget: Annotated[
        bool, typer.Option("--uncertainty", help="where the ± of power and torque comes from")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="print one JSON document")] = False,
) -> None:
    """Find the pulls of a recording or a table and say what each tells."""
    recording = open_recording(file)
    channel_map = map_for(recording, file, map_file)
    print_table_notes(recording)
    warn_of_mismatches(channel_map, recording.session)
    setup = load_station(station_file).setup if station_file else Setup()
    limits = load_limits(limits_file) if limits_file else default_limits()
    with Console(stderr=True).status(f"reading {file.name}"):
        reports, refused = analyse_recording(recording, channel_map, limits, setup)
    warn_of_torn_recording(recording)
    if as_json:
        typer.echo(analysis_message(reports, refused).model_dump_json(indent=2))
        return
    console = Console(markup=False)
    console.print(pulls_table(reports))
    for report in reports:
        console.print(findings_table(f"Pull {report.pull.number}", report.findings))
    if budget:
        console.print(budgets_text(reports))
    if refused:
        console.print(refused_table(refused))


def analyse_recording(
    recording: Recording,
    channel_map: ChannelMap,
    limits: Limits,
    setup: Setup,
) -> tuple[list[PullReport], list[Refused]]:
    """Every pull of a recording, analysed, and every candidate that was refused."""
    session = SessionAnalysis(recording.session, channel_map, limits, setup)
    reports: list[PullReport] = []
    refused: list[Refused] = []
    for step in replay(session, recording.batches()):
        refused += step.refused
        reports += [analyse_pull(c.pull, limits, c.context) for c in step.pulls]
    return reports, refused
