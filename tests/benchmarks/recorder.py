"""The recorder at several bus loads: bytes and CPU time a frame, and what a kill -9 costs.

    python tests/benchmarks/recorder.py [seconds]

Payloads: `random` is the worst a compressor can meet; `engine` is like a powertrain bus, where
values move slowly and half of the bytes stand still.
"""

import asyncio
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.table import Table

from capture.recording.reader import read_recording
from capture.recording.recorder import Recorder
from decode.records import RecordBatch, SessionInfo, SourceInfo, SourceKind

RATES = (500, 1_000, 2_000, 4_000, 9_000, 36_000)
DRAIN_S = 0.005
IDENTIFIERS = 20
KILLS = 20
SESSION = SessionInfo("benchmark", "bench", 0, 0, (SourceInfo("engine", SourceKind.CAN),))


class Traffic:
    """Frames of one bus, drain by drain."""

    def __init__(self, payloads: str) -> None:
        self._random = payloads == "random"
        self._rng = np.random.default_rng(1)
        self._values = self._rng.integers(0, 65_536, (IDENTIFIERS, 2))
        self._sent = 0

    def drain(self, count: int) -> RecordBatch:
        now_ns = time.perf_counter_ns()
        turns = [(self._sent + i) % IDENTIFIERS for i in range(count)]
        self._sent += count
        return RecordBatch.of(
            "engine",
            [now_ns] * count,
            [self._payload(turn) for turn in turns],
            [0x300 + turn for turn in turns],
            adapter_ns=[now_ns // 1_000_000 * 1_000_000 + i * 250_000 for i in range(count)],
        )

    def _payload(self, turn: int) -> bytes:
        if self._random:
            return self._rng.bytes(8)
        self._values[turn] += self._rng.integers(-20, 21, 2)
        stored: bytes = (self._values[turn] % 65_536).astype(">u2").tobytes()
        return stored + bytes(4)


async def feed(recorder: Recorder, traffic: Traffic, rate: int, seconds: float) -> int:
    """Put frames at a rate; returns how many."""
    started_s, put = time.monotonic(), 0
    while (elapsed_s := time.monotonic() - started_s) < seconds:
        due = int(elapsed_s * rate)
        if due > put:
            recorder.put(traffic.drain(due - put))
            put = due
        await asyncio.sleep(DRAIN_S)
    return put


async def cpu_without_recorder(payloads: str, rate: int, seconds: float) -> float:
    """CPU time of the traffic itself, to be taken off."""

    class Nothing:
        def put(self, batch: RecordBatch) -> None:
            pass

    start_s = time.process_time()
    await feed(Nothing(), Traffic(payloads), rate, seconds)  # type: ignore[arg-type]
    return time.process_time() - start_s


async def measure(payloads: str, rate: int, seconds: float, folder: Path) -> tuple[float, float]:
    """Bytes a frame, and CPU microseconds a frame."""
    path = folder / f"{payloads}-{rate}.arrows.zst"
    start_s = time.process_time()
    async with Recorder(path, SESSION) as recorder:
        frames = await feed(recorder, Traffic(payloads), rate, seconds)
    used_s = time.process_time() - start_s
    own_s = used_s - await cpu_without_recorder(payloads, rate, seconds)
    assert recorder.written == frames
    return path.stat().st_size / frames, 1e6 * own_s / frames


def kill(rate: int, folder: Path, number: int) -> float:
    """Kill a process that records; milliseconds of what it had put that are not in the file.

    Counted from the last batch put, not from the kill: a process that got no processor time put
    nothing, and that is no loss of the recorder.
    """
    path = folder / f"killed-{rate}-{number}.arrows.zst"
    with subprocess.Popen(
        [sys.executable, __file__, "--record", str(path), str(rate)], stdout=subprocess.PIPE
    ) as writer:
        assert writer.stdout is not None
        told = writer.stdout.readline()
        until_s = time.monotonic() + 0.7 + 0.037 * number
        while time.monotonic() < until_s:
            told = writer.stdout.readline()
        writer.kill()
        rest = [line for line in writer.stdout if line.endswith(b"\n")]
    last_put_ns = int([told, *rest][-1])
    newest_ns = max(int(batch.arrived_ns[-1]) for batch in read_recording(path).batches())
    return (last_put_ns - newest_ns) / 1e6


class Told(Recorder):
    """A recorder that says on stdout when each batch was put."""

    def put(self, batch: RecordBatch) -> None:
        super().put(batch)
        os.write(1, f"{batch.arrived_ns[-1]}\n".encode())


async def record_for_ever(path: Path, rate: int) -> None:
    async with Told(path, SESSION) as recorder:
        await feed(recorder, Traffic("random"), rate, 1e9)


def main(seconds: float) -> None:
    table = Table(
        "frames/s",
        "payloads",
        "bytes a frame",
        "CPU us a frame",
        f"worst of {KILLS} kill -9, ms lost",
    )
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for rate in RATES:
            missing = max(kill(rate, folder, n) for n in range(KILLS))
            for payloads in ("random", "engine"):
                size, cpu_us = asyncio.run(measure(payloads, rate, seconds, folder))
                table.add_row(f"{rate}", payloads, f"{size:.1f}", f"{cpu_us:.1f}", f"{missing:.0f}")
    Console().print(table)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--record"]:
        asyncio.run(record_for_ever(Path(sys.argv[2]), int(sys.argv[3])))
    else:
        main(float(sys.argv[1]) if len(sys.argv) > 1 else 3.0)
