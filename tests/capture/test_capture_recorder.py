import asyncio
import dataclasses
import errno
import io
import random
import subprocess
import sys
import threading
import time
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest
from patience import wait_until

from capture.recording.format import BlockWriter
from capture.recording.reader import read_recording
from capture.recording.recorder import OLDEST_PENDING_S, Recorder
from decode.errors import RecordingError
from decode.records import Flag, RecordBatch, SessionInfo, SourceInfo, SourceKind

SOURCES = (
    SourceInfo("engine", SourceKind.CAN),
    SourceInfo("dyno", SourceKind.LINES),
    SourceInfo("table", SourceKind.TABLE, ("Engine speed (rpm)", "λ")),
)
SESSION = SessionInfo("s1", "bay-1", 12, 1_700_000_000_000_000_000, SOURCES, "channels: {}\n")


def made_up_batches(count: int) -> list[RecordBatch]:
    """Batches of several sources, with empty and long payloads and every column in use."""
    rng = random.Random(1)
    batches = []
    for number in range(count):
        size = rng.randrange(1, 40)
        batches.append(
            RecordBatch.of(
                source=rng.choice(SOURCES).name,
                arrived_ns=[number * 5_000_000 + i for i in range(size)],
                payloads=[rng.randbytes(rng.choice((0, 8, 64, 300))) for _ in range(size)],
                address=[rng.randrange(2**32) for _ in range(size)],
                flags=[int(rng.choice(list(Flag))) for _ in range(size)],
                adapter_ns=[rng.randrange(-1, 2**62) for _ in range(size)],
                dropped_before=rng.choice((0, 0, 3)),
            )
        )
    return batches


def assert_same(read: list[RecordBatch], put: list[RecordBatch]) -> None:
    assert len(read) == len(put)
    for one, other in zip(read, put, strict=True):
        for column in dataclasses.fields(RecordBatch):
            mine, theirs = getattr(one, column.name), getattr(other, column.name)
            if isinstance(theirs, np.ndarray):
                assert mine.dtype == theirs.dtype
            np.testing.assert_array_equal(mine, theirs)


async def record(path: Path, batches: list[RecordBatch], pause_s: float = 0.0) -> None:
    async with Recorder(path, SESSION) as recorder:
        for batch in batches:
            recorder.put(batch)
            await asyncio.sleep(pause_s)


async def test_what_was_put_is_read_back_batch_by_batch(tmp_path: Path) -> None:
    batches = made_up_batches(60)
    await record(tmp_path / "r.arrows.zst", batches, 0.005)
    recording = read_recording(tmp_path / "r.arrows.zst")
    assert recording.session == SESSION
    assert_same(list(recording.batches()), batches)
    assert recording.torn is None


async def test_a_session_without_a_record_is_a_recording(tmp_path: Path) -> None:
    await record(tmp_path / "r.arrows.zst", [])
    recording = read_recording(tmp_path / "r.arrows.zst")
    assert list(recording.batches()) == []
    assert recording.torn is None


async def test_the_head_is_on_disk_before_the_first_record(tmp_path: Path) -> None:
    async with Recorder(tmp_path / "r.arrows.zst", SESSION):
        recording = read_recording(tmp_path / "r.arrows.zst")
        assert recording.session == SESSION
        assert list(recording.batches()) == []
        assert recording.torn is not None


@pytest.mark.slow
async def test_a_file_cut_at_any_byte_is_read_up_to_the_cut(tmp_path: Path) -> None:
    batches = made_up_batches(120)
    whole, cut = tmp_path / "r.arrows.zst", tmp_path / "cut.arrows.zst"
    await record(whole, batches, 0.004)
    data = whole.read_bytes()
    rng = random.Random(2)
    shortest = 0
    counts: list[int] = []
    for length in sorted(rng.randrange(len(data)) for _ in range(150)):
        cut.write_bytes(data[:length])
        try:
            recording = read_recording(cut)
        except RecordingError:  # cut inside the head: there is no record before it
            assert not counts
            shortest = length
            continue
        read = list(recording.batches())
        assert_same(read, batches[: len(read)])
        assert recording.torn is not None
        counts.append(len(read))
    assert shortest < 4_000
    assert counts == sorted(counts)
    assert len(set(counts)) > 3  # the cuts fell into different blocks


