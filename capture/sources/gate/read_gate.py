"""The one gate between pullwatch and a vehicle: what is no read request does not get through.

Every byte that a polled source sends passes here, below ISO-TP and below the K-line's framing: the
gate reads the frames themselves and takes nobody's word for what is in them. read_requests.py says
what a read request is: the gate never lets through anything but

    CAN      SAE J1979 0x01 and 0x09; ISO 14229 0x22 (read by identifier), 0x3E (tester present)
             and 0x10 into the default or the extended session, without which some ECUs do not
             answer a read; flow control of ISO 15765-2
    K-line   SAE J1979 0x01; ISO 14230-3 0x21 and 0x22 (read by identifier), 0x3E (tester present),
             0x81 and 0x82 (start and stop communication); the wake-up pattern of ISO 14230-2

and on CAN only under identifiers that are set aside for requests of a tester.
"""

import contextlib
import time
from collections.abc import Callable
from typing import Final, Protocol, TypeVar

import can
import serial

from capture.sources.gate.read_requests import (
    FUNCTIONAL,
    HIGHEST_REQUEST,
    NotAReadError,
    check_can_request,
    check_k_line_frame,
    is_request_identifier,
)
from decode.errors import SourceError

SINGLE, FIRST, CONSECUTIVE, FLOW_CONTROL = range(4)  # ISO 15765-2, high half of the first byte
FIRST_FRAME_DATA: Final = 6
CONSECUTIVE_DATA: Final = 7
SHORTEST_SEGMENTED: Final = 8  # 7 bytes and less fit a single frame
LAST_FLOW_STATUS: Final = 2  # continue, wait, overflow

WAKE_UP_BAUD: Final = 360  # start bit and 8 zero bits of one byte: 9 / 360 s = 25 ms low
WAKE_UP_S: Final = 0.050  # ISO 14230-2, TWuP: from the falling edge to the first request, +- 1 ms
WAKE_UP_BYTE_S: Final = 0.030  # by now its 10 bits are out (27.8 ms)
READ_TIMEOUT_S: Final = 0.02  # longer than a quick ECU takes: each wait that ends early costs
WRITE_TIMEOUT_S: Final = 1.0
BITS_PER_BYTE: Final = 10  # start, 8 data, stop

T = TypeVar("T")


class IsoTpCheck:
    """Checks frame after frame; knows which request is being sent in several.

    Such a request can only be a 0x22 with more identifiers than one frame holds: what follows its
    first frame are identifiers to be read, whatever their bytes.
    """

    def __init__(self) -> None:
        self._identifier = 0
        self._sequence = 0
        self._left = 0  # bytes of the request that still have to come

    def check(self, frame: can.Message) -> None:
        """Raises NotAReadError unless it is a read request, a part of one, or flow control."""
        identifier, data = frame.arbitration_id, bytes(frame.data)
        special = frame.is_fd or frame.is_remote_frame or frame.is_error_frame
        if special or not is_request_identifier(identifier, frame.is_extended_id):
            raise NotAReadError(f"{frame} is no request to an ECU")
        kind = data[0] >> 4 if data else None
        if kind == SINGLE:
            self._check_single(data, identifier in FUNCTIONAL)
        elif identifier in FUNCTIONAL:
            raise NotAReadError(f"{frame} is to all ECUs, and more than a single frame")
        elif kind == FIRST:
            self._check_first(data, identifier)
        elif kind == CONSECUTIVE:
            self._check_consecutive(data, identifier)
        elif kind == FLOW_CONTROL:
            _check_padded(data, 3)
            if data[0] & 0xF > LAST_FLOW_STATUS:
                raise NotAReadError(f"{data.hex(' ')} has no flow status that exists")
        else:
            raise NotAReadError(f"{data.hex(' ')} is no frame of ISO 15765-2")

    def _check_single(self, data: bytes, functional: bool) -> None:
        self._left = 0
        length = data[0] & 0xF
        _check_padded(data, 1 + length)
        check_can_request(data[1 : 1 + length], functional)

    def _check_first(self, data: bytes, identifier: int) -> None:
        self._left = 0
        length = int.from_bytes(data[:2], "big") & 0xFFF
        is_read = data[2:3] == b"\x22" and length % 2 == 1
        if len(data) != 2 + FIRST_FRAME_DATA or length < SHORTEST_SEGMENTED or not is_read:
            raise NotAReadError(f"{data.hex(' ')} begins no read request")
        self._identifier, self._sequence = identifier, 1
        self._left = length - FIRST_FRAME_DATA

    def _check_consecutive(self, data: bytes, identifier: int) -> None:
        expected = self._left > 0 and data[0] & 0xF == self._sequence
        if not expected or identifier != self._identifier:
            self._left = 0
            raise NotAReadError(f"{data.hex(' ')} continues no read request")
        _check_padded(data, 1 + min(self._left, CONSECUTIVE_DATA))
        self._sequence = (self._sequence + 1) & 0xF
        self._left = max(0, self._left - CONSECUTIVE_DATA)


