"""The CAN identifiers of one ECU: under which it is asked, under which it answers (ISO 15765-4)."""

from dataclasses import dataclass
from typing import Final

from capture.sources.gate.read_requests import FUNCTIONAL, RESPONSES, is_request_identifier
from decode.records import Flag

LARGEST_STANDARD: Final = 0x7FF
RESPONSE_OFFSET: Final = 8  # 11 bits: an ECU asked under 0x7E0 answers under 0x7E8


@dataclass(frozen=True, slots=True)
class Addresses:
    """Under which identifiers one ECU is asked and answers; above 0x7FF they have 29 bits."""

    request: int
    response: int

    @property
    def extended(self) -> bool:
        """Whether they have 29 bits."""
        return self.request > LARGEST_STANDARD

    @property
    def flags(self) -> Flag:
        """Of the records of this ECU."""
        return Flag.EXTENDED if self.extended else Flag.NONE


def response_to(request: int) -> int | None:
    """Under which identifier a request is answered by the standards; None where they do not say."""
    if not is_request_identifier(request, request > LARGEST_STANDARD) or request in FUNCTIONAL:
        return None
    if request > LARGEST_STANDARD:  # 18DA target source: target and source change places
        return request & ~0xFFFF | (request & 0xFF) << 8 | (request >> 8) & 0xFF
    response = request + RESPONSE_OFFSET
    return response if response in RESPONSES else None


def request_answered_by(response: int) -> int:
    """Which identifier asks the ECU that has answered a question to all under `response`."""
    if response > LARGEST_STANDARD:
        return response & ~0xFFFF | (response & 0xFF) << 8 | (response >> 8) & 0xFF
    return response - RESPONSE_OFFSET
