"""A recording in large pieces, for whoever decodes all of it: no step per row, all in columns.

A session is written in small blocks, so that a crash costs little. Here many blocks are read at a
time and their records sorted by source, which is what `Decoder.decode_piece` takes. Memory stays
flat however long the recording is.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from numpy.typing import NDArray

from capture.sources.recording import ArrowRecording
from decode.errors import RecordingError
from decode.records import Piece, RecordBatch, SourceInfo, SourceRecords

PIECE_RECORDS: Final = 131_072  # 5 MB of columns: the decoder's calls no longer count, caches hold

Numbers = NDArray[np.int64]


def pieces(recording: ArrowRecording, records: int = PIECE_RECORDS) -> Iterator[Piece]:
    """The recording in pieces of about so many records, up to where the file is whole."""
    waiting: list[pa.RecordBatch] = []
    count = 0
    for rows in recording.blocks(check_block):
        waiting.append(rows)
        count += len(rows.column(2).values)
        if count >= records:
            yield piece_of(waiting, recording.session.sources)
            waiting, count = [], 0
    if waiting:
        yield piece_of(waiting, recording.session.sources)


def check_block(rows: pa.RecordBatch, sources: Sequence[SourceInfo]) -> None:
    """ArrowInvalid or IndexError where the bytes of a block are damaged."""
    rows.validate(full=True)  # offsets that point outside would read foreign memory
    if (number := rows.column(0).to_numpy()).max(initial=0) >= len(sources):
        raise IndexError(f"source {number.max()} of {len(sources)}")


def piece_of(blocks: Sequence[pa.RecordBatch], sources: Sequence[SourceInfo]) -> Piece:
    """The records of whole blocks as one piece.

    RecordingError where a row names more or fewer bytes than it holds.
    """
    (rows,) = pa.Table.from_batches(blocks).combine_chunks().to_batches()
    number, dropped = rows.column("source").to_numpy(), rows.column("dropped_before").to_numpy()
    lists, data = rows.column("records"), rows.column("data")
    starts = lists.offsets.to_numpy()
    arrived_step, adapter_step, address, flags, length = (
        values.to_numpy() for values in lists.values.flatten()
    )
    offsets = _sums(length)
    held = pc.binary_length(data).to_numpy()
    if not np.array_equal(np.diff(offsets[starts]), held):
        raise RecordingError("has a row with other payload bytes than its records name")
    source = np.repeat(number, np.diff(starts))
    ends = np.cumsum([len(block.column(2).values) for block in blocks])
    columns = RecordBatch(
        source="",
        arrived_ns=_times(arrived_step, ends),
        adapter_ns=_times(adapter_step, ends),
        address=address,
        flags=flags,
        data=np.frombuffer(data.buffers()[2] if len(offsets) > 1 else b"", np.uint8),
        offsets=offsets,
    )
    by_source = {}
    for found in np.unique(number).tolist():
        lost = int(dropped[number == found].sum())
        place = np.flatnonzero(source == found)
        batch = replace(_only(columns, place), source=sources[found].name, dropped_before=lost)
        by_source[batch.source] = SourceRecords(batch, place)
    return Piece(by_source, len(source))


def _sums(length: NDArray[np.uint32]) -> Numbers:
    """0 and the running sums: int64[n + 1]."""
    sums = np.zeros(len(length) + 1, np.int64)
    np.cumsum(length, out=sums[1:])
    return sums


def _times(step_ns: Numbers, ends: Numbers) -> Numbers:
    """Steps summed up, beginning anew in each block: int64[records]. ends: of the blocks."""
    time_ns = np.cumsum(step_ns)
    before = time_ns[ends - 1] if len(time_ns) else time_ns
    for block, (begin, end) in enumerate(pairwise(ends.tolist())):
        time_ns[begin:end] -= before[block]
    return time_ns


def _only(columns: RecordBatch, place: Numbers) -> RecordBatch:
    """The records at some places, in their order."""
    if len(place) == len(columns):
        return columns
    start, length = columns.offsets[place], np.diff(columns.offsets)[place]
    offsets = np.concatenate((np.zeros(1, np.int64), np.cumsum(length)))
    # byte i of the result lies (i - its record's new start) behind the record's old start
    data = columns.data[np.arange(offsets[-1]) + np.repeat(start - offsets[:-1], length)]
    return replace(
        columns,
        arrived_ns=columns.arrived_ns[place],
        adapter_ns=columns.adapter_ns[place],
        address=columns.address[place],
        flags=columns.flags[place],
        data=data,
        offsets=offsets,
    )
