import asyncio
import logging
import threading
from collections.abc import Callable
from functools import partial

import pytest
from patience import PATIENCE_S, until
from transports import Adapter, Plug

from capture.sources.base.clock import Clock
from capture.sources.base.settings import LineSettings, SlcanSettings
from capture.sources.base.source import Emit
from capture.sources.can.slcan import SlcanBus
from capture.sources.serial.serial_port import SerialLines
from capture.supervision.reconnect import (
    FIRST_WAIT_S,
    JITTER,
    LONGEST_WAIT_S,
    BackOff,
    SourceRunner,
    SourceState,
)
from decode.errors import SourceError
from decode.records import Flag, RecordBatch, SourceInfo, SourceKind

CLOCK = Clock()
FOR_EVER_S = 1e6


class Scripted:
    """A source that does what each of its tries is told to do."""

    def __init__(self, *tries: Callable[[Emit, threading.Event], None]) -> None:
        self.info = SourceInfo("engine", SourceKind.CAN)
        self._tries = list(tries)

    def run(self, emit: Emit, stop: threading.Event) -> None:
        self._tries.pop(0)(emit, stop)


def deliver_until_stopped(emit: Emit, stop: threading.Event) -> None:
    while not stop.wait(0.002):
        emit(RecordBatch.of("engine", [CLOCK.now_ns()], [b"data"]))


def go_away(why: str) -> Callable[[Emit, threading.Event], None]:
    def run(emit: Emit, stop: threading.Event) -> None:
        raise SourceError(why)

    return run


def end(emit: Emit, stop: threading.Event) -> None:
    emit(RecordBatch.of("engine", [CLOCK.now_ns()], [b"last"]))


def wait_for_the_end(emit: Emit, stop: threading.Event) -> None:
    stop.wait(PATIENCE_S)


def has_records(runner: SourceRunner, count: int) -> bool:
    return runner.counts.records >= count


def quick() -> BackOff:
    back_off = BackOff()
    back_off._next_s = 0.01
    return back_off


async def test_delivers_in_the_event_loop_until_cancelled() -> None:
    runner = SourceRunner(Scripted(deliver_until_stopped), CLOCK)
    threads: set[threading.Thread] = set()
    task = asyncio.create_task(runner.run(lambda _: threads.add(threading.current_thread())))
    await until(lambda: runner.counts.records > 5)
    at_work = runner.state
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task
    assert threads == {threading.main_thread()}
    assert (at_work, runner.state) == (SourceState.DELIVERING, SourceState.STOPPED)
    await until(lambda: not [t for t in threading.enumerate() if t.name == "source-engine"])


async def test_a_source_whose_data_end_ends_its_run_with_everything_delivered() -> None:
    batches: list[RecordBatch] = []
    runner = SourceRunner(Scripted(end), CLOCK)
    await runner.run(batches.append)
    assert [batch.payload(0) for batch in batches] == [b"last"]
    assert runner.state is SourceState.ENDED


async def test_an_outage_is_loud_once_and_leaves_one_gap(caplog: pytest.LogCaptureFixture) -> None:
    batches: list[RecordBatch] = []
    tries = [go_away("unplugged"), go_away("still away"), go_away("still away"), end]
    with caplog.at_level(logging.WARNING):
        await SourceRunner(Scripted(*tries), CLOCK, quick()).run(batches.append)
    assert [(batch.flags[0], batch.payload(0)) for batch in batches] == [
        (Flag.GAP, b"unplugged"),
        (Flag.NONE, b"last"),
    ]
    assert [record.message for record in caplog.records] == [
        "engine: unplugged",
        "engine: back again",
    ]


async def test_a_silent_source_is_opened_again_with_the_reason_in_the_gap() -> None:
    batches: list[RecordBatch] = []
    tries = [wait_for_the_end, end]
    runner = SourceRunner(Scripted(*tries), CLOCK, quick())
    task = asyncio.create_task(runner.run(batches.append))
    await until(lambda: runner.state is SourceState.OPENING)
    runner.reopen("silent for 3 s")
    await task
    assert [batch.payload(0) for batch in batches] == [b"silent for 3 s", b"last"]


