"""A healthy car on real transports that fail in the middle of a pull, live and from the recording.

Far ends send what a simulated car sends; between them and the station's own runners lie ptys, TCP
on loopback and a virtual CAN bus. The session's clock is moved by the test, step by step: whatever
else this machine does, what is sent in a step arrives in it.
"""

import asyncio
import uuid
from collections.abc import AsyncIterator, Callable, Coroutine
from contextlib import asynccontextmanager
from dataclasses import dataclass, field, replace
from functools import cache, partial
from pathlib import Path
from typing import Final

import can
import numpy as np
import pytest
from can.interfaces.virtual import VirtualBus
from patience import until
from transports import Cable, SerialCable, TcpCable

from analysis.judging.analyse_pull import analyse_pull
from analysis.judging.limits_file import ALL_LIMITS
from analysis.model.events import Alert, AlertKind, AlertState
from analysis.model.findings import Finding, Severity
from analysis.model.limits import Limits
from analysis.session.analysis import ClosedPull, SessionAnalysis, replay
from capture.recording.format import SUFFIX
from capture.recording.reader import read_recording
from capture.recording.recorder import Recorder
from capture.sources.base.clock import Clock
from capture.sources.make import make_source
from capture.sources.serial.serial_link import SerialLink
from capture.sources.settings import SourceSettings
from capture.supervision.reconnect import BackOff, SourceRunner
from decode.channel_map import parse_map
from decode.records import RecordBatch, SessionInfo
from simulators.demo.bus import BUS, DYNO_RATE_HZ, LAMBDA_RATE_HZ, SPECS, map_text
from simulators.demo.job import scenario
from simulators.frames import FrameTable, encode
from simulators.ports import Port
from simulators.scenario import setup_of
from simulators.session import SimulatedSession, simulate
from simulators.slcan_adapter import SlcanAdapter, frame_lines
from simulators.text_port import dyno_lines, lambda_lines, regular_times

pytestmark = pytest.mark.slow
LIMITS: Final = Limits.of(ALL_LIMITS, {}, "")
STEP_S: Final = 0.02
BEFORE_S, AFTER_S = 5.0, 2.5  # of the sweep: cruise, hold; lift
ORIGIN_NS: Final = 1_000_000_000_000
GARBAGE: Final = b"\x00\xfft3\x9c1;;\x80D;1\xf07,,5\x81"


@cache
def drive() -> SimulatedSession:
    """Idle, cruise and the first pull of the demo's job."""
    whole = scenario("baseline")
    return simulate(replace(whole, plan=whole.plan[:4]), 1)


class StepClock(Clock):
    """A clock that stands where the test has put it."""

    def __init__(self) -> None:
        super().__init__()
        self.at_s = 0.0

    def now_ns(self) -> int:
        return ORIGIN_NS + round(self.at_s * 1e9)


@dataclass
class Wire:
    """One far end. units: what it sends, each at its time. sends: whether it is at work; what falls
    due meanwhile is lost, or kept back where `keeps`."""

    settings: dict[str, dict[str, object]]
    times: list[float]
    units: list[bytes]
    cable: Cable | None = None
    bus: VirtualBus | None = None
    frames: FrameTable | None = None
    is_slcan: bool = False
    runner: SourceRunner | None = None
    sends: bool = True
    keeps: bool = False
    next: int = 0
    expected: int = 0
    port: Port | None = None
    adapter: SlcanAdapter | None = None

    def plug_in(self) -> None:
        if self.cable is not None:
            self.port = self.cable.plug_in()
            self.adapter = SlcanAdapter(self.port) if self.is_slcan else None

    def unplug(self) -> None:
        assert self.cable is not None
        self.cable.unplug()
        self.port = None

    @property
    def is_heard(self) -> bool:
        if self.bus is not None:
            return len(self.bus.channel) == 2
        if self.port is None:
            return False
        if self.adapter is not None:
            self.adapter.poll()
            return self.adapter.open
        return self.port.connected

    def turn(self, now_s: float) -> None:
        """Send what is due."""
        due = self.next
        while due < len(self.times) and self.times[due] < now_s:
            due += 1
        if self.sends and self.is_heard:
            self._send(due)
        elif self.keeps:
            return
        self.next = due

    def _send(self, due: int) -> None:
        self.expected += due - self.next
        if self.bus is not None and self.frames is not None:
            for i in range(self.next, due):
                data = self.frames.data[i, : self.frames.length[i]].tobytes()
                identifier = int(self.frames.identifier[i])
                extended = bool(self.frames.extended[i])
                self.bus.send(can.Message(0.0, identifier, extended, data=data))
        elif self.port is not None:
            self.port.write(b"".join(self.units[self.next : due]))

    @property
    def is_taken(self) -> bool:
        """Whether all that was sent has been delivered."""
        if self.port is not None:
            self.port.write(b"")
        if self.adapter is not None:
            self.adapter.poll()
        return self.runner is not None and self.runner.counts.records >= self.expected

    async def until_delivering(self) -> None:
        """What is sent while a source opens is thrown away: one unit again and again, until one is
        delivered; then count anew."""
        assert self.runner is not None
        before = self.runner.counts.records

        def is_delivering() -> bool:
            if self.is_heard:
                self._send(self.next + 1)
            return self.runner is not None and self.runner.counts.records > before

        await until(is_delivering)
        await self.count_anew()

    async def count_anew(self) -> None:
        """Behind what may have been damaged or lost."""
        await asyncio.sleep(0.05)
        assert self.runner is not None
        self.expected = self.runner.counts.records


