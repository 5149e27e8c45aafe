"""Keeps one source going: a thread of its own, and a new start whenever its adapter goes away."""

import asyncio
import logging
import random
import threading
from collections.abc import Callable
from enum import StrEnum
from typing import Final

from capture.sources.base.clock import Clock
from capture.sources.base.source import AchievedRate, PolledSource, Source
from capture.supervision.health import ReaderHealth, SourceCounts
from decode.errors import SourceError
from decode.records import Flag, RecordBatch

FIRST_WAIT_S: Final = 0.25  # a plug that lost contact is back within a blink
LONGEST_WAIT_S: Final = 5.0  # an adapter plugged in again is found while one still looks at it
GROWTH: Final = 2.0
JITTER: Final = 0.2  # several sources of one hub do not all retry in the same instant
# pyserial waits up to 5 s for a TCP connection and cannot be interrupted; then it is left behind.
STOP_TIMEOUT_S: Final = 6.0

logger = logging.getLogger(__name__)


class SourceState(StrEnum):
    """Where a source stands.

    idle -> opening -> delivering -> waiting -> opening ...   until stopped or ended
    """

    IDLE = "idle"
    OPENING = "opening"  # open or being opened, and nothing heard yet
    DELIVERING = "delivering"
    WAITING = "waiting"  # it could not be opened or has gone; the next try comes
    STOPPED = "stopped"
    ENDED = "ended"  # its data came to an end


class BackOff:
    """The waits between tries: growing, capped, scattered."""

    def __init__(self, scatter: Callable[[], float] = random.random) -> None:
        self._scatter = scatter
        self._next_s = FIRST_WAIT_S

    def next_s(self) -> float:
        """Seconds to wait before the next try."""
        wait_s = self._next_s * (1.0 + JITTER * (2.0 * self._scatter() - 1.0))
        self._next_s = min(self._next_s * GROWTH, LONGEST_WAIT_S)
        return wait_s

    def reset(self) -> None:
        """The source works again: the next outage starts with a short wait."""
        self._next_s = FIRST_WAIT_S


class SourceRunner:
    """Runs one source until cancelled, or until its data end.

    After an outage a GAP record stands before the first record; its payload says why. The first
    failure of an outage is logged as a warning, the tries after it quietly.
    """

    def __init__(self, source: Source, clock: Clock, back_off: BackOff | None = None) -> None:
        self.info = source.info
        self.state = SourceState.IDLE
        self.counts = SourceCounts()
        self.trouble: str | None = None  # why it is away, or None
        self._source = source
        self._clock = clock
        self._back_off = back_off or BackOff()
        self._stopping = threading.Event()
        self._attempt_over = threading.Event()  # ends the present try, or the wait for the next
        self._reopen_reason: str | None = None

    @property
    def name(self) -> str:
        """The source's name in the station."""
        return self.info.name

    @property
    def shares(self) -> tuple[AchievedRate, ...]:
        """What each wanted value of a polled source gets; empty while it does not deliver."""
        delivering = self.state is SourceState.DELIVERING
        return self._source.shares if delivering and isinstance(self._source, PolledSource) else ()

    @property
    def detects_silence_itself(self) -> bool:
        """Whether the source itself gives up when nobody answers: a polled one does, and knows
        that an ECU has asked for seconds of patience."""
        return isinstance(self._source, PolledSource)

    def health(self) -> ReaderHealth:
        """Its counts and state, to be shown."""
        return self.counts.health(self.info, self.state.value, self.trouble, self._clock.now_ns())

    def reopen(self, why: str) -> None:
        """Close the adapter and open it again, because it has fallen silent."""
        self._reopen_reason = why
        self._attempt_over.set()

    async def run(self, deliver: Callable[[RecordBatch], None]) -> None:
        """Deliver every batch, in the event loop; whatever is no SourceError is raised."""
        loop = asyncio.get_running_loop()
        ended: asyncio.Future[None] = loop.create_future()

        def receive(batch: RecordBatch) -> None:
            self.counts.add(batch)
            deliver(batch)

        def work() -> None:
            try:
                self._keep_going(lambda batch: _call(loop, receive, batch))
            except BaseException as error:  # handed to the task that waits for this thread
                _call(loop, _settle, ended, error)
            else:
                _call(loop, _settle, ended, None)

        thread = threading.Thread(target=work, name=f"source-{self.name}", daemon=True)
        thread.start()
        try:
            await asyncio.shield(ended)
        finally:
            self._stopping.set()
            self._attempt_over.set()
            await asyncio.wait([ended], timeout=STOP_TIMEOUT_S)
            if not ended.done():
                logger.warning("%s: does not stop; left behind", self.name)

    def _keep_going(self, hand_over: Callable[[RecordBatch], None]) -> None:
        why: str | None = None
        while not self._stopping.is_set():
            why = self._try_once(hand_over)
            if why is None or self._stopping.is_set():
                break
            self._wait_after(why)
        self.state = SourceState.STOPPED if self._stopping.is_set() else SourceState.ENDED

    def _try_once(self, hand_over: Callable[[RecordBatch], None]) -> str | None:
        """Run the source; returns why it must be opened again, None where it must not."""
        self._attempt_over.clear()
        self._reopen_reason = None
        if self._stopping.is_set():  # set just before it was cleared
            return None
        self.state = SourceState.OPENING
        try:
            self._source.run(self._emitter(hand_over), self._attempt_over)
        except SourceError as error:
            asked = self._reopen_request()
            return f"{asked}: {error}" if asked else str(error)
        return self._reopen_request()

    def _reopen_request(self) -> str | None:
        return self._reopen_reason

    def _emitter(self, hand_over: Callable[[RecordBatch], None]) -> Callable[[RecordBatch], None]:
        def emit(batch: RecordBatch) -> None:
            if self.state is not SourceState.DELIVERING:
                self._begin_delivery(batch, hand_over)
            hand_over(batch)

        return emit

    def _begin_delivery(self, first: RecordBatch, hand_over: Callable[[RecordBatch], None]) -> None:
        self.state = SourceState.DELIVERING
        self._back_off.reset()
        if self.trouble is None:
            return
        logger.warning("%s: back again", self.name)
        gap = RecordBatch.of(
            self.name,
            [int(first.arrived_ns[0])],
            [self.trouble.encode()],
            flags=[int(Flag.GAP)],
        )
        self.trouble = None
        hand_over(gap)

    def _wait_after(self, why: str) -> None:
        known = self.trouble is not None
        logger.log(logging.DEBUG if known else logging.WARNING, "%s: %s", self.name, why)
        self.trouble = self.trouble or why
        self.state = SourceState.WAITING
        if not self._stopping.is_set():
            self._stopping.wait(self._back_off.next_s())


def _call(
    loop: asyncio.AbstractEventLoop, function: Callable[..., None], *arguments: object
) -> None:
    try:
        loop.call_soon_threadsafe(function, *arguments)
    except RuntimeError:  # the loop closed while this thread was being left behind
        logger.debug("a source outlived its event loop")


def _settle(ended: "asyncio.Future[None]", error: BaseException | None) -> None:
    if ended.done():
        return
    if error is None:
        ended.set_result(None)
    else:
        ended.set_exception(error)
