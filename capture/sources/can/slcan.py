"""A CAN bus behind a serial-line CAN (slcan) adapter, the cheapest kind that users own.

python-can reads this protocol too, but byte by byte, at about 80 us a frame
(hardbyte/python-can#2027), and stamps a frame when it is decoded. This reader takes whole batches
and the adapter's own stamps, so it is a source beside `can_bus` and no python-can bus:
`can.BusABC` would put every frame through a call and an object of its own again.

All that is ever sent is an adapter command out of COMMANDS; none of them puts a frame on the bus.
"""

import contextlib
import itertools
import re
import threading
import time
from collections.abc import Iterator
from typing import Final

from capture.sources.base.adapter_time import AdapterClock
from capture.sources.base.clock import Clock
from capture.sources.base.settings import PortSettings, SlcanSettings
from capture.sources.base.source import DRAIN_INTERVAL_S, Emit
from capture.sources.gate.slcan_frames import LONGEST_LINE, Frames, parse_frames
from capture.sources.serial.line_splitter import LineSplitter
from capture.sources.serial.serial_link import SerialLink
from decode.errors import SourceError
from decode.records import NO_ADAPTER_TIME, Flag, RecordBatch, SourceInfo, SourceKind

# Close; set bit rate, data bit rate, time stamps; open to listen only; open; tell status flags.
COMMANDS: Final = frozenset("CSYZLOF")
BITRATE_COMMAND: Final = {
    10_000: "S0",
    20_000: "S1",
    50_000: "S2",
    100_000: "S3",
    125_000: "S4",
    250_000: "S5",
    500_000: "S6",
    800_000: "S7",
    1_000_000: "S8",
}
DATA_BITRATE_COMMAND: Final = {2_000_000: "Y2", 5_000_000: "Y5"}

REFUSED: Final = b"\a"
DONE: Final = b"\r"
ANSWER_TIMEOUT_S: Final = 0.2  # many adapters never answer; those that do need a few ms
QUIET_S: Final = 0.05  # after such a silence nothing of an earlier session is still coming
SETTLE_TIMEOUT_S: Final = 1.0
STATUS_INTERVAL_S: Final = 1.0

NS_PER_MS: Final = 1_000_000
MINUTE_MS: Final = 60_000  # the protocol's stamp counts 0 to 59,999 ms
FULL_COUNT_MS: Final = 65_536  # some adapters use all 16 bits

STATUS_ANSWER: Final = re.compile(rb"F([0-9A-Fa-f]{2})")
LOST_FRAMES: Final = 0x01 | 0x08  # status flags: receive queue full, data overrun
BUS_ERRORS: Final = 0x04 | 0x20 | 0x80  # status flags: error warning, error passive, bus error


class SlcanBus:
    """The frames of one slcan adapter.

    A damaged frame line counts as one lost. Once a second the adapter is asked for its status
    flags: an overrun counts as one lost, a bus error becomes an ERROR record.
    """

    def __init__(self, name: str, settings: SlcanSettings, clock: Clock) -> None:
        self.info = SourceInfo(name, SourceKind.CAN)
        self._settings = settings
        self._clock = clock
        # kept while the adapter is away: many count on without anybody listening
        self._adapter_clock = AdapterClock(MINUTE_MS * NS_PER_MS)

    def run(self, emit: Emit, stop: threading.Event) -> None:
        """Deliver frames until `stop`; SourceError when the adapter refuses or goes away."""
        splitter = LineSplitter(LONGEST_LINE, whole_first=True)
        assembler = _Assembler(self.info.name, self._adapter_clock)
        port = PortSettings(
            url=self._settings.channel,
            baud=self._settings.baud,
            flow_control=self._settings.flow_control,
        )
        with SerialLink(port) as link, _closed_after(link):
            received = open_channel(link, self._settings)
            asked_s = time.monotonic()
            for data in link.chunks(stop):
                arrived_ns = self._clock.now_ns()
                received += data
                if received:
                    # a refusal is a byte without a line end
                    lines = splitter.feed(received.replace(REFUSED, DONE + REFUSED + DONE))
                    received = b""
                    assembler.lost += splitter.taken_overlong()
                    assembler.deliver(parse_frames(lines), arrived_ns, emit)
                if assembler.asks_status and time.monotonic() - asked_s >= STATUS_INTERVAL_S:
                    asked_s = time.monotonic()
                    send_command(link, "F")
            if assembler.only_damage and (why := link.nothing_understood("sound CAN frame")):
                raise why


