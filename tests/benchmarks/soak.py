"""A day beside the car, compressed: does memory stay flat, is every record still there?

    python tests/benchmarks/soak.py [hours]

The demo car's job (the frames of its bus, its dyno's and its lambda controller's lines, six pulls
in under three minutes) is played over and over, as RecordBatches of 250 ms with ascending stamps,
through recorder, SessionAnalysis, live view and the analysis of each pull, as fast as they can. A
24 h session so takes minutes. Printed every hour: resident memory and Python objects, records put
and analysed, pulls. At the end the recording is read back and counted, and the growth of memory
after the first hour is told; exit code 1 where a record is lost or memory has grown by more than
MOST_GROWTH_MIB.
"""

import asyncio
import gc
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np
from rich.console import Console

from analysis.judging.analyse_pull import analyse_pull
from analysis.judging.limits_file import default_limits
from analysis.publish.live.view import LiveView
from analysis.session.analysis import SessionAnalysis, Step
from capture.recording.reader import read_recording
from capture.recording.recorder import Recorder
from decode.channel_map import parse_map
from decode.records import Flag, RecordBatch, SessionInfo, SourceInfo, SourceKind
from simulators.demo.bus import map_text
from simulators.demo.job import STAGES, scenario
from simulators.demo.wire import DemoCar, Stretch
from simulators.scenario import setup_of

DRAIN_S: Final = 0.25  # of the session, in one batch: coarser than live, to save hours
MOST_GROWTH_MIB: Final = 20.0  # from the end of the first hour to the last; a leak of one sample a
# batch would be far more in a day
PERIOD_NS: Final = 3_600_000_000_000  # of the session, from one look at the memory to the next
BEHIND: Final = 50_000  # records: the recorder is waited for, as time is not
SOURCES: Final = (
    SourceInfo("engine", SourceKind.CAN),
    SourceInfo("dyno", SourceKind.LINES),
    SourceInfo("lambda", SourceKind.LINES),
    SourceInfo("operator", SourceKind.OPERATOR),
)


def job() -> tuple[list[RecordBatch], int]:
    """One playing of the demo job from second 0, in order of time; its length in ns."""
    car = DemoCar(seed=1)
    stretches = [stretch for stage in STAGES for stretch in car.stage(stage)]
    batches = [batch for stretch in stretches for batch in _batches(stretch)]
    return batches, round(stretches[-1].end_s * 1e9)


def _batches(stretch: Stretch) -> Iterator[RecordBatch]:
    frames = stretch.engine
    flags = np.where(frames.extended, int(Flag.EXTENDED), 0).astype(np.uint16)
    found = []
    for start_s, part in _drains(frames.time_s, stretch):
        payloads = [
            data[:length].tobytes()
            for data, length in zip(frames.data[part], frames.length[part], strict=True)
        ]
        found.append(
            (start_s, _batch("engine", frames.time_s[part], payloads, frames.identifier[part],
                             flags[part]))
        )  # fmt: skip
    for name, lines in (("dyno", stretch.dyno), ("lambda", stretch.lambda_)):
        for start_s, part in _drains(lines.time_s, stretch):
            payloads = [line.rstrip() for line in lines.lines[part]]
            found.append((start_s, _batch(name, lines.time_s[part], payloads)))
    for _, batch in sorted(found, key=lambda each: each[0]):
        yield batch


def _drains(time_s: np.ndarray, stretch: Stretch) -> Iterator[tuple[float, slice]]:
    edges = np.arange(stretch.start_s, stretch.end_s, DRAIN_S)
    places = [*np.searchsorted(time_s, edges).tolist(), len(time_s)]
    for start_s, first, last in zip(edges.tolist(), places, places[1:], strict=False):
        if last > first:
            yield start_s, slice(first, last)


