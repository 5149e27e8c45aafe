"""Every kind of live source over a real transport: unplugged while it delivers, plugged in again.

The far end is a simulator; between both lies a pty whose near end keeps its name, or a TCP port on
loopback. The station's own runner and recorder stand behind the source.
"""

import asyncio
import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from patience import wait_until
from transports import Cable, SerialCable, TcpCable

from capture.recording.format import SUFFIX
from capture.recording.reader import read_recording
from capture.recording.recorder import Recorder
from capture.sources.base.clock import Clock
from capture.sources.make import make_source
from capture.sources.settings import SourceSettings
from capture.supervision.reconnect import BackOff, SourceRunner, SourceState
from decode.channel_map import ChannelMap, parse_map
from decode.records import Flag, RecordBatch, SessionInfo
from simulators.demo.bus import BUS, SPECS
from simulators.demo.job import scenario
from simulators.ecu_answers import EcuAnswers, constant
from simulators.ecu_isotp import IsoTpEcu, SlcanFarEnd
from simulators.ecu_k_line import KLineEcu
from simulators.frame_port import dyno_frames
from simulators.frames import encode
from simulators.ports import Port
from simulators.sensors import Trace
from simulators.serial_can import SerialCanFarEnd, serial_can_frames
from simulators.session import simulate
from simulators.slcan_adapter import SlcanAdapter, frame_lines
from simulators.text_port import dyno_lines, regular_times

CLOCK = Clock()
NAME = "source"
TICK_S = 0.002
ENOUGH = 20  # records, before and after
START_S, END_S = 16.0, 18.0
ECU_MAP = parse_map(
    "pullwatch_map: 1\nchannels:\n"
    f"  speed: {{quantity: engine_speed, source: {NAME}, unit: rpm, "
    "diagnostic: {service: 0x01, parameter: 0x0C, rate_hz: 100}}\n"
)
ECU_SPEED = bytes.fromhex("41 0C 0A 86")
ECU_SUPPORTS = bytes.fromhex("41 00 00 10 00 00")  # parameter 0x0C alone
FarEnd = Callable[[Port], AbstractContextManager[object]]


@pytest.fixture(scope="module")
def trace() -> Trace:
    return simulate(scenario("baseline"), 1).trace


@contextmanager
def every_tick(turn: Callable[[], None]) -> Iterator[None]:
    """A device at work in a thread."""
    stop = threading.Event()

    def work() -> None:
        while not stop.wait(TICK_S):
            turn()

    thread = threading.Thread(target=work)
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join()


def sending(units: list[bytes]) -> FarEnd:
    """A device that sends one unit after the other as soon as somebody listens."""

    def far_end(port: Port) -> AbstractContextManager[object]:
        left = iter(units)

        def turn() -> None:
            if port.connected and (unit := next(left, None)) is not None:
                port.write(unit)

        return every_tick(turn)

    return far_end


def sending_slcan(units: list[bytes]) -> FarEnd:
    def far_end(port: Port) -> AbstractContextManager[object]:
        adapter, left = SlcanAdapter(port), iter(units)

        def turn() -> None:
            adapter.poll()
            if adapter.open and (unit := next(left, None)) is not None:
                adapter.send(unit)

        return every_tick(turn)

    return far_end


@dataclass(frozen=True)
class Kind:
    """One kind of source. sent: the payloads its far end sends, in order; None: it answers."""

    settings: dict[str, dict[str, object]]
    far_end: FarEnd
    sent: list[bytes] | None
    channel_map: ChannelMap | None = None
    cable: Callable[[Path], Cable] = SerialCable


def lines(trace: Trace, cable: Callable[[Path], Cable] = SerialCable) -> Kind:
    time_s = regular_times(START_S, END_S, 500.0)
    units = dyno_lines(trace, SPECS, time_s, np.random.default_rng(1))
    sent = [unit.rstrip() for unit in units]
    return Kind({"lines": {"url": ""}}, sending(units), sent, cable=cable)


def frames(trace: Trace) -> Kind:
    time_s = regular_times(START_S, END_S, 500.0)
    units = dyno_frames(trace, SPECS, time_s, np.random.default_rng(1))
    settings: dict[str, object] = {
        "url": "",
        "sync": "AA 55",
        "length": {"at": 2, "adds": 5},
        "checksum": {"kind": "CRC-16/MODBUS", "covers_from": 2},
    }
    return Kind({"frames": settings}, sending(units), units)


def slcan(trace: Trace) -> Kind:
    table = encode(trace, SPECS, BUS, START_S, END_S, np.random.default_rng(1))
    settings: dict[str, object] = {"interface": "slcan", "channel": "", "time_stamps": False}
    far_end = sending_slcan(frame_lines(table, stamps=False))
    return Kind({"can": settings}, far_end, payloads_of(table.data, table.length))


def python_can(trace: Trace) -> Kind:
    table = encode(trace, SPECS, BUS, START_S, END_S, np.random.default_rng(1))
    settings: dict[str, object] = {"interface": "serial", "channel": ""}
    far_end = sending(serial_can_frames(table))
    return Kind({"can": settings}, far_end, payloads_of(table.data, table.length))


