"""Queues, counts and silence: the small parts between the sources and the pipeline."""

import asyncio
import sys
import time

import numpy as np
import pytest

from capture.bay.bounded_queue import BoundedQueue
from capture.bay.watchdog import START_GRACE_S, SilenceChange, Watchdog
from capture.sources.base.clock import Clock
from capture.supervision.health import SourceCounts
from decode.records import Flag, RecordBatch, SourceInfo, SourceKind


async def test_a_full_queue_drops_its_oldest_and_counts() -> None:
    queue: BoundedQueue[int] = BoundedQueue(3)
    for item in range(5):
        queue.put(item)
    queue.close()
    assert [item async for item in queue] == [2, 3, 4]
    assert queue.dropped == 2
    with pytest.raises(ValueError, match="closed"):
        queue.put(6)


async def test_a_waiting_taker_gets_items_as_they_come_and_the_end() -> None:
    queue: BoundedQueue[str] = BoundedQueue(1)
    taken: list[str] = []

    async def take() -> None:
        async for item in queue:
            taken.append(item)  # noqa: PERF401  (one by one, as they come)

    async with asyncio.timeout(5), asyncio.TaskGroup() as group:
        group.create_task(take())
        for item in "abc":
            await asyncio.sleep(0.001)
            queue.put(item)
        await asyncio.sleep(0.001)
        queue.close()
    assert taken == ["a", "b", "c"]
    assert queue.dropped == 0


def test_counts_tell_data_from_errors_gaps_and_losses() -> None:
    counts = SourceCounts()
    second_ns = 1_000_000_000
    for second in range(5):
        at_ns = second * second_ns
        counts.add(RecordBatch.of("engine", [at_ns] * 100, [b""] * 100, dropped_before=2))
    counts.add(
        RecordBatch.of(
            "engine",
            [4 * second_ns] * 3,
            [b""] * 3,
            flags=[int(Flag.GAP), int(Flag.ERROR), int(Flag.EXTENDED)],
        )
    )
    shown = counts.health(SourceInfo("engine", SourceKind.CAN), "delivering", None, 4 * second_ns)
    assert (shown.records, shown.lost, shown.errors, shown.gaps) == (501, 10, 1, 1)
    assert shown.rate_hz == pytest.approx(150.5)  # 100 at 2, 3 and 4 s, one more at 4 s
    assert shown.age_s == 0.0
    assert counts.rate_hz(10 * second_ns) == 0.0
    assert counts.age_s(10 * second_ns) == 6.0
    assert SourceCounts().age_s(0) is None


def test_silence_is_told_once_and_so_is_the_return() -> None:
    dog = Watchdog(["engine", "dyno"], now_s=0.0)
    for tick in range(1, 101):
        dog.note_arrival("engine", tick * 0.01)
        dog.note_arrival("dyno", tick * 0.01)
    assert dog.check(1.5) == []
    dog.note_arrival("dyno", 1.9)
    assert dog.check(2.5) == [SilenceChange("engine", silent=True, silent_s=1.5)]
    assert dog.check(2.6) == []
    dog.note_arrival("engine", 2.7)
    assert dog.check(2.7) == [SilenceChange("engine", silent=False, silent_s=0.0)]


def test_a_slow_source_is_granted_its_rhythm_and_a_new_one_its_start() -> None:
    dog = Watchdog(["weather"], now_s=0.0)
    assert dog.check(START_GRACE_S - 0.1) == []
    assert [change.silent for change in dog.check(START_GRACE_S + 0.1)] == [True]
    for number in range(10):
        dog.note_arrival("weather", 10.0 + 2.0 * number)
    assert [change.silent for change in dog.check(28.0)] == [False]
    assert dog.check(28.0 + 19.0) == []
    assert [change.silent for change in dog.check(28.0 + 21.0)] == [True]


@pytest.mark.parametrize("speed", [1.0, 8.0])
def test_the_clock_only_goes_forward_at_its_speed(speed: float) -> None:
    real, clock = Clock(), Clock(speed)
    start_ns, real_start_ns = clock.now_ns(), real.now_ns()
    read_ns = np.array([clock.now_ns() for _ in range(20_000)])
    elapsed_ns, real_ns = clock.now_ns() - start_ns, real.now_ns() - real_start_ns
    assert (np.diff(read_ns) >= 0).all()
    assert elapsed_ns == pytest.approx(speed * real_ns, rel=0.05)


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere every steady clock does")
def test_the_clock_counts_on_while_the_computer_is_suspended(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asleep_ns = 0
    steady = time.clock_gettime_ns
    monkeypatch.setattr(
        time,
        "clock_gettime_ns",
        lambda which: steady(which) + (asleep_ns if which == time.CLOCK_BOOTTIME else 0),
    )
    clock = Clock()
    before_ns = clock.now_ns()
    asleep_ns = 20_000_000_000
    assert clock.now_ns() - before_ns >= asleep_ns


@pytest.mark.parametrize("speed", [0.0, -1.0, 1e9, float("nan")])
def test_a_clock_of_no_sensible_speed_is_refused(speed: float) -> None:
    with pytest.raises(ValueError, match="clock speed"):
        Clock(speed)
