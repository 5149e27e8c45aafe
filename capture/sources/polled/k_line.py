"""An ECU that is polled over K-line: ISO 14230 through a serial adapter, reading only.

Woken up by the fast initialisation, then asked with SAE J1979 service 0x01, and with the services
0x21 and 0x22 of ISO 14230-3. All that goes out passes `read_gate`.

    P2  from a request to its response, 25 to 50 ms      P3  from a response to the next request
    P1  between the bytes of a response, up to 20 ms     P4  between the bytes of a request
"""

import contextlib
import threading
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from capture.sources.base.clock import Clock
from capture.sources.base.source import AchievedRate, Emit
from capture.sources.gate.k_line_frames import (
    TESTER,
    Addressing,
    KLineFrame,
    decode,
    frame_size,
)
from capture.sources.gate.read_gate import READ_TIMEOUT_S, GatedPort
from capture.sources.polled.asking import RESPONSE_TIMEOUT_S, Asker, Message
from capture.sources.polled.ecu_settings import KLineSettings
from capture.sources.polled.poller import Poller
from capture.sources.polled.schedule import Wanted
from decode.diagnostics import POSITIVE, READ_CURRENT_DATA, supported_parameters
from decode.errors import SourceError
from decode.records import Flag, SourceInfo, SourceKind
from decode.standard_parameters import ENGINE_SPEED

START: Final = b"\x81"
STOP: Final = b"\x82"
TESTER_PRESENT: Final = b"\x3e"
TESTER_PRESENT_S: Final = 2.0  # an ECU falls asleep 5 s after the last request (P3max)
BUS_IDLE_S: Final = 0.3  # before a wake-up nobody may have spoken for so long (ISO 14230-2, W5)
WAKE_UP_TIMEOUT_S: Final = 0.3  # P2 50 ms, seven bytes, and an ECU that has just got its power
OTHERS_S: Final = 0.1  # P2 50 ms and seven bytes after one answer a second ECU has given its own
BYTE_TIMEOUT_S: Final = 0.06  # P1max 20 ms, and what USB and the system add: the rest is not coming
MS: Final = 1e-3

# Bits of the first key byte (ISO 14230-2): what the ECU understands beside the format byte's form.
LENGTH_IN_FORMAT: Final = 0x01
LENGTH_BYTE: Final = 0x02
ONE_BYTE_HEADER: Final = 0x04
ADDRESSES: Final = 0x08


@dataclass(frozen=True, slots=True)
class Headers:
    """How requests are headed once the ECU has said what it understands and where it is."""

    ecu: int
    target: int
    functional: bool
    addressed: bool = True
    length_byte: bool = False

    def frame(self, request: bytes) -> bytes:
        """A request as it goes over the line. J1979 goes to the group, all else to the one ECU."""
        if not self.addressed:
            return KLineFrame(request).encode(self.length_byte)
        if self.functional and request[0] == READ_CURRENT_DATA:
            to_all = KLineFrame(request, Addressing.FUNCTIONAL, self.target, TESTER)
            return to_all.encode(self.length_byte)
        return KLineFrame(request, Addressing.PHYSICAL, self.ecu, TESTER).encode(self.length_byte)


def headers_for(key_byte: int, ecu: int, settings: KLineSettings) -> Headers:
    """The header form for an ECU whose first key byte says what it understands."""
    return Headers(
        ecu,
        settings.target,
        settings.functional,
        addressed=bool(key_byte & ADDRESSES) or not key_byte & ONE_BYTE_HEADER,
        length_byte=not key_byte & LENGTH_IN_FORMAT and bool(key_byte & LENGTH_BYTE),
    )


class KLineReader:
    """Cuts what comes over the line into frames. Without a port: bytes and instants go in.

    The line is one wire: what was sent comes back first, unless the adapter takes it out.
    """

    def __init__(self) -> None:
        self.damaged = 0
        self._received = b""
        self._echo = b""
        self._heard_s = 0.0

    def expect_echo(self, sent: bytes) -> None:
        """A request has been sent: forget what came before."""
        self._received, self._echo = b"", sent

    def feed(self, data: bytes, now_s: float) -> KLineFrame | None:
        """A whole frame, once it is there. Damage is dropped up to the next silence."""
        if data:
            self._received += data
            self._heard_s = now_s
        elif self._received and now_s - self._heard_s > BYTE_TIMEOUT_S:
            self._drop()
        self._take_echo()
        return self._take_frame()

    @property
    def receiving(self) -> bool:
        """Whether a frame has begun and not ended."""
        return bool(self._received)

    def _take_echo(self) -> None:
        if self._echo and self._received.startswith(self._echo):
            self._received = self._received[len(self._echo) :]
            self._echo = b""

    def _take_frame(self) -> KLineFrame | None:
        if not self._received or (self._echo and self._echo.startswith(self._received)):
            return None
        try:
            size = frame_size(self._received)
            if size is None or len(self._received) < size:
                return None
            frame = decode(self._received[:size])
        except ValueError:
            self._drop()
            return None
        self._received, self._echo = self._received[size:], b""
        return frame

    def _drop(self) -> None:
        self.damaged += 1
        self._received = b""


