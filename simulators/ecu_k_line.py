"""A simulated ECU on a K-line: a pty that echoes, wakes up, and answers with ISO 14230's timing.

A pty has no level and no baud rate: the wake-up's 25 ms low is the zero byte it is sent as.
"""

import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from simulators.ecu_answers import EcuAnswers
from simulators.ecu_isotp import sleep_until
from simulators.ports import Port

POLL_S: Final = 0.0002
WAKE_UP: Final = 0x00
TESTER: Final = 0xF1
START: Final = b"\x81"
STOP: Final = b"\x82"
LATEST_START_S: Final = 0.3
P3_MAX_S: Final = 5.0  # without a request for so long it falls asleep


@dataclass(frozen=True, slots=True)
class Request:
    """header: the bytes before the data."""

    header: bytes
    data: bytes

    @property
    def addressed(self) -> bool:
        return len(self.header) > 2

    @property
    def functional(self) -> bool:
        return self.addressed and self.header[0] >> 6 == 3

    def is_for(self, address: int) -> bool:
        """Whether the ECU at this address answers."""
        return not self.addressed or self.functional or self.header[1] == address


@dataclass
class KLineEcu:
    """keys: the key bytes it starts with. echo: the adapter hands back what is sent.

    others: what further ECUs on the line answer, by address; they answer before it does.
    byte_gap_s: between the bytes of its responses (P1). spoil: how many responses from now on are
    damaged on the way. frames: every sound request, whole; gaps_s: before each, since its last
    response; byte_gaps_s: from byte to byte, the mean of
    each. wake_ups_s: from the start of each wake-up to the first request.
    """

    port: Port
    answers: EcuAnswers
    keys: bytes = bytes.fromhex("EF8F")
    address: int = 0x11
    others: Mapping[int, EcuAnswers] = field(default_factory=dict)
    echo: bool = True
    byte_gap_s: float = 0.0
    spoil: int = 0
    awake: bool = False
    frames: list[bytes] = field(default_factory=list)
    responses: list[bytes] = field(default_factory=list)
    gaps_s: list[float] = field(default_factory=list)
    byte_gaps_s: list[float] = field(default_factory=list)
    wake_ups_s: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="simulated ecu")
        self._received = b""
        self._times_s: list[float] = []
        self._woken_s = self._quiet_s = 0.0

    def __enter__(self) -> "KLineEcu":
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join()

    def _run(self) -> None:
        while not self._stop.is_set():
            data = self.port.read()
            if not data:
                time.sleep(POLL_S)
                continue
            if self.echo:
                self.port.write(data)
            now_s = time.perf_counter()
            if self.awake and now_s - self._quiet_s > P3_MAX_S:
                self.awake = False
            self._take(data, now_s)

    def _take(self, data: bytes, now_s: float) -> None:
        if not self.awake and not self._received and data[0] == WAKE_UP:
            self._woken_s, data = now_s, data[1:]
        self._received += data
        self._times_s += [now_s] * len(data)
        while (size := _size(self._received)) is not None and len(self._received) >= size:
            frame, self._received = self._received[:size], self._received[size:]
            times_s, self._times_s = self._times_s[:size], self._times_s[size:]
            if sum(frame[:-1]) & 0xFF == frame[-1]:
                self._note(frame, times_s)
                self._respond(_request(frame), now_s)

    def _note(self, frame: bytes, times_s: list[float]) -> None:
        if _request(frame).data == START:
            self.wake_ups_s.append(times_s[0] - self._woken_s)
        self.frames.append(frame)
        self.gaps_s.append(times_s[0] - self._quiet_s)
        self.byte_gaps_s.append((times_s[-1] - times_s[0]) / (len(frame) - 1))

    def _respond(self, request: Request, now_s: float) -> None:
        self._quiet_s = now_s
        for address, answers in (*self.others.items(), (self.address, self.answers)):
            if request.is_for(address):
                self._respond_as(address, answers, request, now_s)

    def _respond_as(
        self, address: int, answers: EcuAnswers, request: Request, now_s: float
    ) -> None:
        if request.data == START:
            if answers.silent or now_s - self._woken_s > LATEST_START_S:
                return
            self.awake = True
            responses = [b"\xc1" + self.keys]
        elif not self.awake:
            return
        elif request.data == STOP:
            self.awake = False
            responses = [b"\xc2"]
        else:
            responses = answers.answer(request.data, request.functional)
        for data in responses:
            now_s += answers.response_time_s
            self._send(data, request, address, now_s)

    def _send(self, data: bytes, request: Request, address: int, at_s: float) -> None:
        """In the form of the request: with addresses where it had some."""
        addresses = bytes([TESTER, address]) if request.addressed else b""
        own_byte = len(data) > 0x3F
        form = (0x80 if addresses else 0x00) | (0 if own_byte else len(data))
        frame = bytes([form]) + addresses + bytes([len(data)] * own_byte) + data
        frame += bytes([sum(frame) & 0xFF])
        self.responses.append(frame)
        sleep_until(at_s)
        if self.spoil:
            self.spoil -= 1
            frame = frame[:-1] + bytes([frame[-1] ^ 0x10])
        for piece in [frame] if self.byte_gap_s == 0.0 else [bytes([b]) for b in frame]:
            self._quiet_s = time.perf_counter()
            self.port.write(piece)
            time.sleep(self.byte_gap_s)


def _size(received: bytes) -> int | None:
    """How long the frame is that begins here; None: not yet known."""
    if not received:
        return None
    header = 3 if received[0] & 0x80 else 1
    if received[0] & 0x3F:
        return header + (received[0] & 0x3F) + 1
    return header + 1 + received[header] + 1 if len(received) > header else None


def _request(frame: bytes) -> Request:
    header = 3 if frame[0] & 0x80 else 1
    start = header if frame[0] & 0x3F else header + 1
    return Request(frame[:start], frame[start:-1])