@pytest.mark.slow
async def test_damaged_bytes_never_crash_the_reader_nor_change_a_record(tmp_path: Path) -> None:
    whole, damaged = tmp_path / "r.arrows.zst", tmp_path / "damaged.arrows.zst"
    batches = made_up_batches(40)
    await record(whole, batches, 0.004)
    data = whole.read_bytes()
    rng = random.Random(3)
    for _ in range(200):
        changed = bytearray(data)
        at = rng.randrange(len(data))
        changed[at : at + 64] = rng.choice((bytes(64), rng.randbytes(64)))
        damaged.write_bytes(changed)
        try:
            read = list(read_recording(damaged).batches())
        except RecordingError:
            continue  # the head itself is damaged, and that is said
        assert_same(read, batches[: len(read)])


def test_what_is_no_recording_is_refused(tmp_path: Path) -> None:
    (tmp_path / "text.arrows.zst").write_text("time;rpm\n")
    for name in ("text.arrows.zst", "absent.arrows.zst"):
        with pytest.raises(RecordingError, match=name):
            read_recording(tmp_path / name)


async def test_a_recording_is_never_overwritten(tmp_path: Path) -> None:
    (tmp_path / "r.arrows.zst").write_bytes(b"earlier")
    with pytest.raises(RecordingError, match="cannot be written"):
        await record(tmp_path / "r.arrows.zst", [])
    assert (tmp_path / "r.arrows.zst").read_bytes() == b"earlier"


async def test_a_batch_of_an_unknown_source_is_a_mistake_of_the_caller(tmp_path: Path) -> None:
    async with Recorder(tmp_path / "r.arrows.zst", SESSION) as recorder:
        with pytest.raises(ValueError, match="weather"):
            recorder.put(RecordBatch.of("weather", [1], [b"x"]))


class _CardPulledOut(io.RawIOBase):
    """A file that takes its head and then nothing more, as a card does that is pulled out."""

    def __init__(self, path: Path) -> None:
        self._file = path.open("wb")
        self._writes = 0

    def writable(self) -> bool:
        return True

    def write(self, data: object) -> int:
        self._writes += 1
        if self._writes > 4:
            raise OSError(errno.EIO, "Input/output error")
        return self._file.write(data)  # type: ignore[arg-type]

    def fileno(self) -> int:
        return self._file.fileno()

    def close(self) -> None:
        self._file.close()
        super().close()


async def test_a_card_that_is_pulled_out_is_told_and_the_session_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    card = _CardPulledOut(tmp_path / "r.arrows.zst")
    monkeypatch.setattr(Path, "open", lambda *_: card)
    recorder, batches = Recorder(tmp_path / "r.arrows.zst", SESSION), made_up_batches(200)

    async def session() -> None:
        async with recorder:
            for batch in batches:
                recorder.put(batch)
                await asyncio.sleep(0.004)

    with pytest.raises(RecordingError, match="recording stopped"):
        await session()
    monkeypatch.undo()
    assert recorder.written > 0
    assert recorder.lost > 0
    assert recorder.written + recorder.lost == sum(map(len, batches))
    read = list(read_recording(tmp_path / "r.arrows.zst").batches())
    assert sum(map(len, read)) == recorder.written
    assert_same(read, batches[: len(read)])