def engine_slcan(folder: Path, stamps: bool) -> Wire:
    table = _frames()
    settings = {"can": {"interface": "slcan", "channel": "", "time_stamps": stamps}}
    lines = frame_lines(table, stamps)
    return Wire(settings, table.time_s.tolist(), lines, SerialCable(folder), is_slcan=True)


def engine_virtual(_: Path) -> Wire:
    table, bus = _frames(), VirtualBus(channel=str(uuid.uuid4()))
    settings: dict[str, dict[str, object]] = {
        "can": {"interface": "virtual", "channel": str(bus.channel_id)}
    }
    times = table.time_s.tolist()
    return Wire(settings, times, [], bus=bus, frames=table)


def text(folder: Path, name: str) -> Wire:
    trace, (start_s, end_s) = drive().trace, _span()
    number = np.random.default_rng(2)
    rate_hz = DYNO_RATE_HZ if name == "dyno" else LAMBDA_RATE_HZ
    times = regular_times(start_s, end_s, rate_hz)
    if name == "dyno":
        lines, cable = dyno_lines(trace, SPECS, times, number), TcpCable(folder)
        return Wire({"lines": {"url": ""}}, times.tolist(), lines, cable)
    lines = lambda_lines(trace, SPECS["lambda"], times, number)
    return Wire({"lines": {"url": ""}}, times.tolist(), lines, SerialCable(folder))


def _span() -> tuple[float, float]:
    pull = drive().truth.pulls[0]
    return pull.start_s - BEFORE_S, pull.end_s + AFTER_S


def _frames() -> FrameTable:
    return encode(drive().trace, SPECS, BUS, *_span(), np.random.default_rng(1))


@dataclass
class Station:
    """Wires, runners, recorder and the live analysis."""

    wires: dict[str, Wire]
    clock: StepClock
    session: SessionInfo
    analysis: SessionAnalysis
    now_s: float
    pulls: list[ClosedPull] = field(default_factory=list)
    alerts: list[Alert] = field(default_factory=list)
    deaf: set[str] = field(default_factory=set)
    stood_still_s: float = 0.0

    def deliver(self, batch: RecordBatch) -> None:
        step = self.analysis.feed(batch)
        self.pulls += step.pulls
        self.alerts += step.alerts

    async def until(self, at_s: float) -> None:
        """Play up to a time of the car."""
        start_s = _span()[0]
        while self.now_s < at_s - 1e-9:
            self.now_s += STEP_S
            self.clock.at_s = self.now_s - start_s + self.stood_still_s
            heard = [w for n, w in self.wires.items() if w.sends and n not in self.deaf]
            for wire in self.wires.values():
                wire.turn(self.now_s)
            await until(partial(_all_taken, heard))


def _all_taken(wires: list[Wire]) -> bool:
    return all(wire.is_taken for wire in wires if wire.is_heard)