class KLineLink:
    """One ECU on the line, awake."""

    def __init__(self, port: GatedPort, settings: KLineSettings, clock: Clock) -> None:
        self._port = port
        self._clock = clock
        self._request_gap_s = settings.request_gap_ms * MS
        self._byte_gap_s = settings.byte_gap_ms * MS
        self._reader = KLineReader()
        self._quiet_since_s = time.monotonic()
        group = settings.functional
        addressing = Addressing.FUNCTIONAL if group else Addressing.PHYSICAL
        self._start = KLineFrame(START, addressing, settings.target, TESTER).encode()
        self._headers = Headers(settings.target, settings.target, group)
        self._settings = settings

    def wake_up(self) -> None:
        """Fast initialisation; SourceError where nobody wakes up."""
        time.sleep(BUS_IDLE_S)
        self._port.wake_up()
        self._port.send(self._start, self._byte_gap_s)
        self._reader.expect_echo(self._start)
        started = self._responses(bytes([START[0] + POSITIVE]), WAKE_UP_TIMEOUT_S)
        if not started:
            raise SourceError(f"{self._port.url}: no ECU wakes up; is the ignition on?")
        ecu = self._engine_of(started)
        key_byte = started[ecu][1] if len(started[ecu]) > 1 else LENGTH_IN_FORMAT | ADDRESSES
        self._headers = headers_for(key_byte, ecu, self._settings)

    def _engine_of(self, started: dict[int, bytes]) -> int:
        """Of several ECUs that woke up the one that knows the engine speed, as on CAN."""
        if len(started) == 1:
            return next(iter(started))
        self.send(bytes([READ_CURRENT_DATA, 0]))
        told = self._responses(bytes([READ_CURRENT_DATA + POSITIVE, 0]), RESPONSE_TIMEOUT_S)
        knowing = [
            ecu
            for ecu, data in told.items()
            if ecu in started and ENGINE_SPEED in supported_parameters(0, data[2:])
        ]
        return min(knowing or started)

    def _responses(self, beginning: bytes, timeout_s: float) -> dict[int, bytes]:
        """What each ECU, by its address, answers to a question to all."""
        found: dict[int, bytes] = {}
        deadline_s = time.monotonic() + timeout_s
        while time.monotonic() < deadline_s:
            frame = self._next_frame()
            if frame is not None and frame.data.startswith(beginning):
                found.setdefault(frame.source, frame.data)
                deadline_s = time.monotonic() + OTHERS_S
        return found

    def send(self, request: bytes) -> Message:
        """See `Link`. Waits until P3 has passed since the last byte on the line."""
        self._wait_for_gap()
        frame = self._headers.frame(request)
        at_ns = self._clock.now_ns()
        self._reader.expect_echo(frame)
        self._port.send(frame, self._byte_gap_s)
        self._quiet_since_s = time.monotonic()
        return Message(request, self._headers.ecu, at_ns, Flag.SENT)

    def receive(self, timeout_s: float) -> Message | None:
        """See `Link`."""
        deadline_s = time.monotonic() + timeout_s
        while time.monotonic() < deadline_s:
            frame = self._next_frame()
            # other ECUs answer a question to all too: what they say is not this one's
            if frame is not None and frame.source in (0, self._headers.ecu):
                return Message(frame.data, self._headers.ecu, self._clock.now_ns())
        return None

    @property
    def receiving(self) -> bool:
        """See `Link`."""
        return self._reader.receiving

    def keep_alive(self) -> None:
        """See `Link`."""
        if time.monotonic() - self._quiet_since_s > TESTER_PRESENT_S:
            self.send(TESTER_PRESENT)
            self.receive(RESPONSE_TIMEOUT_S)  # the line is not free before it has answered

    def say_goodbye(self) -> None:
        """Stop communication."""
        self.send(STOP)

    def _next_frame(self) -> KLineFrame | None:
        data = self._port.read()
        now_s = time.monotonic()
        if data:
            self._quiet_since_s = now_s
        return self._reader.feed(data, now_s)

    def _wait_for_gap(self) -> None:
        while self._left_s() > READ_TIMEOUT_S:
            self._next_frame()  # another ECU may answer the same request
        if (left_s := self._left_s()) > 0.0:  # a sleep of nothing gives the processor away
            time.sleep(left_s)

    def _left_s(self) -> float:
        return self._quiet_since_s + self._request_gap_s - time.monotonic()


class KLine:
    """The responses of one ECU; requests are recorded beside them, flagged SENT.

    shares: what each wanted value gets of the ECU's time, renewed several times a second.
    """

    def __init__(
        self, name: str, settings: KLineSettings, clock: Clock, wanted: Sequence[Wanted]
    ) -> None:
        self.info = SourceInfo(name, SourceKind.DIAGNOSTICS)
        self.shares: tuple[AchievedRate, ...] = ()
        self._settings = settings
        self._clock = clock
        self._wanted = wanted

    def run(self, emit: Emit, stop: threading.Event) -> None:
        """Poll until `stop`; SourceError when the port cannot be opened or the ECU is silent."""
        with _awake(self._settings, self._clock) as link:
            asker = Asker(self.info.name, link, emit, stop)
            poller = Poller(self.info.name, asker, self._wanted, at_once={})
            poller.discover()
            poller.run(stop, self._show)

    def _show(self, shares: tuple[AchievedRate, ...]) -> None:
        self.shares = shares


@contextlib.contextmanager
def _awake(settings: KLineSettings, clock: Clock) -> Iterator[KLineLink]:
    with contextlib.closing(GatedPort(settings.url, settings.baud)) as port:
        link = KLineLink(port, settings, clock)
        link.wake_up()
        try:
            yield link
        finally:
            with contextlib.suppress(SourceError):  # it may be gone; that has been said already
                link.say_goodbye()
