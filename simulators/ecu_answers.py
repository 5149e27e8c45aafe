"""What a simulated ECU answers to a request of SAE J1979, ISO 14229 or ISO 14230."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Final

Content = Callable[[], bytes]  # the bytes of a value at this moment

POSITIVE: Final = 0x40
NEGATIVE: Final = 0x7F
PENDING: Final = 0x78
SUPPORT_SPAN: Final = 0x20
MOST_PARAMETERS: Final = 6

SERVICE_NOT_SUPPORTED: Final = 0x11
SUBFUNCTION_NOT_SUPPORTED: Final = 0x12
WRONG_LENGTH: Final = 0x13
OUT_OF_RANGE: Final = 0x31
EXTENDED_SESSION: Final = 0x03
SESSION_TIMING: Final = bytes.fromhex("0032 01F4")  # P2 50 ms, P2* 5,000 ms


def constant(values: Mapping[int, bytes]) -> dict[int, Content]:
    """Values that never change."""
    return {number: (lambda data=data: data) for number, data in values.items()}  # type: ignore[misc]


@dataclass
class EcuAnswers:
    """parameters: service 0x01. identifiers: 0x22. blocks: 0x21 of ISO 14230.

    response_time_s: from the end of a request to the start of its response. pending: how often it
    asks for patience before each answer, every response_time_s. in_session: the identifiers it
    gives in the extended session only. silent: it hears nothing, as with the ignition off.
    """

    parameters: dict[int, Content] = field(default_factory=dict)
    identifiers: dict[int, Content] = field(default_factory=dict)
    blocks: dict[int, Content] = field(default_factory=dict)
    response_time_s: float = 0.0
    pending: int = 0
    identifiers_at_once: int = 3
    in_session: frozenset[int] = frozenset()
    unanswered: frozenset[int] = frozenset()  # identifiers it never answers a request for
    silent: bool = False
    session: int = 0x01
    heard: list[bytes] = field(default_factory=list)

    def answer(self, request: bytes, functional: bool = False) -> list[bytes]:
        """The responses to one request, in order; one to all ECUs is never refused."""
        self.heard.append(request)
        response = b"" if self.silent else self._final(request)
        if not response or (functional and response[0] == NEGATIVE):
            return []
        return [bytes([NEGATIVE, request[0], PENDING])] * self.pending + [response]

    def _final(self, request: bytes) -> bytes:
        match request[0]:
            case 0x01:
                return self._current_data(request[1:])
            case 0x22:
                return self._by_identifier(request[1:])
            case 0x21 if request[1] in self.blocks:
                return bytes([0x61, request[1]]) + self.blocks[request[1]]()
            case 0x21:
                return _refuse(request, OUT_OF_RANGE)
            case 0x10:
                self.session = request[1]
                return bytes([0x50, request[1]]) + SESSION_TIMING
            case 0x3E:
                return b"" if request[1:] in (b"\x80", b"\x02") else b"\x7e" + request[1:]
        return _refuse(request, SERVICE_NOT_SUPPORTED)

    def _current_data(self, numbers: bytes) -> bytes:
        """What is not supported is left out; where nothing is left, the request is refused."""
        if not 1 <= len(numbers) <= MOST_PARAMETERS:
            return _refuse(b"\x01", WRONG_LENGTH)
        known = {**self.parameters, **self._support()}
        data = [bytes([n]) + known[n]() for n in numbers if n in known]
        return b"\x41" + b"".join(data) if data else _refuse(b"\x01", SUBFUNCTION_NOT_SUPPORTED)

    def _support(self) -> dict[int, Content]:
        """The answers to 0x00, 0x20, ...: each says whether the next exists."""
        bases = range(0, max(self.parameters, default=0) + 1, SUPPORT_SPAN)
        exist = self.parameters.keys() | set(bases)
        return constant({base: support_bits(base, exist) for base in bases})

    def _by_identifier(self, asked: bytes) -> bytes:
        numbers = [int.from_bytes(asked[at : at + 2], "big") for at in range(0, len(asked), 2)]
        if len(numbers) > self.identifiers_at_once or len(asked) % 2:
            return _refuse(b"\x22", WRONG_LENGTH)
        if self.unanswered & set(numbers):
            return b""
        closed = frozenset() if self.session == EXTENDED_SESSION else self.in_session
        data = [
            n.to_bytes(2, "big") + self.identifiers[n]()
            for n in numbers
            if n in self.identifiers and n not in closed
        ]
        return b"\x62" + b"".join(data) if data else _refuse(b"\x22", OUT_OF_RANGE)


def support_bits(base: int, exist: Iterable[int]) -> bytes:
    """Which of the 32 parameters behind `base` exist, the highest bit first."""
    bits = sum(1 << (base + SUPPORT_SPAN - n) for n in exist if base < n <= base + SUPPORT_SPAN)
    return bits.to_bytes(4, "big")


def _refuse(request: bytes, code: int) -> bytes:
    return bytes([NEGATIVE, request[0], code])
