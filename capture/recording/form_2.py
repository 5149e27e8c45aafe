"""Recordings of form 2: the rows of form 1, in one zstd stream, with a CRC-32 in each block."""

import zlib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

import pyarrow as pa

from capture.recording.form_1 import batches_in
from decode.records import RecordBatch, SourceInfo

CHECKSUM_KEY: Final = b"crc32"  # in the metadata of each block


def blocks(
    _: Path, stream: pa.ipc.RecordBatchStreamReader, sources: Sequence[SourceInfo]
) -> Iterator[list[RecordBatch]]:
    """The batches of each block; OSError, ArrowException or IndexError where one is damaged."""
    for rows, metadata in stream.iter_batches_with_custom_metadata():
        rows.validate(full=True)  # offsets that point outside would read foreign memory
        if metadata is None or metadata.get(CHECKSUM_KEY) != _checksum(rows):
            raise pa.ArrowInvalid("the checksum of a block is not that of its bytes")
        yield list(batches_in(rows, sources))


def _checksum(rows: pa.RecordBatch) -> bytes:
    """CRC-32 (ISO 3309) over the buffers of a block, in decimal."""
    sum_of_all = 0
    for column in rows.columns:
        for buffer in column.buffers():
            sum_of_all = zlib.crc32(buffer or b"", sum_of_all)
    return b"%d" % sum_of_all
