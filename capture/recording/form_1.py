"""Recordings of form 1: an Arrow IPC stream, its blocks zstd-compressed each on its own.

One row for each RecordBatch: its records are a list in the row, its payloads stand end to end. The
first of these recordings hold times, the later ones steps; the names of the columns tell which.
"""

import os
from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Final

import numpy as np
import pyarrow as pa

from capture.recording.stream import CUT_OFF
from decode.records import RecordBatch, SourceInfo

# A stream that was closed ends with this: no further message (Arrow columnar format, section
# "IPC Streaming Format").
END_OF_STREAM: Final = b"\xff\xff\xff\xff\x00\x00\x00\x00"


def fields_with(arrived: str, adapter: str) -> tuple[pa.Field, ...]:
    """The columns of a row, with the names of the two columns of times."""
    record = pa.struct(
        [
            pa.field(arrived, pa.int64(), nullable=False),
            pa.field(adapter, pa.int64(), nullable=False),
            pa.field("address", pa.uint32(), nullable=False),
            pa.field("flags", pa.uint16(), nullable=False),
            pa.field("length", pa.uint32(), nullable=False),  # of this record's share of `data`
        ]
    )
    return (
        pa.field("source", pa.uint16(), nullable=False),  # its place in the session's sources
        pa.field("dropped_before", pa.uint32(), nullable=False),
        pa.field("records", pa.list_(pa.field("record", record, nullable=False)), nullable=False),
        pa.field("data", pa.binary(), nullable=False),  # the payloads of the row, end to end
    )


TIMES: Final = fields_with("arrived_ns", "adapter_ns")
# since the record before it in this block (an Arrow batch); the first one since 0
STEPS: Final = fields_with("arrived_step_ns", "adapter_step_ns")


def blocks(
    path: Path, stream: pa.ipc.RecordBatchStreamReader, sources: Sequence[SourceInfo]
) -> Iterator[list[RecordBatch]]:
    """The batches of each block; OSError, ArrowException or IndexError where one is damaged."""
    for rows in stream:
        rows.validate(full=True)  # offsets that point outside would read foreign memory
        yield list(batches_in(rows, sources))
    if not _was_closed(path):  # cut off between two blocks, which Arrow takes for an end
        raise OSError(CUT_OFF)


def batches_in(rows: pa.RecordBatch, sources: Sequence[SourceInfo]) -> Iterator[RecordBatch]:
    """The rows as the batches they were."""
    numbers = rows.column("source").to_numpy()
    dropped = rows.column("dropped_before").to_numpy()
    lists, data = rows.column("records"), rows.column("data")
    starts = lists.offsets.to_numpy()
    arrived, adapter, address, flags, length = (
        column.to_numpy() for column in lists.values.flatten()
    )
    if rows.schema.equals(pa.schema(STEPS)):
        arrived, adapter = np.cumsum(arrived), np.cumsum(adapter)
    for row, (first, last) in enumerate(pairwise(starts)):
        offsets = np.zeros(last - first + 1, dtype=np.int64)
        np.cumsum(length[first:last], out=offsets[1:])
        payloads = np.frombuffer(data[row].as_buffer(), dtype=np.uint8)
        if len(payloads) != offsets[-1]:
            raise pa.ArrowInvalid(f"{len(payloads)} payload bytes where {offsets[-1]} are named")
        yield RecordBatch(
            source=sources[numbers[row]].name,
            arrived_ns=arrived[first:last],
            adapter_ns=adapter[first:last],
            address=address[first:last],
            flags=flags[first:last],
            data=payloads,
            offsets=offsets,
            dropped_before=int(dropped[row]),
        )


def _was_closed(path: Path) -> bool:
    with path.open("rb") as file:
        file.seek(-len(END_OF_STREAM), os.SEEK_END)
        return file.read() == END_OF_STREAM
