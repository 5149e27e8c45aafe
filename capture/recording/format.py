"""The recording on disk (form 3): an Arrow IPC stream in a zstd stream, one row for each record.

Unpacked by zstd it opens in any Arrow reader; the head (SessionInfo as JSON) is in the schema's
metadata. Times are steps, because those compress to almost nothing where times themselves do not.

The file is one zstd stream, flushed behind each block, and not blocks compressed each on its own:
what one block says of the bus is not said again in the next. A slow bus, whose blocks are small,
then takes a third of the bytes, and reading 100,000 small blocks starts no compressor anew. The
price is that a damaged byte can reach into later blocks, so each block carries a checksum. It is
one of everything up to there, column by column, and so does not depend on where the blocks end: a
reader takes many blocks at once and checks them in one go.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, BinaryIO, Final

import numpy as np
import pyarrow as pa
import xxhash
from numpy.typing import NDArray

from capture.recording.head import schema_of
from capture.recording.stream import COMPRESSION
from decode.records import RecordBatch, SessionInfo

SUFFIX: Final = ".arrows.zst"  # an Arrow stream, zstd-compressed, by the conventions of both
CHECKSUM_KEY: Final = b"xxh3"  # in the metadata of each block
CONTINUES: Final = -1
MOST_BYTES: Final = 1 << 30  # of payloads in a block: Arrow counts them in 32 bits

FIELDS: Final = (
    pa.field("source", pa.uint16(), nullable=False),  # its place in the session's sources
    # since the record before it, of whatever source; of the first record since 0
    pa.field("arrived_step_ns", pa.int64(), nullable=False),
    pa.field("adapter_step_ns", pa.int64(), nullable=False),
    pa.field("address", pa.uint32(), nullable=False),
    pa.field("flags", pa.uint16(), nullable=False),
    # said by the first record of a batch; CONTINUES where a record belongs to the one before it
    pa.field("dropped_before", pa.int32(), nullable=False),
    pa.field("data", pa.binary(), nullable=False),
)

Column = NDArray[Any]


@dataclass(frozen=True, slots=True)
class Records:
    """Consecutive records of all sources.

    source: uint16[n], place in the session's sources. dropped_before: int32[n], CONTINUES where no
    batch begins. every: the records; what it says itself of source and losses means nothing.
    """

    source: NDArray[np.uint16]
    dropped_before: NDArray[np.int32]
    every: RecordBatch

    def __len__(self) -> int:
        return len(self.source)

    @classmethod
    def of(cls, batches: Sequence[RecordBatch], number_of: Mapping[str, int]) -> "Records":
        """The records of batches, of which at least one; those without a record leave no trace.

        number_of: each source's place in the session.
        """
        lengths = [len(batch) for batch in batches]
        numbers = np.array([number_of[batch.source] for batch in batches], np.uint16)
        dropped = np.full(sum(lengths), CONTINUES, np.int32)
        begins = np.cumsum([0, *lengths[:-1]])
        for begin, batch in zip(begins.tolist(), batches, strict=True):
            if len(batch):
                dropped[begin] = batch.dropped_before
        return cls(np.repeat(numbers, lengths), dropped, RecordBatch.joined(batches))


class Progress:
    """How far a recording has been written or read: what the next block builds upon."""

    def __init__(self) -> None:
        self.arrived_ns = self.adapter_ns = 0  # of the last record
        self._checksums = [xxhash.xxh3_64() for _ in range(len(FIELDS) + 1)]

    def after(self, columns: Sequence[Column], every: RecordBatch) -> "Progress":
        """Behind these too. columns: theirs as in the file, the payloads as lengths and bytes."""
        new = Progress()
        for index, (checksum, column) in enumerate(zip(self._checksums, columns, strict=True)):
            new._checksums[index] = checksum.copy()
            new._checksums[index].update(column.data)
        new.arrived_ns = int(every.arrived_ns[-1]) if len(every) else self.arrived_ns
        new.adapter_ns = int(every.adapter_ns[-1]) if len(every) else self.adapter_ns
        return new

    @property
    def checksum(self) -> bytes:
        """XXH3 (64 bits) of the columns' own, in hexadecimal digits."""
        every = b"".join(checksum.digest() for checksum in self._checksums)
        return xxhash.xxh3_64_hexdigest(every).encode()