def payloads_of(data: np.ndarray, length: np.ndarray) -> list[bytes]:
    return [row[:n].tobytes() for row, n in zip(data, length.tolist(), strict=True)]


def answers() -> EcuAnswers:
    return EcuAnswers(constant({0x0C: ECU_SPEED[2:]}))


def ecu_over_slcan(_: Trace) -> Kind:
    def far_end(port: Port) -> AbstractContextManager[object]:
        return IsoTpEcu(SlcanFarEnd(SlcanAdapter(port)), answers())

    settings: dict[str, object] = {"interface": "slcan", "channel": ""}
    return Kind({"diagnostics": settings}, far_end, None, ECU_MAP)


def ecu_over_python_can(_: Trace) -> Kind:
    def far_end(port: Port) -> AbstractContextManager[object]:
        return IsoTpEcu(SerialCanFarEnd(port), answers())

    settings: dict[str, object] = {"interface": "serial", "channel": "", "request": 0x7E0}
    return Kind({"diagnostics": settings}, far_end, None, ECU_MAP)


def ecu_over_k_line(_: Trace) -> Kind:
    def far_end(port: Port) -> AbstractContextManager[object]:
        return KLineEcu(port, answers())

    settings: dict[str, object] = {"url": "", "request_gap_ms": 2.0, "byte_gap_ms": 0.0}
    return Kind({"k_line": settings}, far_end, None, ECU_MAP)


KINDS = {
    "text lines over a pty": lines,
    "text lines over TCP": lambda trace: lines(trace, TcpCable),
    "binary frames over a pty": frames,
    "slcan over a pty": slcan,
    "python-can's serial interface over a pty": python_can,
    "ECU polled by ISO-TP, slcan over a pty": ecu_over_slcan,
    "ECU polled by ISO-TP, python-can's serial interface over a pty": ecu_over_python_can,
    "ECU polled over K-line, a pty": ecu_over_k_line,
}


def data_of(batches: list[RecordBatch]) -> list[bytes]:
    """What came from the far end: neither gaps nor our own requests."""
    ours = int(Flag.GAP | Flag.SENT)
    return [b.payload(i) for b in batches for i in range(len(b)) if not int(b.flags[i]) & ours]


def is_whole(found: list[bytes], sent: list[bytes] | None) -> bool:
    """Everything from some record on, in order and undamaged; of an ECU, nothing but answers."""
    if sent is None:
        return set(found) <= {ECU_SPEED, ECU_SUPPORTS} and ECU_SPEED in found
    return any(sent[i : i + len(found)] == found for i in range(len(sent)))


@pytest.mark.parametrize("kind", KINDS)
async def test_unplugged_and_plugged_in_again(
    kind: str, tmp_path: Path, trace: Trace, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(BackOff, "next_s", lambda _self: 0.02)
    monkeypatch.setattr("capture.sources.polled.k_line.BUS_IDLE_S", 0.02)
    chosen = KINDS[kind](trace)
    cable = chosen.cable(tmp_path)
    [(block, words)] = chosen.settings.items()
    where = "channel" if "channel" in words else "url"
    settings = SourceSettings.model_validate({block: words | {where: cable.url}})
    source = make_source(NAME, settings, CLOCK, chosen.channel_map)
    runner = SourceRunner(source, CLOCK)
    session = SessionInfo("s", "bay", CLOCK.now_ns(), 0, (source.info,))
    delivered: list[RecordBatch] = []
    async with Recorder(tmp_path / f"recording{SUFFIX}", session) as recorder:

        def deliver(batch: RecordBatch) -> None:
            delivered.append(batch)
            recorder.put(batch)

        async def until_delivering(start: int) -> None:
            enough = lambda: len(data_of(delivered[start:])) >= ENOUGH  # noqa: E731
            await asyncio.to_thread(wait_until, enough)
            assert runner.state is SourceState.DELIVERING

        with chosen.far_end(cable.plug_in()):
            task = asyncio.create_task(runner.run(deliver))
            await until_delivering(0)
        cable.unplug()
        await asyncio.to_thread(wait_until, lambda: runner.state is SourceState.WAITING)
        assert cable.url in (runner.health().trouble or "")
        before = len(delivered)
        with chosen.far_end(cable.plug_in()):
            await until_delivering(before)
            task.cancel()
            await asyncio.wait([task])
        cable.unplug()
    gap, *after = delivered[before:]
    assert runner.health().trouble is None
    assert runner.counts.gaps == 1
    assert gap.flags.tolist() == [Flag.GAP]
    assert cable.url in gap.payload(0).decode()
    assert is_whole(data_of(delivered[:before]), chosen.sent)
    assert is_whole(data_of(after), chosen.sent)
    recorded = list(read_recording(recorder.path).batches())
    assert [b.payload(i) for b in recorded for i in range(len(b))] == [
        b.payload(i) for b in delivered for i in range(len(b))
    ]