@pytest.mark.parametrize("frames_per_s", [500, 4_000])
def test_bytes_per_frame(tmp_path: Path, frames_per_s: int) -> None:
    """In blocks of what comes until a block is due."""
    rng = np.random.default_rng(1)
    drain_ns = 20 * 1_000_000_000 // frames_per_s
    drains = []
    for drain in range(100):
        arrived_ns = drain * drain_ns
        identifiers = [int(i) for i in 0x300 + rng.permutation(20)]
        payloads = [rng.bytes(8) for _ in identifiers]  # the worst a compressor can meet
        stamps = [(arrived_ns + i * 250_000) // 1_000_000 * 1_000_000 for i in range(20)]
        drains.append(
            RecordBatch.of("engine", [arrived_ns] * 20, payloads, identifiers, adapter_ns=stamps)
        )
    writer = BlockWriter((tmp_path / "r.arrows.zst").open("wb"), SESSION)
    of_a_block = int(OLDEST_PENDING_S * 1e9) // drain_ns
    for first in range(0, len(drains), of_a_block):
        writer.write(drains[first : first + of_a_block])
    writer.close()
    assert (tmp_path / "r.arrows.zst").stat().st_size / 2_000 <= 12.0


WRITER = """
import asyncio, os, sys, threading, time
from pathlib import Path
from capture.recording.recorder import Recorder
from decode.records import RecordBatch, SessionInfo, SourceInfo, SourceKind

sync = os.fsync
def slow_sync(fd):
    time.sleep(float(sys.argv[2]))
    sync(fd)
os.fsync = slow_sync

stalled_ns = 0
def watch():
    global stalled_ns
    last = time.perf_counter_ns()
    while True:
        time.sleep(0.005)
        now = time.perf_counter_ns()
        stalled_ns += max(0, now - last - 10_000_000)
        last = now
threading.Thread(target=watch, daemon=True).start()

async def main():
    session = SessionInfo("s", "bay", 0, 0, (SourceInfo("engine", SourceKind.CAN),))
    async with Recorder(Path(sys.argv[1]), session) as recorder:
        while True:
            now = time.perf_counter_ns()
            recorder.put(RecordBatch.of("engine", [now] * 10, [bytes(8)] * 10))
            print(f"{now} {stalled_ns}\\n", end="", flush=True)  # in one piece
            await asyncio.sleep(0.005)

asyncio.run(main())
"""


@pytest.mark.slow
@pytest.mark.parametrize("sync_takes_s", [0.0, 0.4])
def test_a_killed_writer_loses_at_most_the_last_quarter_second(
    tmp_path: Path, sync_takes_s: float
) -> None:
    """Whenever the kill comes, and also where each sync takes longer than what may be lost.

    What is in the file at a moment is what a kill at that moment leaves, so the file is looked at
    again and again while it is written, and at last the writer is killed. Time in which a busy
    machine lets the writer stand still does not count: two threads of it, one after the other, have
    to get their turn.
    """
    path = tmp_path / "r.arrows.zst"
    told: dict[int, int] = {}  # what was put at a time; how long the writer had stood still by then
    missing_ns: list[int] = []

    def look() -> None:
        last_put_ns = list(told)[-1]
        newest_ns = newest_in(path)
        stalled_ns = told[last_put_ns] - told.get(newest_ns, told[last_put_ns])
        missing_ns.append(last_put_ns - newest_ns - 2 * stalled_ns)

    def listen(lines: Iterable[str]) -> None:
        for line in lines:
            put_ns, stalled_ns = map(int, line.split())
            told[put_ns] = stalled_ns

    with subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), str(sync_takes_s)],
        stdout=subprocess.PIPE,
        text=True,
    ) as writer:
        assert writer.stdout is not None
        listener = threading.Thread(target=listen, args=(writer.stdout,))
        listener.start()
        wait_until(lambda: len(told) > 100)
        for _ in range(40):
            look()
            time.sleep(0.03)
        writer.kill()
        listener.join()
    look()
    assert max(missing_ns) < 250_000_000


def newest_in(path: Path) -> int:
    recording = read_recording(path)
    newest_ns = max(int(batch.arrived_ns[-1]) for batch in recording.batches())
    assert recording.torn is not None
    return newest_ns
