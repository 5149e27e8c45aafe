"""What a read request is, on CAN and on the K-line: pure rules, which the gate applies.

Knows no bus and no port, so that a station file is checked by them without any driver.
"""

import contextlib
import re
from typing import Final

from capture.sources.gate.k_line_frames import TESTER, Addressing, decode
from capture.sources.gate.slcan_frames import parse_frames
from decode.errors import PullwatchError

MOST_PARAMETERS: Final = 6  # of one J1979 request on CAN
SESSIONS: Final = (0x01, 0x03)  # ISO 14229-1: default, extended

# 11 bits: what ISO 15765-4 names lies here, and where a maker has request identifiers of its own
# they do too (common practice, no published source); below it a car's own traffic may lie.
LOWEST_REQUEST: Final = 0x700
HIGHEST_REQUEST: Final = 0x7FF
RESPONSES: Final = range(0x7E8, 0x7F0)  # of ECUs (ISO 15765-4): a tester never sends under them
FUNCTIONAL: Final = (0x7DF, 0x18DB33F1)
# 29 bits: 18DA tt F1, from the tester (F1) to one ECU (ISO 15765-4).
PHYSICAL_29: Final = 0x18DA0000 | TESTER
TARGET_BITS: Final = 0x0000FF00


class NotAReadError(PullwatchError):
    """Something else than a read request was about to be sent to a vehicle; nothing was sent."""


def check_can_request(request: bytes, functional: bool = False) -> None:
    """Raises NotAReadError unless it is one whole allowed request of J1979 or ISO 14229."""
    service, rest = request[:1], request[1:]
    allowed = (
        (service in (b"\x01", b"\x09") and 1 <= len(rest) <= MOST_PARAMETERS)
        or (service == b"\x22" and len(rest) >= 2 and len(rest) % 2 == 0)
        or (service == b"\x3e" and rest in (b"\x00", b"\x80"))
        # never functional: that would take every ECU of the car out of its session
        or (service == b"\x10" and len(rest) == 1 and rest[0] in SESSIONS and not functional)
    )
    if not allowed:
        raise NotAReadError(f"{request.hex(' ')} is no read request (ISO 14229, SAE J1979)")


def check_k_line_request(request: bytes) -> None:
    """Raises NotAReadError unless it is one whole allowed request of J1979 or ISO 14230-3."""
    service, rest = request[:1], request[1:]
    allowed = (
        (service in (b"\x01", b"\x21") and len(rest) == 1)
        or (service == b"\x22" and len(rest) == 2)
        or (service == b"\x3e" and rest in (b"", b"\x01", b"\x02"))
        or request in (b"\x81", b"\x82")
    )
    if not allowed:
        raise NotAReadError(f"{request.hex(' ')} is no read request (ISO 14230-3, SAE J1979)")


def check_k_line_frame(frame: bytes) -> None:
    """Raises NotAReadError unless it is one sound frame of a tester with a read request."""
    try:
        decoded = decode(frame)
    except ValueError as error:
        raise NotAReadError(f"{frame.hex(' ')} is no K-line frame: {error}") from error
    if decoded.addressing is not Addressing.NONE and decoded.source != TESTER:
        raise NotAReadError(f"{frame.hex(' ')} claims to come from {decoded.source:#04x}")
    check_k_line_request(decoded.data)


def check_device_command(command: bytes) -> None:
    """Raises NotAReadError where a command to a serial device would be a frame to a vehicle, were
    the port that of an slcan or K-line adapter: those are polled through this gate alone."""
    for line in re.split(rb"[\r\n]", command):
        if parse_frames([line]).address:
            raise NotAReadError(
                f"{line.decode()!r} would send a CAN frame through an slcan adapter"
            )
    with contextlib.suppress(ValueError):
        frame = decode(command)
        if frame.source == TESTER:
            raise NotAReadError(f"{command.hex(' ')} would be a tester's frame on a K-line")


def is_request_identifier(identifier: int, extended: bool) -> bool:
    """Whether a tester may send under this CAN identifier at all."""
    if extended:
        return identifier in FUNCTIONAL[1:] or identifier & ~TARGET_BITS == PHYSICAL_29
    return LOWEST_REQUEST <= identifier <= HIGHEST_REQUEST and identifier not in RESPONSES
