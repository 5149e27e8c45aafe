"""`pullwatch demo`: the real bay beside a simulated car, held against the simulator's truth."""

import asyncio
import contextlib
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from importlib.resources import files
from pathlib import Path
from string import Template
from typing import Annotated, Final

import aiomqtt
import numpy as np
import typer
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from analysis.archive.jobs import Stage
from analysis.judging.pull_report import PullReport
from analysis.model.events import Alert, AlertState
from analysis.publish.messages.station import (
    AlertMessage,
    StationMessage,
    VerdictMessage,
    read_message,
)
from analysis.publish.page.bay_control import enter_stage
from analysis.publish.report.document import render_report
from analysis.publish.terminal.tables import comparison_text, findings_table, pulls_table
from analysis.stages.compare import compare_stages
from capture.bay.bay import Bay
from capture.bay.opening import open_bay
from capture.commands.car_messages import Driven, Ports, StageDone, Truth, TruthTold
from capture.commands.demo_truth import (
    Held,
    device_zero_s,
    held_table,
    hold_against_truth,
)
from capture.commands.new_files import make_folder
from capture.commands.run_loop import run_loop
from capture.commands.simulated_car import SimulatedCar
from capture.station.station import load_station
from decode.on_first_use import load_all
from decode.operator_records import AlertAcknowledged

FASTER: Final = 8.0  # two and a half minutes on the dyno in about twenty seconds
PULLS: Final = 3  # in each stage
WAIT_FOR_PULLS_S: Final = 60.0  # real seconds: a busy machine takes long for a stage's last pull


def demo(
    real_time: Annotated[bool, typer.Option("--real-time", help="run at true speed")] = False,
    keep: Annotated[bool, typer.Option("--keep", help="leave the page up until Ctrl+C")] = False,
    folder: Annotated[
        Path, typer.Option(help="where the demo keeps its store and its report")
    ] = Path("pullwatch-demo"),
    broker: Annotated[
        str, typer.Option(help="HOST:PORT of an MQTT broker; without it one runs in the demo")
    ] = "",
) -> None:
    """Play an invented job: a simulated car, six pulls, one real trouble, and the evidence."""
    place = folder / f"{datetime.now():%Y%m%d-%H%M%S}"
    make_folder(place)
    console = Console()
    outcome: list[bool] = []
    speed = 1.0 if real_time else FASTER
    load_all()  # as `pullwatch run` does
    with contextlib.suppress(KeyboardInterrupt):  # how --keep ends
        run_loop(_demo(_DemoSettings(place, speed, keep, broker), console, outcome))
    raise typer.Exit(0 if all(outcome) and outcome else 1)


@dataclass(frozen=True)
class _DemoSettings:
    """What the user asked for."""

    place: Path
    speed: float
    keep: bool
    broker: str


@dataclass
class _ReceivedMessages:
    """What an MQTT subscriber was told, as a lamp or another program in the workshop would be."""

    alerts: list[Alert] = field(default_factory=list)
    alert_latency_ms: list[float] = field(default_factory=list)
    verdicts: int = 0
    changed: asyncio.Event = field(default_factory=asyncio.Event)

    def take(self, bay: Bay, message: StationMessage, heard_unix_ns: int) -> None:
        if isinstance(message, AlertMessage) and message.alert.state is not AlertState.CLEARED:
            self.alerts.append(message.alert)
            if message.record_arrived_unix_ns is not None:
                late_ns = heard_unix_ns - message.record_arrived_unix_ns
                self.alert_latency_ms.append(late_ns / 1e6)
        elif isinstance(message, VerdictMessage):
            self.verdicts += 1
            self.changed.set()
            for alert in bay.live.alerts:  # the calibrator looks, and says so
                bay.record(AlertAcknowledged(key=alert.key))

    async def wait_for_verdicts(self, count: int) -> None:
        async with asyncio.timeout(WAIT_FOR_PULLS_S):
            while self.verdicts < count:
                self.changed.clear()
                await self.changed.wait()


async def _demo(settings: _DemoSettings, console: Console, outcome: list[bool]) -> None:
    async with SimulatedCar(settings.speed) as car:
        station = _write_station(settings, await car.opened_ports())
        async with open_bay(load_station(station)) as bay, asyncio.TaskGroup() as group:
            heard = _ReceivedMessages()
            listener = group.create_task(_listen(bay, heard), name="listener")
            try:
                truth = await _play(bay, car, heard, console)
                held = await asyncio.to_thread(
                    _print_outcome, bay, settings.place, truth, heard, console
                )
                outcome += [each.agrees for each in held]
                if settings.keep:
                    console.print("The page stays up; Ctrl+C ends it.")
                    await asyncio.Event().wait()
            finally:
                listener.cancel()