class _Assembler:
    """Makes batches of parsed lines, and keeps what goes on from one to the next."""

    def __init__(self, name: str, adapter_clock: AdapterClock) -> None:
        self._name = name
        self._adapter_clock = adapter_clock
        self.asks_status = True
        self.lost = 0
        self._stamps = False  # whether the adapter stamps its frames
        self._delivered = False

    @property
    def only_damage(self) -> bool:
        """Whether lines came and none was sound; a bus may also just be quiet."""
        return self.lost > 0 and not self._delivered

    def deliver(self, frames: Frames, arrived_ns: int, emit: Emit) -> None:
        self._stamps = self._stamps or any(ms != NO_ADAPTER_TIME for ms in frames.stamp_ms)
        if self._stamps and NO_ADAPTER_TIME in frames.stamp_ms:
            frames = frames.only_stamped()
        self.lost += frames.damaged
        adapter_ns: list[int] = []
        for stamp_ms, alike in itertools.groupby(frames.stamp_ms):  # many frames in a millisecond
            adapter_ns += [self._adapter_ns(stamp_ms, arrived_ns)] * len(list(alike))
        for line in frames.others:
            if self._is_bus_error(line):
                adapter_ns.append(NO_ADAPTER_TIME)
                frames.address.append(0)
                frames.flags.append(int(Flag.ERROR))
                frames.payloads.append(b"the adapter reports bus errors (status " + line + b")")
        if not adapter_ns:
            return
        emit(
            RecordBatch.of(
                self._name,
                [arrived_ns] * len(adapter_ns),
                frames.payloads,
                frames.address,
                frames.flags,
                adapter_ns,
                self.lost,
            )
        )
        self.lost = 0
        self._delivered = True

    def _adapter_ns(self, stamp_ms: int, arrived_ns: int) -> int:
        if stamp_ms == NO_ADAPTER_TIME:
            return NO_ADAPTER_TIME
        stamp_ns = stamp_ms * NS_PER_MS
        if stamp_ms >= MINUTE_MS and self._adapter_clock.is_near(stamp_ns, arrived_ns):
            self._adapter_clock.period_ns = FULL_COUNT_MS * NS_PER_MS
        return self._adapter_clock.unroll(stamp_ns, arrived_ns)

    def _is_bus_error(self, line: bytes) -> bool:
        """Read one line that is no frame: an answer, a refusal, or damage."""
        status = STATUS_ANSWER.fullmatch(line)
        if status is not None:
            flags = int(status[1], 16)
            self.lost += bool(flags & LOST_FRAMES)
            return bool(flags & BUS_ERRORS)
        if line == REFUSED:  # the only question asked while frames come is the status
            self.asks_status = False
        else:
            self.lost += 1
        return False


def send_command(link: SerialLink, command: str) -> None:
    """The one way to the adapter; refuses whatever is no command of COMMANDS."""
    if command[:1] not in COMMANDS or not command.isalnum():
        raise ValueError(f"{command!r} must not be sent to an adapter")
    link.write(command.encode() + DONE)


def open_channel(link: SerialLink, settings: SlcanSettings) -> bytes:
    """Set the adapter up and open its channel; returns what it has already sent after that."""
    link.write(DONE)  # ends whatever a program before us left half-sent
    send_command(link, "C")
    _wait_until_quiet(link)
    if settings.bitrate is not None:
        _demand(link, BITRATE_COMMAND[settings.bitrate], f"the bit rate {settings.bitrate}")
    if settings.data_bitrate is not None:
        data_bitrate = settings.data_bitrate
        _demand(link, DATA_BITRATE_COMMAND[data_bitrate], f"the data bit rate {data_bitrate}")
    _ask(link, "Z1" if settings.time_stamps else "Z0")  # refused: then it has no stamps
    if settings.listen_only:
        hint = "to listen only; with `listen_only: false` it acknowledges frames, and sends none"
        return _demand(link, "L", hint)
    return _demand(link, "O", "to open its channel")


def _demand(link: SerialLink, command: str, what: str) -> bytes:
    answer = _ask(link, command)
    if answer.startswith(REFUSED):
        raise SourceError(f"{link.url}: the adapter refuses {what}")
    return answer


def _ask(link: SerialLink, command: str) -> bytes:
    send_command(link, command)
    deadline_s = time.monotonic() + ANSWER_TIMEOUT_S
    answer = b""
    while time.monotonic() < deadline_s:
        answer += link.read()
        if DONE in answer or REFUSED in answer:
            break
        time.sleep(DRAIN_INTERVAL_S)
    return answer


def _wait_until_quiet(link: SerialLink) -> None:
    started_s = heard_s = time.monotonic()
    while (now_s := time.monotonic()) - heard_s < QUIET_S:
        if now_s - started_s > SETTLE_TIMEOUT_S:
            raise SourceError(f"{link.url}: does not stop sending; is it an slcan adapter?")
        if link.read():
            heard_s = now_s
        time.sleep(DRAIN_INTERVAL_S)


@contextlib.contextmanager
def _closed_after(link: SerialLink) -> Iterator[None]:
    try:
        yield
    finally:
        with contextlib.suppress(SourceError):  # it may be gone; that has been said already
            send_command(link, "C")
