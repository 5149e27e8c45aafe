"""Frames a second from a recording to channels: ours, asammdf's bus-logging extraction, cantools.

    python tests/benchmarks/decoding.py [millions of frames ...]      (0.1 1 5 where not given)
    python tests/benchmarks/decoding.py --growth [millions ...]       (0.1 0.5 1 5 20)

Same frames, same run, the best of three: time by the clock and of the processor, because our own
reading runs beside the decoding; on a busy machine only the latter can be compared. Ours decodes
batches in memory, large ones and live ones (90 frames), and the compressed recording that the
daemon would have written, the whole of it from opening the file on. asammdf extracts physical
values from an MF4, once uncompressed and once compressed, from opening the file on and (the last
row) from the open file on; cantools decodes frame by frame, of the first 100,000 frames. --growth
decodes longer and longer recordings in pieces, each in a process of its own: time a frame and peak
memory.

Ten times asammdf is not reached at 5 million frames and 50 signals: five to eight times is, piece
by piece, and reading alone, with nothing decoded, is six to nine times as fast. Reading and
decoding take about as long as each other, and share the two cores of a small machine badly, for
every call into numpy hands the interpreter's lock over. Of reading, a quarter is decompression, the
rest Arrow's joining of blocks and one or two passes over each column; "large blocks" shows what is
left where nobody fears a crash. Of decoding, half is arithmetic in five passes; the rest sorts by
identifier and gathers payloads and times. A loop compiled frame by frame (numba) took longer than
numpy's passes, which use the processor's vectors.
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Final, Literal

import asammdf
import numpy as np
from asammdf.blocks.v4_constants import BUS_TYPE_CAN, SOURCE_BUS

sys.path.insert(0, str(Path(__file__).parents[1]))

from cantools_comparison import can_database

from capture.recording.format import BlockWriter
from capture.recording.pieces import pieces
from capture.recording.reader import read_recording
from decode.channel_map import ChannelMap, parse_map
from decode.decoder import Decoder
from decode.network_files import map_text, read_network
from decode.records import NO_ADAPTER_TIME, RecordBatch, SessionInfo, SourceInfo, SourceKind
from decode.samples import SampleBatch, joined

MESSAGES, SIGNALS = 10, 5  # of each message
LIVE_BATCH = 90  # frames: 10 ms of a full 1 Mbit/s bus
BATCHES_A_BLOCK = 12  # as the recorder writes such a bus: 120 ms, for a crash may cost 250 ms
LARGE_BLOCK = 728  # batches: as many frames as a piece
ROUNDS = 3
FRAMES_AT_A_TIME = 131_072  # decoded in one go from the archive
TRANSPOSED_DEFLATE: Final = 2  # how python-can writes MF4
CANTOOLS_FRAMES = 100_000
FRAME_NS = 111_000
FIRST_IDENTIFIER = 0x100
IDENTIFIERS = (MESSAGES, 80)  # nothing but described messages; a whole bus


def network(folder: Path) -> Path:
    """10 messages of 5 signals, both byte orders, signed and unsigned, 8 to 16 bits."""
    lines = ['VERSION ""', "NS_ :", "BS_:", "BU_: A"]
    for number in range(MESSAGES):
        lines.append(f"BO_ {FIRST_IDENTIFIER + number} M{number}: 8 A")
        lines += [
            f' SG_ S{number}_0 : 0|16@1+ (0.25,0) [0|0] "rpm" A',
            f' SG_ S{number}_1 : 23|16@0- (0.1,0) [0|0] "Nm" A',
            f' SG_ S{number}_2 : 32|8@1+ (0.5,-40) [0|0] "degC" A',
            f' SG_ S{number}_3 : 40|12@1- (0.01,5) [0|0] "deg" A',
            f' SG_ S{number}_4 : 52|12@1+ (1,0) [0|0] "" A',
        ]
    file = folder / "network.dbc"
    file.write_text("\n".join(lines) + "\n")
    return file


def frames(count: int, identifiers: int) -> RecordBatch:
    """Random payloads; of `identifiers` that come equally often, the first ten are described."""
    rng = np.random.default_rng(3)
    return RecordBatch(
        "bus",
        np.arange(count, dtype=np.int64) * FRAME_NS,
        np.full(count, NO_ADAPTER_TIME, dtype=np.int64),
        rng.integers(FIRST_IDENTIFIER, FIRST_IDENTIFIER + identifiers, count).astype(np.uint32),
        np.zeros(count, dtype=np.uint16),
        rng.integers(0, 256, 8 * count, dtype=np.uint8),
        np.arange(count + 1, dtype=np.int64) * 8,
    )


def cut(bus: RecordBatch, size: int) -> Iterator[RecordBatch]:
    """The frames in batches of `size`."""
    for i in range(0, len(bus), size):
        part = slice(i, i + size)
        offsets = bus.offsets[i : i + size + 1]
        yield RecordBatch(
            bus.source,
            bus.arrived_ns[part],
            bus.adapter_ns[part],
            bus.address[part],
            bus.flags[part],
            bus.data[offsets[0] : offsets[-1]],
            offsets - offsets[0],
        )


def write_recording(
    bus: RecordBatch,
    session: SessionInfo,
    file: Path,
    times: int = 1,
    batches_a_block: int = BATCHES_A_BLOCK,
) -> None:
    """As the recorder does it. times: the frames again and again."""
    batches = (batch for _ in range(times) for batch in cut(bus, LIVE_BATCH))
    writer = BlockWriter(file.open("wb"), session)
    while block := list(islice(batches, batches_a_block)):
        writer.write(block)
    writer.close()


class Best:
    """The least seconds of several rounds, by the clock and of the processor."""

    def __init__(self) -> None:
        self.wall_s = self.cpu_s = float("inf")

    @contextmanager
    def round(self) -> Iterator[None]:
        wall_s, cpu_s = time.perf_counter(), time.process_time()
        yield
        self.wall_s = min(self.wall_s, time.perf_counter() - wall_s)
        self.cpu_s = min(self.cpu_s, time.process_time() - cpu_s)


def measured(work: Callable[[], int]) -> tuple[Best, int]:
    """The best of a few rounds, and how many samples came out."""
    best = Best()
    for _ in range(ROUNDS):
        with best.round():
            samples = work()
    return best, samples


def decoded(batches: Iterable[RecordBatch], channels: ChannelMap, session: SessionInfo) -> int:
    """Whole columns of every channel; returns how many samples."""
    decoder = Decoder(channels, session)
    parts: list[SampleBatch] = []
    piece: list[RecordBatch] = []
    for batch in batches:
        piece.append(batch)
        if len(piece) * len(batch) >= FRAMES_AT_A_TIME:
            parts.append(decoder.decode_all(piece))
            piece = []
    parts.append(decoder.decode_all(piece))
    columns = joined(parts)
    return sum(len(column) for column in columns.values())


def decoded_recording(file: Path, channels: ChannelMap, in_pieces: bool) -> int:
    """From the file to whole columns of every channel, or piece by piece; how many samples."""
    recording = read_recording(file)
    decoder = Decoder(channels, recording.session)
    parts = (decoder.decode_piece(piece) for piece in pieces(recording))
    if in_pieces:
        return sum(len(column) for part in parts for column in part.values())
    return sum(len(column) for column in joined(list(parts)).values())


def only_read(file: Path) -> int:
    return sum(piece.records for piece in pieces(read_recording(file)))


def write_mf4(bus: RecordBatch, file: Path, compression: Literal[0, 1, 2]) -> None:
    fields = [("BusChannel", "u1"), ("ID", "<u4"), ("IDE", "u1"), ("DLC", "u1")]
    fields += [("DataLength", "u1"), ("Dir", "u1"), ("EDL", "u1")]
    dtype = [(f"CAN_DataFrame.{name}", kind) for name, kind in fields]
    records = np.zeros(len(bus), [*dtype, ("CAN_DataFrame.DataBytes", "(8,)u1")])
    records["CAN_DataFrame.BusChannel"] = 1
    records["CAN_DataFrame.ID"] = bus.address
    records["CAN_DataFrame.DLC"] = records["CAN_DataFrame.DataLength"] = 8
    records["CAN_DataFrame.DataBytes"] = bus.data.reshape(-1, 8)
    source = asammdf.Source(
        source_type=SOURCE_BUS, bus_type=BUS_TYPE_CAN, name="", path="", comment=""
    )
    with asammdf.MDF(version="4.10") as mdf:
        mdf.append(
            asammdf.Signal(records, bus.arrived_ns * 1e-9, name="CAN_DataFrame", source=source),
            acq_source=source,
        )
        mdf.save(file, overwrite=True, compression=compression)


def extracted(file: Path, description: Path) -> tuple[Best, Best, int]:
    """To physical values of every channel, from the closed file on and from the open one on; and
    how many samples."""
    closed, opened = Best(), Best()
    names = [f"S{i}_{j}" for i in range(MESSAGES) for j in range(SIGNALS)]
    for _ in range(ROUNDS):
        with closed.round():
            mdf = asammdf.MDF(file)
            with opened.round():
                result = mdf.extract_bus_logging({"CAN": [(description, 0)]})
                columns = result.select(names, ignore_value2text_conversions=True)
                count = sum(len(column.samples) for column in columns)
        result.close()
        mdf.close()
    return closed, opened, count


def looped(bus: RecordBatch, description: Path) -> tuple[Best, int]:
    """cantools, one frame at a time: the first of them, taken as like the rest."""
    database = can_database(description)
    count = min(CANTOOLS_FRAMES, len(bus))
    best = Best()
    known = set(range(FIRST_IDENTIFIER, FIRST_IDENTIFIER + MESSAGES))
    samples = 0
    with best.round():
        for i in range(count):
            if (identifier := int(bus.address[i])) in known:
                samples += len(database.decode_message(identifier, bus.payload(i)))
    best.wall_s *= len(bus) / count
    best.cpu_s *= len(bus) / count
    return best, samples


def compare(count: int, identifiers: int, folder: Path) -> None:
    bus, description = frames(count, identifiers), network(folder)
    channels = parse_map(map_text(read_network(description, "bus"), description.name))
    session = SessionInfo("s", "b", 0, 0, (SourceInfo("bus", SourceKind.CAN),))
    recording, mf4 = folder / "frames.arrows.zst", folder / "frames.mf4"
    rows = {}
    for name, size in (("large", FRAMES_AT_A_TIME), ("live", LIVE_BATCH)):
        in_memory = list(cut(bus, size))
        rows[f"ours, {name} batches in memory"] = measured(
            partial(decoded, in_memory, channels, session)
        )
    for name, size in (("the recording", BATCHES_A_BLOCK), ("large blocks", LARGE_BLOCK)):
        write_recording(bus, session, recording, batches_a_block=size)
        rows[f"ours, {name}, only read"] = measured(partial(only_read, recording))
        for how, in_pieces in (("whole columns", False), ("piece by piece", True)):
            rows[f"ours, {name}, {how}"] = measured(
                partial(decoded_recording, recording, channels, in_pieces)
            )
    compressions: dict[str, Literal[0, 2]] = {
        "asammdf": 0,
        "asammdf, compressed": TRANSPOSED_DEFLATE,
    }
    for name, compression in compressions.items():
        write_mf4(bus, mf4, compression)
        closed, opened, samples = extracted(mf4, description)
        rows[name] = closed, samples
    rows["asammdf, compressed, once open"] = opened, samples
    rows["cantools loop"] = looped(bus, description)
    reference = rows["asammdf, compressed"][0]
    print(f"{count / 1e6:.1f} M frames, {identifiers} identifiers, load {os.getloadavg()[0]:.1f}")
    for name, (best, samples) in rows.items():
        print(
            f"  {name:38} {count / best.wall_s / 1e6:6.2f} M frames/s  "
            f"clock {best.wall_s:7.3f} s {reference.wall_s / best.wall_s:5.1f} x asammdf comp.  "
            f"processor {best.cpu_s:7.3f} s {reference.cpu_s / best.cpu_s:5.1f} x  "
            f"{samples:>11,} samples"
        )


def grow(millions: float, folder: Path) -> None:
    """A recording of so many frames, written by this process, decoded by one of its own."""
    at_once = min(1.0, millions)
    bus, description = frames(int(at_once * 1e6), IDENTIFIERS[0]), network(folder)
    text = map_text(read_network(description, "bus"), description.name)
    session = SessionInfo("s", "b", 0, 0, (SourceInfo("bus", SourceKind.CAN),), text)
    recording = folder / "frames.arrows.zst"
    write_recording(bus, session, recording, round(millions / at_once))
    size_mb = recording.stat().st_size / 1e6
    told = subprocess.run(
        [sys.executable, __file__, "--one", str(recording)], capture_output=True, check=True
    ).stdout.decode()
    print(f"{millions:5.1f} M frames, file {size_mb:7.1f} MB, {told.strip()}")


def decode_one(file: Path) -> None:
    channels = parse_map(read_recording(file).session.map_text)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    once = Best()
    with once.round():
        frames = decoded_recording(file, channels, in_pieces=True) // SIGNALS
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"clock {once.wall_s:6.3f} s, processor {once.cpu_s:6.3f} s "
        f"({once.cpu_s / frames * 1e9:3.0f} ns a frame), "
        f"peak memory {peak:4.0f} MB ({peak - before:+.0f} MB)"
    )


def main() -> None:
    if sys.argv[1:2] == ["--one"]:
        decode_one(Path(sys.argv[2]))
        return
    if sys.argv[1:2] == ["--growth"]:
        for millions in [float(word) for word in sys.argv[2:]] or [0.1, 0.5, 1.0, 5.0, 20.0]:
            with tempfile.TemporaryDirectory() as folder:
                grow(millions, Path(folder))
        return
    for millions in [float(word) for word in sys.argv[1:]] or [0.1, 1.0, 5.0]:
        for identifiers in IDENTIFIERS:
            with tempfile.TemporaryDirectory() as folder:
                compare(int(millions * 1e6), identifiers, Path(folder))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak memory of this process {peak:.0f} MB")


if __name__ == "__main__":
    main()