def fail_when_ended(emit: Emit, stop: threading.Event) -> None:
    """As a source does that has heard bytes and understood none."""
    stop.wait(5)
    raise SourceError("it speaks another language")


async def test_what_fails_because_it_is_ended_says_more_of_why_it_was() -> None:
    batches: list[RecordBatch] = []
    runner = SourceRunner(Scripted(fail_when_ended, end), CLOCK, quick())
    task = asyncio.create_task(runner.run(batches.append))
    await until(lambda: runner.state is SourceState.OPENING)
    runner.reopen("silent for 3 s")
    await task
    why = b"silent for 3 s: it speaks another language"
    assert [batch.payload(0) for batch in batches] == [why, b"last"]


async def test_what_fails_because_it_is_stopped_is_no_trouble(
    caplog: pytest.LogCaptureFixture,
) -> None:
    runner = SourceRunner(Scripted(fail_when_ended), CLOCK, quick())
    task = asyncio.create_task(runner.run(lambda _: None))
    await until(lambda: runner.state is SourceState.OPENING)
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task
    assert runner.health().trouble is None
    assert not caplog.records


async def test_a_programming_error_is_raised_and_not_retried() -> None:
    def broken(emit: Emit, stop: threading.Event) -> None:
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        await SourceRunner(Scripted(broken), CLOCK).run(lambda _: None)


async def test_stopping_does_not_wait_for_the_next_try() -> None:
    back_off = BackOff()
    back_off._next_s = FOR_EVER_S
    runner = SourceRunner(Scripted(go_away("unplugged")), CLOCK, back_off)
    task = asyncio.create_task(runner.run(lambda _: None))
    await until(lambda: runner.state is SourceState.WAITING)
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task
    assert runner.health().trouble == "unplugged"


def test_waits_grow_to_a_cap_and_start_short_again() -> None:
    back_off = BackOff(scatter=lambda: 0.5)
    waits = [back_off.next_s() for _ in range(8)]
    assert waits[:3] == [FIRST_WAIT_S, 2 * FIRST_WAIT_S, 4 * FIRST_WAIT_S]
    assert waits[-1] == LONGEST_WAIT_S
    back_off.reset()
    assert back_off.next_s() == FIRST_WAIT_S


@pytest.mark.parametrize(("scatter", "factor"), [(0.0, 1 - JITTER), (1.0, 1 + JITTER)])
def test_waits_are_scattered(scatter: float, factor: float) -> None:
    assert BackOff(scatter=lambda: scatter).next_s() == pytest.approx(FIRST_WAIT_S * factor)


async def test_unplug_and_replug_of_two_real_ports(plug: Plug, tmp_path: object) -> None:
    """One slcan adapter and one line device; the second keeps going while the first is away."""
    other = Plug(plug.link.with_name("dyno"))
    other.plug_in()
    slcan = SlcanSettings(interface="slcan", channel=plug.url)
    engine = SourceRunner(SlcanBus("engine", slcan, CLOCK), CLOCK, quick())
    dyno = SourceRunner(SerialLines("dyno", LineSettings(url=other.url), CLOCK), CLOCK, quick())
    batches: list[RecordBatch] = []
    async with asyncio.TaskGroup() as group:
        tasks = [group.create_task(runner.run(batches.append)) for runner in (engine, dyno)]
        for plugged in range(2):
            with Adapter(plug) as adapter:
                await until(adapter.opened.is_set)
                plug.write(b"t3101%02X\r" % plugged)
                await until(partial(has_records, engine, plugged + 1))
            plug.unplug()
            await until(lambda: engine.state is SourceState.WAITING)
            other.write(b"\nD;1\n")
            await until(partial(has_records, dyno, plugged + 1))
            plug.plug_in()
        for task in tasks:
            task.cancel()
    other.unplug()
    assert engine.counts.gaps == 1
    assert dyno.counts.gaps == 0
    of_engine = [batch for batch in batches if batch.source == "engine"]
    assert [batch.flags[0] for batch in of_engine] == [Flag.NONE, Flag.GAP, Flag.NONE]
    assert "has gone" in of_engine[1].payload(0).decode()