@asynccontextmanager
async def station(
    engine: Callable[[Path], Wire], folder: Path, monkeypatch: pytest.MonkeyPatch
) -> AsyncIterator[Station]:
    """At work on the car's wires, until the block ends."""
    monkeypatch.setattr(BackOff, "next_s", lambda _self: 0.02)
    for name in ("engine", "dyno", "lambda"):
        (folder / name).mkdir()
    wires = {"engine": engine(folder / "engine")}
    wires |= {name: text(folder / name, name) for name in ("dyno", "lambda")}
    clock, channel_map, deaf = StepClock(), parse_map(map_text()), set[str]()
    for name, wire in wires.items():
        [(block, words)] = wire.settings.items()
        where = {"channel" if "channel" in words else "url": wire.cable.url} if wire.cable else {}
        settings = SourceSettings.model_validate({block: {**words, **where}})
        wire.runner = SourceRunner(make_source(name, settings, clock, channel_map), clock)
    infos = tuple(wire.runner.info for wire in wires.values() if wire.runner is not None)
    session = SessionInfo("s", "bay", ORIGIN_NS, 0, infos)
    read = SerialLink.read
    urls = {wire.cable.url: name for name, wire in wires.items() if wire.cable is not None}
    monkeypatch.setattr(
        SerialLink, "read", lambda link: b"" if urls[link.url] in deaf else read(link)
    )
    setup = setup_of(scenario("baseline"))
    analysis = SessionAnalysis(session, channel_map, LIMITS, setup)
    at_work = Station(wires, clock, session, analysis, _span()[0], deaf=deaf)
    async with Recorder(folder / f"session{SUFFIX}", session) as recorder:

        def deliver(batch: RecordBatch) -> None:
            recorder.put(batch)
            at_work.deliver(batch)

        for wire in wires.values():
            wire.plug_in()
        tasks = [
            asyncio.create_task(wire.runner.run(deliver))
            for wire in wires.values()
            if wire.runner is not None
        ]
        try:
            for wire in wires.values():
                await wire.until_delivering()
            yield at_work
        finally:
            for task in tasks:
                task.cancel()
            await asyncio.wait(tasks)
            for wire in wires.values():
                if wire.bus is not None:
                    wire.bus.shutdown()
                elif wire.port is not None:
                    wire.unplug()
    at_work.pulls += at_work.analysis.finish().pulls
    _replay_is_the_same(at_work, folder, setup)


def _replay_is_the_same(live: Station, folder: Path, setup: object) -> None:
    recording = read_recording(folder / f"session{SUFFIX}")
    again = SessionAnalysis(live.session, parse_map(map_text()), LIMITS, setup)  # type: ignore[arg-type]
    steps = list(replay(again, recording.batches()))
    assert [p.pull.bounds for s in steps for p in s.pulls] == [p.pull.bounds for p in live.pulls]
    assert [alert for step in steps for alert in step.alerts] == live.alerts


def troubles(closed: ClosedPull) -> list[Finding]:
    findings = analyse_pull(closed.pull, LIMITS, closed.context).findings
    return [f for f in findings if f.severity.is_trouble]


ENGINES: Final[dict[str, Callable[[Path], Wire]]] = {
    "slcan, its own stamps": lambda folder: engine_slcan(folder, stamps=True),
    "slcan, no stamps": lambda folder: engine_slcan(folder, stamps=False),
    "virtual CAN": engine_virtual,
}


async def test_without_a_fault_the_car_is_healthy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with station(ENGINES["virtual CAN"], tmp_path, monkeypatch) as bay:
        await bay.until(_span()[1])
    (closed,) = bay.pulls
    assert closed.pull.bounds.complete
    assert [f.text for f in troubles(closed)] == []


Fault = Callable[[Station, tuple[str, ...]], Coroutine[None, None, None]]
IN_SWEEP_S: Final = 2.5  # behind its beginning, of about 6.7 s
ALL: Final = ("engine", "dyno", "lambda")


async def nothing_comes(bay: Station, names: tuple[str, ...]) -> None:
    """A loose plug: 0.5 s of what is sent never arrives."""
    for name in names:
        bay.wires[name].sends = False
    await bay.until(bay.now_s + 0.5)
    for name in names:
        bay.wires[name].sends = True


async def garbage(bay: Station, names: tuple[str, ...]) -> None:
    """A disturbed line: 0.4 s of bytes that mean nothing."""
    for name in names:
        bay.wires[name].sends = False
    for _ in range(20):
        for name in names:
            if (port := bay.wires[name].port) is not None:
                port.write(GARBAGE)
        await bay.until(bay.now_s + STEP_S)
    for name in names:
        bay.wires[name].sends = True
        if (port := bay.wires[name].port) is not None:
            port.write(b"\r\n")
        await bay.wires[name].count_anew()


async def unplugged(bay: Station, names: tuple[str, ...]) -> None:
    """An adapter pulled out for 1.2 s."""
    for name in names:
        bay.wires[name].unplug()
    await bay.until(bay.now_s + 1.2)
    for name in names:
        bay.wires[name].plug_in()
        await bay.wires[name].until_delivering()


