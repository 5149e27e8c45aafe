"""One request and its answer, whatever carries them: patience, refusals, "response pending"."""

import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final, Protocol

from decode.diagnostics import NEGATIVE_RESPONSE, POSITIVE, READ_BY_IDENTIFIER
from decode.records import Flag, RecordBatch

# ISO 15765-4 and ISO 14230-2 give an ECU 50 ms; gateways, USB and a busy machine take their part.
RESPONSE_TIMEOUT_S: Final = 0.15
PENDING_TIMEOUT_S: Final = 5.0  # P2*: after "response pending" (ISO 14229-2)
LIMIT_S: Final = 15.0  # an ECU may ask for patience again and again, but not for ever
STOP_CHECK_S: Final = 0.05  # how long one wait lasts, so that a source can be stopped
SHORTEST_WAIT_S: Final = 0.005  # for the rest of a message that has begun

# Negative response codes of ISO 14229-1, annex A.
SERVICE_NOT_SUPPORTED: Final = 0x11
SUBFUNCTION_NOT_SUPPORTED: Final = 0x12
WRONG_LENGTH: Final = 0x13
RESPONSE_TOO_LONG: Final = 0x14
BUSY: Final = 0x21
OUT_OF_RANGE: Final = 0x31
SECURITY_ACCESS_DENIED: Final = 0x33
PENDING: Final = 0x78
NOT_IN_SESSION: Final = frozenset({0x7E, 0x7F})
REFUSAL: Final = {
    SERVICE_NOT_SUPPORTED: "the service is not supported",
    SUBFUNCTION_NOT_SUPPORTED: "it is not supported",
    WRONG_LENGTH: "the request has the wrong length",
    RESPONSE_TOO_LONG: "the response would be too long",
    BUSY: "it is busy",
    0x22: "the conditions are not right",
    OUT_OF_RANGE: "it does not have it",
    SECURITY_ACCESS_DENIED: "it wants to be unlocked first",
    0x7E: "not in this session",
    0x7F: "not in this session; `session: extended` may help",
}


@dataclass(frozen=True, slots=True)
class Message:
    """One whole request or response, without its transport's framing."""

    payload: bytes
    address: int
    at_ns: int
    flags: Flag = Flag.NONE


@dataclass(frozen=True, slots=True)
class Answer:
    """What an ECU said: the payload of its positive response, or why it refuses."""

    payload: bytes
    refusal: int | None = None

    @property
    def why(self) -> str:
        """The refusal in words."""
        code = self.refusal or 0
        return f"{REFUSAL.get(code, 'it refuses')} (code {code:#04x})"


class Link(Protocol):
    """A way to one ECU."""

    def send(self, request: bytes) -> Message:
        """Send one request; returns it as it went out. Forgets what has not been received."""

    def receive(self, timeout_s: float) -> Message | None:
        """The next whole message from the ECU, or None after about so long."""

    @property
    def receiving(self) -> bool:
        """Whether a message has begun and not ended: a long one takes its time."""

    def keep_alive(self) -> None:
        """Called between requests: tell the ECU that the tester is present, where it must know."""


class Asker:
    """Asks one ECU. Every response becomes a record, behind the request that it answers; from the
    first response on so does a request that is not answered."""

    def __init__(
        self,
        name: str,
        link: Link,
        emit: Callable[[RecordBatch], None],
        stop: threading.Event,
    ) -> None:
        self.timeout_s = RESPONSE_TIMEOUT_S
        self.pending_s = PENDING_TIMEOUT_S
        self._name = name
        self._link = link
        self._emit = emit
        self._stop = stop
        self._unsaid: list[Message] = []
        self._heard = False  # whether the ECU has ever answered

    def ask(self, request: bytes) -> Answer | None:
        """The final answer; None where none came in time, or `stop` was set."""
        sent = self._link.send(request)
        self.flush()  # while the ECU thinks
        answer: Answer | None = None
        for message in self._responses(request):
            self._unsaid += [message] if answer else [sent, message]
            answer = _answer(message.payload)
            if answer.refusal == PENDING:
                self.flush()  # the final answer may be seconds away, or not come
        if answer is not None:
            self._heard = True
        elif self._heard:  # before its first answer a source has nothing to deliver
            self._unsaid.append(sent)
        return None if answer is None or answer.refusal == PENDING else answer

    def flush(self) -> None:
        """Hand over what has been received."""
        if self._unsaid:
            self._emit(_batch(self._name, self._unsaid))
            self._unsaid = []

    def keep_alive(self) -> None:
        """See `Link`."""
        self._link.keep_alive()

    def _responses(self, request: bytes) -> Iterator[Message]:
        """Everything that answers the request, in order; the last is final unless time ran out."""
        now_s = time.monotonic()
        limit_s, deadline_s = now_s + LIMIT_S, now_s + self.timeout_s
        while not self._stop.is_set() and (now_s := time.monotonic()) < limit_s:
            if now_s >= deadline_s and not self._link.receiving:
                return
            left_s = max(deadline_s - now_s, SHORTEST_WAIT_S)
            message = self._link.receive(min(STOP_CHECK_S, left_s))
            if message is None or not answers(request, message.payload):
                continue
            yield message
            if _answer(message.payload).refusal != PENDING:
                return
            deadline_s = min(limit_s, time.monotonic() + self.pending_s)


def answers(request: bytes, payload: bytes) -> bool:
    """Whether a message can be the answer to a request: a late one to the one before is not."""
    service = request[0]
    if payload[:2] == bytes([NEGATIVE_RESPONSE, service]):
        return len(payload) == 3
    if payload[:1] != bytes([service + POSITIVE]):
        return False
    size = 2 if service == READ_BY_IDENTIFIER else 1
    named = payload[1 : 1 + size]
    asked = {request[at : at + size] for at in range(1, len(request), size)}
    return not asked or named in asked


def _answer(payload: bytes) -> Answer:
    return Answer(payload, payload[2] if payload[0] == NEGATIVE_RESPONSE else None)


def _batch(name: str, messages: list[Message]) -> RecordBatch:
    return RecordBatch.of(
        name,
        [message.at_ns for message in messages],
        [message.payload for message in messages],
        [message.address for message in messages],
        [int(message.flags) for message in messages],
    )
