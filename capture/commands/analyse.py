"""`pullwatch analyse`: the pipeline of the bay over a recording or a table."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from analysis.judging.analyse_pull import analyse_pull
from analysis.judging.limits_file import default_limits, load_limits
from analysis.judging.pull_report import PullReport
from analysis.model.events import Alert
from analysis.model.limits import Limits
from analysis.model.pull import Refused
from analysis.model.setup import Setup
from analysis.publish.messages.analysis import SoundedAlert, analysis_message, sounded
from analysis.publish.terminal.tables import (
    alerts_table,
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
        found = analyse_recording(recording, channel_map, limits, setup)
    warn_of_torn_recording(recording)
    if as_json:
        message = analysis_message(found.reports, found.refused, found.alerts)
        typer.echo(message.model_dump_json(indent=2))
        return
    console = Console(markup=False)
    console.print(pulls_table(found.reports))
    for report in found.reports:
        console.print(findings_table(f"Pull {report.pull.number}", report.findings))
    if budget:
        console.print(budgets_text(found.reports))
    if found.alerts:
        console.print(alerts_table(found.alerts))
    if found.refused:
        console.print(refused_table(found.refused))


@dataclass(frozen=True, slots=True)
class Analysed:
    """Every pull of a recording, every candidate that was refused, and what would have sounded."""

    reports: Sequence[PullReport]
    refused: Sequence[Refused]
    alerts: Sequence[SoundedAlert]


def analyse_recording(
    recording: Recording,
    channel_map: ChannelMap,
    limits: Limits,
    setup: Setup,
) -> Analysed:
    """All of a recording, as the bay would have judged it."""
    session = SessionAnalysis(recording.session, channel_map, limits, setup)
    reports: list[PullReport] = []
    refused: list[Refused] = []
    alerts: list[Alert] = []
    for step in replay(session, recording.batches()):
        refused += step.refused
        alerts += step.alerts
        reports += [analyse_pull(c.pull, limits, c.context) for c in step.pulls]
    return Analysed(reports, refused, sounded(alerts, reports))