def to_arrow(records: Records, before: Progress) -> tuple[pa.RecordBatch, Progress]:
    """The records as a block behind those that were written before."""
    every = records.every
    numbers = [
        records.source,
        np.diff(every.arrived_ns, prepend=before.arrived_ns),
        np.diff(every.adapter_ns, prepend=before.adapter_ns),
        every.address,
        every.flags,
        records.dropped_before,
    ]
    first, last = every.offsets[0], every.offsets[-1]
    offsets = (every.offsets - first).astype(np.int32)
    data = every.data[first:last]
    payloads = pa.Array.from_buffers(
        pa.binary(), len(records), [None, pa.py_buffer(offsets), pa.py_buffer(data)]
    )
    after = before.after([*numbers, np.diff(offsets), data], every)
    columns = [*map(pa.array, numbers), payloads]
    return pa.RecordBatch.from_arrays(columns, schema=pa.schema(FIELDS)), after


def from_arrow(
    blocks: Sequence[pa.RecordBatch], checksum: bytes, before: Progress
) -> tuple[Records, Progress]:
    """The records of blocks that follow what was read before; checksum: of the last of them.

    ArrowInvalid where they are not what was written.
    """
    for block in blocks:
        block.validate(full=True)  # offsets that point outside would read foreign memory
    *numbers, payloads = pa.concat_batches(blocks).columns
    source, arrived_step, adapter_step, address, flags, dropped = (c.to_numpy() for c in numbers)
    _, offset_bytes, data_bytes = payloads.buffers()
    offsets = np.frombuffer(offset_bytes or bytes(4), np.int32)[: len(payloads) + 1]
    data = np.frombuffer(data_bytes or b"", np.uint8)[offsets[0] : offsets[-1]]
    every = RecordBatch(
        source="",
        arrived_ns=_summed(arrived_step, before.arrived_ns),
        adapter_ns=_summed(adapter_step, before.adapter_ns),
        address=address,
        flags=flags,
        data=data,
        offsets=(offsets - offsets[0]).astype(np.int64),
    )
    columns = [source, arrived_step, adapter_step, address, flags, dropped, np.diff(offsets), data]
    after = before.after(columns, every)
    if after.checksum != checksum:
        raise pa.ArrowInvalid("the checksum of a block is not that of its bytes")
    return Records(source, dropped, every), after


def _summed(step_ns: NDArray[np.int64], before_ns: int) -> NDArray[np.int64]:
    time_ns = np.cumsum(step_ns)
    time_ns += before_ns
    return time_ns


class BlockWriter:
    """Writes a session's blocks; what `write` has taken is in the file when it returns.

    Raises OSError or ArrowException where the file cannot be written.
    """

    def __init__(self, file: BinaryIO, session: SessionInfo) -> None:
        self._number_of = {info.name: number for number, info in enumerate(session.sources)}
        self._file = file
        self._stream = pa.CompressedOutputStream(file, COMPRESSION)
        schema = schema_of(session, FIELDS)
        self._blocks = pa.ipc.new_stream(self._stream, schema)
        self._progress = Progress()
        # Arrow writes the head with the first block: an empty one puts it in the file now
        self._write(pa.RecordBatch.from_pylist([], schema=schema))

    def write(self, batches: Sequence[RecordBatch]) -> None:
        """Add the batches, of which there is at least one: as one block, or more where they are
        larger than one can be."""
        if len(batches) > 1 and sum(len(batch.data) for batch in batches) > MOST_BYTES:
            half = len(batches) // 2
            self.write(batches[:half])
            self.write(batches[half:])
            return
        rows, self._progress = to_arrow(Records.of(batches, self._number_of), self._progress)
        self._write(rows)

    def close(self) -> None:
        """Say that nothing follows, and close the file."""
        try:
            self._blocks.close()
            self._stream.close()
        finally:
            self._file.close()

    def _write(self, rows: pa.RecordBatch) -> None:
        checksum = self._progress.checksum
        self._blocks.write_batch(rows, custom_metadata={CHECKSUM_KEY: checksum})
        self._stream.flush()
        self._file.flush()