def _check_padded(data: bytes, length: int) -> None:
    """The bytes behind `length` only fill the frame: all the same."""
    if not length <= len(data) <= 8 or len(set(data[length:])) > 1:
        raise NotAReadError(f"{data.hex(' ')} holds more than the {length} bytes it should")


class Wire(Protocol):
    """What a bus must be able to do; every python-can bus is."""

    def send(self, msg: can.Message, timeout: float | None = None) -> None: ...

    def recv(self, timeout: float | None = None) -> can.Message | None: ...

    def set_filters(self, filters: can.typechecking.CanFilters | None = None) -> None: ...

    def shutdown(self) -> None: ...


class GatedBus:
    """A bus that only read requests can be sent on. Takes the bus over.

    An adapter that is pulled out, or a damaged byte, makes python-can's interfaces raise whatever
    their driver does (ValueError, termios.error, ...): here that is all one SourceError.
    """

    def __init__(self, bus: Wire, where: str = "the bus") -> None:
        """where: what the bus is called in messages."""
        self._bus = bus
        self._where = where
        self._check = IsoTpCheck()

    def send(self, frame: can.Message) -> None:
        """Send one frame; NotAReadError where it must not be sent, SourceError where it cannot."""
        self._check.check(frame)
        try:
            self._bus.send(frame, WRITE_TIMEOUT_S)
        except Exception as error:
            raise SourceError(f"{self._where} takes no frame: {error}") from error

    def recv(self, timeout_s: float) -> can.Message | None:
        """The next frame, or None after the timeout."""
        try:
            return self._bus.recv(timeout_s)
        except Exception as error:
            raise SourceError(f"{self._where} has gone: {error}") from error

    def close(self) -> None:
        """Let go of the bus, which may be gone already."""
        with contextlib.suppress(Exception):
            self._bus.shutdown()

    def listen_to(self, identifiers: dict[int, int]) -> None:
        """Receive only these: by identifier, the bits of it that must agree."""
        self._bus.set_filters(
            [
                {"can_id": identifier, "can_mask": mask, "extended": identifier > HIGHEST_REQUEST}
                for identifier, mask in identifiers.items()
            ]
        )


class GatedPort:
    """A serial port that only K-line frames with a read request can be sent through."""

    def __init__(self, url: str, baud: int) -> None:
        self.url, self._baud = url, baud
        try:
            self._port: serial.SerialBase = serial.serial_for_url(
                url,
                baudrate=baud,
                timeout=READ_TIMEOUT_S,
                write_timeout=WRITE_TIMEOUT_S,
                exclusive=True,
            )
        except Exception as error:  # OSError, ValueError; a driver's refusal is a termios.error
            raise SourceError(f"{url} cannot be opened at {baud} baud: {error}") from error

    def close(self) -> None:
        """Let go of the port."""
        self._port.close()

    def wake_up(self) -> None:
        """The wake-up pattern of the fast initialisation: 25 ms low, then high until 50 ms.

        The low is one zero byte at 360 baud, so that the adapter times it and not a scheduler.
        """
        started_s = time.perf_counter()
        self._guarded(lambda: setattr(self._port, "baudrate", WAKE_UP_BAUD))
        self._guarded(lambda: self._port.write(b"\x00"))
        _sleep_until(started_s + WAKE_UP_BYTE_S)
        self._guarded(lambda: setattr(self._port, "baudrate", self._baud))
        self._guarded(self._port.reset_input_buffer)  # its echo
        _sleep_until(started_s + WAKE_UP_S)

    def send(self, frame: bytes, byte_gap_s: float) -> None:
        """Send one frame, with a pause after each byte; NotAReadError where it must not be sent."""
        check_k_line_frame(frame)
        if byte_gap_s == 0.0:
            self._guarded(lambda: self._port.write(frame))
            return
        step_s = byte_gap_s + BITS_PER_BYTE / self._baud
        at_s = time.perf_counter()
        for byte in frame:
            self._guarded(lambda byte=byte: self._port.write(bytes([byte])))  # type: ignore[misc]
            at_s = max(at_s + step_s, time.perf_counter() + byte_gap_s)
            _sleep_until(at_s)

    def read(self) -> bytes:
        """What has arrived; waits READ_TIMEOUT_S for the first byte."""
        return self._guarded(lambda: bytes(self._port.read(1) + self._port.read_all()))

    def _guarded(self, action: Callable[[], T]) -> T:
        try:
            return action()
        except Exception as error:  # OSError, termios.error; TypeError: closed under a read
            raise SourceError(f"{self.url} has gone: {error}") from error


def _sleep_until(at_s: float) -> None:
    time.sleep(max(0.0, at_s - time.perf_counter()))