async def reader_stands_still(bay: Station, names: tuple[str, ...]) -> None:
    """The process is suspended for 1.5 s: what waits is read at once when it goes on."""
    bay.deaf.update(names)
    await bay.until(bay.now_s + 1.5)
    bay.deaf.clear()
    for name in names:
        await bay.wires[name].count_anew()


async def device_stands_still(bay: Station, names: tuple[str, ...]) -> None:
    """The far end is suspended for 0.8 s, and sends all that it owes at once."""
    for name in names:
        bay.wires[name].sends, bay.wires[name].keeps = False, True
    await bay.until(bay.now_s + 0.8)
    for name in names:
        bay.wires[name].sends, bay.wires[name].keeps = True, False


# fault, how the engine's bus is read, whom it befalls, and of whom nothing is known meanwhile:
# what bears its device's own time comes late and loses nothing
FAULTS: Final[list[tuple[Fault, str, tuple[str, ...], tuple[str, ...]]]] = [
    (nothing_comes, "slcan, its own stamps", ("engine",), ("engine",)),
    (nothing_comes, "virtual CAN", ALL, ALL),
    (garbage, "slcan, no stamps", ("engine", "dyno"), ("engine", "dyno")),
    (unplugged, "slcan, its own stamps", ("engine",), ("engine",)),
    (unplugged, "virtual CAN", ("dyno", "lambda"), ("dyno", "lambda")),
    (reader_stands_still, "slcan, no stamps", ALL, ("engine",)),
    (device_stands_still, "slcan, no stamps", ("engine",), ("engine",)),
    (device_stands_still, "slcan, its own stamps", ALL, ()),
]


@pytest.mark.parametrize(
    ("fault", "engine", "names", "unknown"),
    FAULTS,
    ids=lambda each: getattr(each, "__name__", str(each)),
)
async def test_a_fault_of_a_transport_is_one_finding_of_its_source(
    fault: Fault,
    engine: str,
    names: tuple[str, ...],
    unknown: tuple[str, ...],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sweep_s = drive().truth.pulls[0].start_s
    async with station(ENGINES[engine], tmp_path, monkeypatch) as bay:
        await bay.until(sweep_s + IN_SWEEP_S)
        await fault(bay, names)
        await bay.until(_span()[1])
    (closed,) = bay.pulls
    assert closed.pull.bounds.start_s == pytest.approx(BEFORE_S, abs=0.15)
    found = troubles(closed)
    assert sorted(f.text.split(" said nothing")[0] for f in found) == sorted(
        f"The source {name}" for name in unknown
    )
    for finding in found:
        assert finding.cause is None
        assert finding.where is not None
        assert finding.where.start_s == pytest.approx(BEFORE_S + IN_SWEEP_S, abs=0.15)
    raised = [alert for alert in bay.alerts if alert.state is AlertState.RAISED]
    assert {alert.kind for alert in raised} <= {AlertKind.SOURCE_SILENT}
    assert len({alert.key for alert in raised}) == len(raised)


async def test_an_adapter_that_was_away_as_the_sweep_began_makes_no_whole_pull(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sweep_s = drive().truth.pulls[0].start_s
    async with station(ENGINES["slcan, its own stamps"], tmp_path, monkeypatch) as bay:
        await bay.until(sweep_s - 3.0)
        bay.wires["engine"].unplug()
        await bay.until(sweep_s + 1.9)
        bay.wires["engine"].plug_in()
        await bay.wires["engine"].until_delivering()
        await bay.until(_span()[1])
    (closed,) = bay.pulls
    assert closed.pull.bounds.start_rpm > 2500.0
    assert not closed.pull.bounds.complete
    assert any("the beginning is missing" in note.text for note in closed.pull.bounds.notes)
    assert [f.text for f in troubles(closed)] == []
    report = analyse_pull(closed.pull, LIMITS, closed.context)
    assert report.verdict is Severity.NOTE
    assert any("its beginning is missing" in f.text for f in report.findings)


async def test_twenty_seconds_of_standing_still_blame_nothing_of_the_car(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Bay and car are stopped together, as one process is suspended that plays both."""
    sweep_s = drive().truth.pulls[0].start_s
    async with station(ENGINES["slcan, no stamps"], tmp_path, monkeypatch) as bay:
        await bay.until(sweep_s + 4.5)
        bay.stood_still_s = 20.0
        await bay.until(_span()[1])
    assert bay.pulls
    for closed in bay.pulls:
        assert not closed.pull.bounds.complete
        assert [f for f in troubles(closed) if not f.text.startswith("The source")] == []
