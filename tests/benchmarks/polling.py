"""How much of a polled ECU's capacity the scheduler uses, over CAN and over K-line.

    python tests/benchmarks/polling.py [seconds [virtual | slcan | K-line]]

The ECU is simulated, in a process of its own behind an slcan adapter on a pty, or on a python-can
virtual bus in a thread of this process. It begins its answer `response time` after it has seen the
request and can take no second one before; so it could answer 1 / response time requests a second.
What of that is lost to the bus, to ISO-TP's flow control and to a busy machine is seen beside it: a
bare loop over can-isotp (K-line: over pyserial), without gate, schedule and records, asks the same
ECU the same thing in turn with us, ROUNDS times for a short while. Our share is of the bare loop's
rate, the best of either's rounds: a round in which the machine was busy elsewhere says nothing. A
pty adds no time on the wire. Wanted is far more than the ECU can give. Needs a POSIX pty.
"""

import multiprocessing
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing.connection import Connection
from typing import Any, Final
from uuid import uuid4

import can
import isotp
import serial
from rich.console import Console
from rich.table import Table

from capture.sources.base.clock import Clock
from capture.sources.make import make_source
from capture.sources.polled.ecu_settings import DiagnosticSettings, KLineSettings
from capture.sources.settings import SourceSettings
from decode.channel_map import ChannelMap, parse_map
from decode.records import Flag, RecordBatch
from decode.standard_parameters import PARAMETERS
from simulators.ecu_answers import EcuAnswers, constant
from simulators.ecu_isotp import IsoTpEcu, SlcanFarEnd
from simulators.ecu_k_line import KLineEcu
from simulators.ports import PtyPort
from simulators.slcan_adapter import SlcanAdapter

RESPONSE_TIMES_S: Final = (0.005, 0.010, 0.020)
WANTED: Final = 0.9  # of the possible rate, in the best of ROUNDS
LONGEST_S: Final = 1.0  # that the bare loop waits for an answer
ROUNDS: Final = 5
SETTLE_S: Final = 1.0  # opening, discovery
SHORT_S: Final = 1.5
# ISO 14230: wake-up (25 ms low, to 50 ms), start, engine speed by J1979, stop; header c1 or c2: to
# all ECUs, from the tester
WAKE_UP_BAUD: Final = 360
K_LINE_BAUD: Final = 10_400
START: Final = bytes.fromhex("c1 33 f1 81 66")
ASK_SPEED: Final = bytes.fromhex("c2 33 f1 01 0c f3")
STOP: Final = bytes.fromhex("c1 33 f1 82 67")
START_ANSWER, SPEED_ANSWER, STOP_ANSWER = 7, 8, 5  # bytes
SINGLE: Final = (0x0C,)  # one frame each way
SIX: Final = (0x0B, 0x0C, 0x0D, 0x0E, 0x0F, 0x10)  # three frames and a flow control


def map_of(parameters: tuple[int, ...]) -> ChannelMap:
    lines = [
        f"  p{n:02x}: {{source: ecu, unit: '{PARAMETERS[n].values[''].unit}', "
        f"diagnostic: {{service: 1, parameter: {n}, rate_hz: 200}}}}"
        for n in parameters
    ]
    return parse_map("pullwatch_map: 1\nchannels:\n" + "\n".join(lines))


def answers(response_s: float) -> EcuAnswers:
    values = {n: bytes(PARAMETERS[n].size) for n in SIX}
    return EcuAnswers(constant(values), response_time_s=response_s)


@contextmanager
def on_virtual_bus(response_s: float) -> Iterator[SourceSettings]:
    channel = str(uuid4())
    with (
        can.Bus(interface="virtual", channel=channel) as bus,
        IsoTpEcu(bus, answers(response_s)),
    ):
        yield SourceSettings(
            diagnostics=DiagnosticSettings(interface="virtual", channel=channel, request=0x7E0)
        )


@contextmanager
def on_slcan(response_s: float) -> Iterator[SourceSettings]:
    with _process(_slcan_ecu, response_s) as url:
        yield SourceSettings(
            diagnostics=DiagnosticSettings(interface="slcan", channel=url, request=0x7E0)
        )


@contextmanager
def on_k_line(response_s: float) -> Iterator[SourceSettings]:
    with _process(_k_line_ecu, response_s) as url:
        yield SourceSettings(k_line=KLineSettings(url=url, request_gap_ms=0, byte_gap_ms=0))


def _slcan_ecu(response_s: float, pipe: Connection) -> None:
    port = PtyPort()
    with IsoTpEcu(SlcanFarEnd(SlcanAdapter(port)), answers(response_s)):
        pipe.send(port.url)
        pipe.recv()


def _k_line_ecu(response_s: float, pipe: Connection) -> None:
    port = PtyPort()
    with KLineEcu(port, answers(response_s)):
        pipe.send(port.url)
        pipe.recv()


@contextmanager
def _process(ecu: object, response_s: float) -> Iterator[str]:
    near, far = multiprocessing.Pipe()
    process = multiprocessing.Process(target=ecu, args=(response_s, far))  # type: ignore[arg-type]
    process.start()
    yield near.recv()
    near.send(None)
    process.join()


