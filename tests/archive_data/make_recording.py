"""Makes a frozen recording of the program that is on PYTHONPATH, and what that program reads of it.

    cd tests; PYTHONPATH=TREE_OF_THE_EARLIER_PROGRAM python -m archive_data.make_recording FILE

The recordings beside this file were made so, each by the last commit of its form (form_1_times: of
form 1 while its columns held times, form_1_steps: when they held steps). FILE.as_read.json is what
the earlier program read back, batch by batch. Modules have moved since: see make_store.room.
"""

import asyncio
import hashlib
import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from archive_data.make_store import room

STARTED_NS = 5_000_000_000
RATE_HZ = 20
LENGTH_S = 16.0
SWEEP_S = (4.0, 11.0)
COLUMNS = ("arrived_ns", "adapter_ns", "address", "flags", "data", "offsets")
MAP_TEXT = """\
pullwatch_map: 1
lines: {dyno: {delimiter: ";"}}
channels:
  rpm: {quantity: engine_speed, source: engine, unit: rpm,
        can: {identifier: 1, start_bit: 0, bits: 16, scale: 0.25}}
  pedal: {quantity: pedal_position, source: engine, unit: "%",
          can: {identifier: 1, start_bit: 16, bits: 8, scale: 0.5}}
  roller: {quantity: roller_speed, source: dyno, unit: km/h, line: {field: 0}}
"""


def session_info() -> Any:
    """The head of the session; every text in it has to come back."""
    records = room("decode.records")
    kinds = records.SourceKind
    sources = (
        records.SourceInfo("engine", kinds.CAN),
        records.SourceInfo("dyno", kinds.LINES),
        records.SourceInfo("table", kinds.TABLE, ("Engine speed (rpm)", "λ")),
        records.SourceInfo("operator", kinds.OPERATOR),
    )
    started_unix_ns = 1_764_000_000_000_000_000
    return records.SessionInfo("s1", "bay-1", STARTED_NS, started_unix_ns, sources, MAP_TEXT)


def batches() -> list[Any]:
    """One pull on CAN and a dyno beside it; gaps, losses, odd lengths, a batch without a record."""
    made = []
    of = room("decode.records").RecordBatch.of
    for tick in range(0, round(LENGTH_S * RATE_HZ), 4):
        at = [tick + number for number in range(4)]
        now_ns = [STARTED_NS + one * 1_000_000_000 // RATE_HZ for one in at]
        frames = [frame(one / RATE_HZ) for one in at]
        stamps = [one * 50_000_000 + 17 for one in at]
        made.append(of("engine", now_ns, frames, [1] * 4, adapter_ns=stamps))
        lines = [f"{speed_rpm(one / RATE_HZ) / 34.2:.2f}".encode() for one in at]
        made.append(of("dyno", now_ns, lines))
        if tick % 80 == 40:
            made.append(of("engine", now_ns[-1:], [b""], [2**29 - 1], [8], dropped_before=3))
            made.append(of("dyno", now_ns[-1:], ["Steckt nicht mehr: größer".encode()], flags=[32]))
            made.append(of("dyno", [], [], dropped_before=2))
            value = np.array([1 / 3, np.nan]).tobytes()
            made.append(of("table", now_ns[-1:] * 2, [value[:8], value[8:]], [0, 1]))
        if tick == 40:
            made.append(of("operator", now_ns[-1:], [b'{"stage": "baseline"}']))
    return made


def speed_rpm(at_s: float) -> float:
    """Idle, a sweep, and the coast after it."""
    times_s = (2.0, SWEEP_S[0] - 1.0, *SWEEP_S, 13.0)
    return float(np.interp(at_s, times_s, (900.0, 2000.0, 2000.0, 6000.0, 2000.0)))


def frame(at_s: float) -> bytes:
    """Engine speed and pedal."""
    full = SWEEP_S[0] - 0.5 <= at_s < SWEEP_S[1]
    return round(speed_rpm(at_s) * 4).to_bytes(2, "little") + bytes([200 if full else 10])


async def record(path: Path) -> None:
    """As the daemon records: in several blocks, because blocks are cut by time."""
    recorder = room("capture.recording.recorder", "capture.recorder").Recorder
    async with recorder(path, session_info()) as recording:
        for number, batch in enumerate(batches()):
            recording.put(batch)
            if number % 40 == 39:
                await asyncio.sleep(0.6)


def as_read(path: Path) -> dict[str, Any]:
    """Every value of the recording as plain data; columns by the SHA-256 of their bytes."""
    reading = room("capture.recording.reader", "capture.sources.recording")
    recording = reading.read_recording(path)
    found = [line(batch) for batch in recording.batches()]
    session = json.loads(json.dumps(asdict(recording.session)))
    return {"session": session, "torn": recording.torn, "batches": found}


def line(batch: Any) -> str:
    """A batch in one line: source, losses, records, and a digest of all columns and their types."""
    content = hashlib.sha256()
    for name in COLUMNS:
        column = getattr(batch, name)
        content.update(f"{name} {column.dtype} ".encode() + column.tobytes())
    return f"{batch.source} {batch.dropped_before} {len(batch)} {content.hexdigest()[:16]}"


if __name__ == "__main__":
    asyncio.run(record(Path(sys.argv[1])))
    read = json.dumps(as_read(Path(sys.argv[1])), indent=1, ensure_ascii=False)
    Path(f"{sys.argv[1]}.as_read.json").write_text(read + "\n", encoding="utf-8")