def _batch(
    source: str,
    time_s: np.ndarray,
    payloads: list[bytes],
    address: np.ndarray | None = None,
    flags: np.ndarray | None = None,
) -> RecordBatch:
    stamp_ns = np.round(time_s * 1e9).astype(np.int64)
    return RecordBatch.of(
        source,
        [int(stamp_ns[-1])] * len(payloads),
        payloads,
        None if address is None else address.tolist(),
        None if flags is None else flags.tolist(),
        stamp_ns.tolist() if source == "engine" else None,
    )


def played(hours: float) -> Iterator[RecordBatch]:
    """The job over and over, each time later. The lines' own clocks start again with each: the
    decoder takes that as a device that was restarted."""
    batches, length_ns = job()
    for number in range(int(hours * 3600e9 // length_ns) + 1):
        shift = number * length_ns
        for batch in batches:
            stamped = batch.adapter_ns + shift if batch.adapter_ns[0] >= 0 else batch.adapter_ns
            yield replace(batch, arrived_ns=batch.arrived_ns + shift, adapter_ns=stamped)


class Bay:
    """What the daemon does with a batch, without its transports."""

    def __init__(self, session: SessionInfo) -> None:
        channel_map = parse_map(session.map_text)
        self._limits = default_limits()
        self._analysis = SessionAnalysis(
            session, channel_map, self._limits, setup_of(scenario(STAGES[0]))
        )
        self.live = LiveView(channel_map.channels, session.station)
        self.pulls = self.refused = self.samples = 0

    def feed(self, batch: RecordBatch) -> None:
        self._follow(self._analysis.feed(batch))

    def finish(self) -> None:
        self._follow(self._analysis.finish())

    def _follow(self, step: Step) -> None:
        self.live.update(step.samples, step.now_s)
        for alert in step.alerts:
            self.live.alert(alert)
        for closed in step.pulls:
            analyse_pull(closed.pull, self._limits, closed.context)
        self.pulls += len(step.pulls)
        self.refused += len(step.refused)
        self.samples += sum(map(len, step.samples.values()))

    def row(self, hour: float, put: int, memory_mib: float) -> str:
        """How it stands."""
        objects, cpu_s = len(gc.get_objects()), time.process_time()
        return (
            f"{hour:4g} | {put:,} | {self.samples:,} | {self.pulls} | {self.refused} | "
            f"{memory_mib:.1f} | {objects:,} | {cpu_s:.0f}"
        )


def resident_mib() -> float:
    """Memory of this process that is really there."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * 4096 / 2**20


async def main(hours: float) -> bool:
    """Play, print, count."""
    console = Console()
    console.print("hour | records | samples | pulls | refused | memory MiB | objects | CPU s")
    session = SessionInfo("soak", "bay", 0, 0, SOURCES, map_text())
    memory: list[float] = []
    put = 0
    bay = Bay(session)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "soak.arrows.zst"
        async with Recorder(file, session) as recorder:
            for batch in played(hours):
                recorder.put(batch)
                bay.feed(batch)
                put += len(batch)
                if batch.arrived_ns[0] > (len(memory) + 1) * PERIOD_NS:
                    gc.collect()
                    memory.append(resident_mib())
                    console.print(bay.row(len(memory), put, memory[-1]))
                while recorder.behind > BEHIND:  # noqa: ASYNC110 - a thread writes
                    await asyncio.sleep(0.01)
            bay.finish()
        recorded = sum(len(batch) for batch in read_recording(file).batches())
        size_gib = file.stat().st_size / 2**30
    growth = memory[-1] - memory[0] if memory else 0.0
    console.print(bay.row(hours, put, resident_mib()))
    console.print(
        f"{put:,} records put, {recorded:,} read back ({put - recorded} lost), {size_gib:.2f} GiB; "
        f"memory grew by {growth:.1f} MiB after the first hour, at most {MOST_GROWTH_MIB:g} allowed"
    )
    return recorded == put and growth <= MOST_GROWTH_MIB


if __name__ == "__main__":
    all_well = asyncio.run(main(float(sys.argv[1]) if len(sys.argv) > 1 else 24.0))
    sys.exit(0 if all_well else 1)