async def _listen(bay: Bay, heard: _ReceivedMessages) -> None:
    assert bay.broker is not None, "the demo's station has a broker"
    async with aiomqtt.Client(bay.broker.host, bay.broker.port) as client:
        await client.subscribe("pullwatch/#", qos=1)
        async for message in client.messages:
            heard_unix_ns, topic = time.time_ns(), message.topic.value.rsplit("/", 1)[-1]
            heard.take(bay, read_message(topic, bytes(message.payload)), heard_unix_ns)


async def _play(bay: Bay, car: SimulatedCar, heard: _ReceivedMessages, console: Console) -> Truth:
    """Follow the car through its stages, as the calibrator would; returns the truth."""
    columns = (TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=console, transient=True) as progress:
        bar = progress.add_task("starting", total=1.0)
        stages_done = 0
        async for message in car.messages():
            match message:
                case Driven():
                    progress.update(bar, completed=message.progress, description=message.stage)
                case StageDone():
                    stages_done += 1
                    await heard.wait_for_verdicts(stages_done * PULLS)
                    if stages_done == 1:
                        await _change_the_car(bay)
                    car.send_command("next" if stages_done == 1 else "end")
                case TruthTold():
                    return message.truth
    raise AssertionError("the car's messages end with the truth or with an error")


async def _change_the_car(bay: Bay) -> None:
    """Open the second stage, as the page does when the calibrator says so."""

    def change() -> None:
        (job,) = bay.store.jobs()
        stage = bay.store.open_stage(
            job.id, "calibration A", "more boost in the middle, a little more ignition"
        )
        enter_stage(bay, stage)

    await asyncio.to_thread(change)


def _print_outcome(
    bay: Bay, place: Path, truth: Truth, heard: _ReceivedMessages, console: Console
) -> list[Held]:
    """Print what was found, write the report, hold all against the truth."""
    (job,) = bay.store.jobs()
    stages = bay.store.stages(job.id)
    reports = [_reports(bay, stage) for stage in stages]
    setup = bay.setup
    before, after = ([report.pull for report in each] for each in reports)
    comparison = compare_stages(before, after, setup, (stages[0].name, stages[1].name))
    for stage, found in zip(stages, reports, strict=True):
        console.rule(f"Stage: {stage.name}")
        console.print(pulls_table(found))
        for report in found:
            if serious := [f for f in report.findings if f.severity.is_trouble]:
                console.print(findings_table(f"Pull {report.pull.number}", serious))
    console.rule(f"{stages[1].name} against {stages[0].name}")
    console.print(comparison_text(comparison))
    (place / "truth.json").write_text(truth.model_dump_json(), encoding="utf-8")
    report_file = place / "report.html"
    report_file.write_text(render_report(bay.store, job.id, setup), encoding="utf-8")
    held = hold_against_truth(
        truth.pulls, reports, comparison, heard.alerts, device_zero_s(bay.recording)
    )
    console.print(held_table(held))
    latency_ms = np.percentile(heard.alert_latency_ms or [0.0], (50, 99))
    console.print(
        f"Alerts heard over MQTT: {len(heard.alerts)}; from the adapter to the subscriber "
        f"{latency_ms[0]:.1f} ms (p50), {latency_ms[1]:.1f} ms (p99)."
    )
    console.print(f"Report: {report_file.resolve()}")
    console.print(f"Page: {bay.page_url} (up only while the demo runs; --keep leaves it up)")
    return held


def _reports(bay: Bay, stage: Stage) -> Sequence[PullReport]:
    return [bay.store.load_report(pull.id) for pull in bay.store.pulls(stage_id=stage.id)]


def _write_station(settings: _DemoSettings, ports: Ports) -> Path:
    """The demo's station: the simulator's own template with the ports it has just opened."""
    job = files("simulators.demo")
    host, _, port = settings.broker.rpartition(":")
    broker = f"{{host: {host}, port: {port}}}" if settings.broker else "embedded"
    (settings.place / "map.yaml").write_text(
        job.joinpath("demo_map.yaml").read_text("utf-8"), "utf-8"
    )
    template = Template(job.joinpath("demo_station.yaml").read_text("utf-8"))
    text = template.substitute(
        ports.model_dump(by_alias=True),
        map="map.yaml",
        store="store",
        speed=f"{settings.speed:g}",
        broker=broker,
        page_port=0,
    )
    station = settings.place / "station.yaml"
    station.write_text(text, encoding="utf-8")
    return station