def requests_per_second(settings: SourceSettings, channel_map: ChannelMap, seconds: float) -> float:
    """Answered requests a second, once the polling goes."""
    answered_s: list[float] = []

    def emit(batch: RecordBatch) -> None:
        answered_s.extend([time.perf_counter()] * int((batch.flags & int(Flag.SENT) == 0).sum()))

    stop = threading.Event()
    source = make_source("ecu", settings, Clock(), channel_map)
    thread = threading.Thread(target=source.run, args=(emit, stop))
    thread.start()
    time.sleep(SETTLE_S + seconds)
    stop.set()
    thread.join()
    last_s = answered_s[-1]
    counted = [s for s in answered_s if s > last_s - seconds]
    return (len(counted) - 1) / (counted[-1] - counted[0])


def bare_requests_per_second(
    settings: DiagnosticSettings, parameters: tuple[int, ...], seconds: float
) -> float:
    """The same exchange by can-isotp alone."""
    request = bytes([1, *parameters])
    address = isotp.Address(isotp.AddressingMode.Normal_11bits, txid=0x7E0, rxid=0x7E8)
    options: dict[str, Any] = {"sleep_after_open": 0.05} if settings.interface == "slcan" else {}
    with can.Bus(
        interface=settings.interface, channel=settings.channel, bitrate=500_000, **options
    ) as bus:

        def receive(timeout_s: float) -> isotp.CanMessage | None:
            frame = None if stack.available() else bus.recv(timeout_s)
            if frame is None:
                return None
            return isotp.CanMessage(frame.arbitration_id, data=bytes(frame.data))

        def send(frame: isotp.CanMessage) -> None:
            bus.send(
                can.Message(
                    arbitration_id=frame.arbitration_id, data=frame.data, is_extended_id=False
                )
            )

        stack = isotp.TransportLayerLogic(
            receive, send, address, params={"tx_padding": 0xCC, "blocksize": 0}
        )
        count, started_s = 0, time.perf_counter()
        while time.perf_counter() < started_s + seconds:
            stack.send(request)
            stack.process(0.0, do_rx=False)
            while not stack.available():
                stack.process(LONGEST_S)
            stack.recv()
            count += 1
        return count / (time.perf_counter() - started_s)


def bare_k_line_requests_per_second(settings: KLineSettings, seconds: float) -> float:
    """The same exchange by pyserial alone, which knows how long each answer is."""
    with serial.serial_for_url(settings.url, baudrate=K_LINE_BAUD, timeout=LONGEST_S) as port:

        def ask(request: bytes, answer: int) -> None:
            port.write(request)
            port.read(len(request) + answer)  # behind its echo

        time.sleep(0.3)  # the line is quiet before a wake-up
        port.baudrate = WAKE_UP_BAUD
        port.write(b"\x00")
        time.sleep(0.03)
        port.baudrate = K_LINE_BAUD
        port.reset_input_buffer()
        time.sleep(0.02)
        ask(START, START_ANSWER)
        count, started_s = 0, time.perf_counter()
        while time.perf_counter() < started_s + seconds:
            ask(ASK_SPEED, SPEED_ANSWER)
            count += 1
        rate = count / (time.perf_counter() - started_s)
        ask(STOP, STOP_ANSWER)
        return rate


def bare(settings: SourceSettings, parameters: tuple[int, ...], seconds: float) -> float:
    """Requests a second of the bare loop over the same way."""
    if settings.k_line is not None:
        return bare_k_line_requests_per_second(settings.k_line, seconds)
    assert settings.diagnostics is not None
    return bare_requests_per_second(settings.diagnostics, parameters, seconds)


def main() -> int:
    """Print the table; 1 where less than WANTED of the possible rate is reached."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else SHORT_S
    table = Table("over", "values", "response", "1/response", "bare loop", "achieved")
    table.add_column("of 1/response")
    table.add_column("share")
    reached = True
    ways = [
        ("virtual bus, one process", on_virtual_bus, SINGLE),
        ("virtual bus, one process", on_virtual_bus, SIX),
        ("slcan on a pty", on_slcan, SINGLE),
        ("slcan on a pty", on_slcan, SIX),
        ("K-line on a pty, no gaps", on_k_line, SINGLE),
    ]
    only = sys.argv[2] if len(sys.argv) > 2 else ""
    ways = [way for way in ways if way[0].startswith(only)]
    for name, way, parameters in ways:
        for response_s in RESPONSE_TIMES_S:
            peer, ours = [], []
            for _ in range(ROUNDS):
                with way(response_s) as settings:
                    peer.append(bare(settings, parameters, seconds))
                    ours.append(requests_per_second(settings, map_of(parameters), seconds))
            limit_hz, achieved_hz, possible_hz = 1.0 / response_s, max(ours), max(peer)
            reached &= achieved_hz / possible_hz >= WANTED
            table.add_row(
                name,
                str(len(parameters)),
                f"{1e3 * response_s:.0f} ms",
                f"{limit_hz:.0f}/s",
                f"{possible_hz:.1f}/s ({min(peer):.1f} at worst)",
                f"{achieved_hz:.1f}/s ({min(ours):.1f} at worst)",
                f"{achieved_hz / limit_hz:.3f}",
                f"{achieved_hz / possible_hz:.3f}",
            )
    Console(width=140).print(table)
    return 0 if reached else 1


if __name__ == "__main__":
    sys.exit(main())
