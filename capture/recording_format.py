"""The recording on disk: an Arrow IPC stream in a zstd stream, one row for each RecordBatch.

Unpacked by zstd it opens in any Arrow reader; the head (SessionInfo as JSON) is in the schema's
metadata. Rows are RecordBatches and not single records, so the batches come back exactly as they
were. Times are steps, because those compress to almost nothing where times themselves do not.

The file is one zstd stream, flushed behind each block, and not blocks compressed each on its own:
what one block says of the bus is not said again in the next. A slow bus, whose blocks are small,
then takes a third of the bytes, and reading 100,000 small blocks starts no compressor anew. The
price is that a damaged byte can reach into later blocks, so each block carries its checksum.
"""

import dataclasses
import json
import zlib
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any, BinaryIO, Final

import numpy as np
import pyarrow as pa

from decode.errors import RecordingError
from decode.records import RecordBatch, SessionInfo, SourceInfo, SourceKind

SUFFIX: Final = ".arrows.zst"  # an Arrow stream, zstd-compressed, by the conventions of both
VERSION_KEY: Final = b"pullwatch_recording"
VERSION: Final = b"2"
SESSION_KEY: Final = b"session"
CHECKSUM_KEY: Final = b"crc32"  # in the metadata of each block
COMPRESSION: Final = "zstd"

RECORD: Final = pa.struct(
    [
        # since the record before it in this block (an Arrow batch); the first one since 0
        pa.field("arrived_step_ns", pa.int64(), nullable=False),
        pa.field("adapter_step_ns", pa.int64(), nullable=False),
        pa.field("address", pa.uint32(), nullable=False),
        pa.field("flags", pa.uint16(), nullable=False),
        pa.field("length", pa.uint32(), nullable=False),  # of this record's share of `data`
    ]
)
FIELDS: Final = (
    pa.field("source", pa.uint16(), nullable=False),  # its place in the session's sources
    pa.field("dropped_before", pa.uint32(), nullable=False),
    pa.field("records", pa.list_(pa.field("record", RECORD, nullable=False)), nullable=False),
    pa.field("data", pa.binary(), nullable=False),  # the payloads of the row, end to end
)


def schema_of(session: SessionInfo) -> pa.Schema:
    """The schema of one session's recording, with the session in its metadata."""
    head = json.dumps(dataclasses.asdict(session))
    return pa.schema(FIELDS, metadata={VERSION_KEY: VERSION, SESSION_KEY: head.encode()})


def session_of(schema: pa.Schema) -> SessionInfo:
    """The session a recording's schema describes; RecordingError if it is no recording of ours."""
    metadata: Mapping[bytes, bytes] = schema.metadata or {}
    version = metadata.get(VERSION_KEY)
    if version != VERSION:
        found = "no pullwatch recording" if version is None else f"version {version.decode()}"
        raise RecordingError(f"is {found}; this pullwatch reads version {VERSION.decode()}")
    if not schema.equals(pa.schema(FIELDS)):
        raise RecordingError("has a damaged head: its columns are not those of a recording")
    try:
        return _session_from(json.loads(metadata[SESSION_KEY]))
    except (KeyError, TypeError, ValueError) as error:
        raise RecordingError(f"has a damaged head: {error}") from error


def _session_from(head: dict[str, Any]) -> SessionInfo:
    sources = tuple(
        SourceInfo(s["name"], SourceKind(s["kind"]), tuple(s["columns"])) for s in head["sources"]
    )
    return SessionInfo(**{**head, "sources": sources})


class BlockWriter:
    """Writes a session's blocks; what `write` has taken is in the file when it returns.

    Raises OSError or ArrowException where the file cannot be written.
    """

    def __init__(self, file: BinaryIO, session: SessionInfo) -> None:
        self._number_of = {info.name: number for number, info in enumerate(session.sources)}
        self._file = file
        self._stream = pa.CompressedOutputStream(file, COMPRESSION)
        schema = schema_of(session)
        self._blocks = pa.ipc.new_stream(self._stream, schema)
        # Arrow writes the head with the first block: an empty one puts it in the file now
        self._write(pa.RecordBatch.from_pylist([], schema=schema))

    def write(self, batches: Sequence[RecordBatch]) -> None:
        """Add the batches as one block."""
        self._write(to_arrow(batches, self._number_of))

    def close(self) -> None:
        """Say that nothing follows, and close the file."""
        try:
            self._blocks.close()
            self._stream.close()
        finally:
            self._file.close()

    def _write(self, rows: pa.RecordBatch) -> None:
        self._blocks.write_batch(rows, custom_metadata={CHECKSUM_KEY: checksum(rows)})
        self._stream.flush()
        self._file.flush()


def open_blocks(path: Path) -> pa.ipc.RecordBatchStreamReader:
    """The blocks of a recording, to be read by `checked`; OSError or ArrowException if it is none.

    Close it after use.
    """
    # blocks are small: sharing one out among threads costs more than it saves
    options = pa.ipc.IpcReadOptions(use_threads=False)
    return pa.ipc.open_stream(
        pa.CompressedInputStream(pa.OSFile(str(path)), COMPRESSION), options=options
    )


def checked(blocks: pa.ipc.RecordBatchStreamReader) -> Iterator[pa.RecordBatch]:
    """The blocks that are whole; OSError or ArrowException where one is damaged or cut off."""
    for rows, metadata in blocks.iter_batches_with_custom_metadata():
        rows.validate(full=True)  # offsets that point outside would read foreign memory
        if metadata is None or metadata.get(CHECKSUM_KEY) != checksum(rows):
            raise pa.ArrowInvalid("the checksum of a block is not that of its bytes")
        yield rows


def checksum(rows: pa.RecordBatch) -> bytes:
    """CRC-32 (ISO 3309) over the buffers of a block, in decimal."""
    sum_of_all = 0
    for column in rows.columns:
        for buffer in column.buffers():
            sum_of_all = zlib.crc32(buffer or b"", sum_of_all)
    return b"%d" % sum_of_all


def to_arrow(batches: Sequence[RecordBatch], number_of: Mapping[str, int]) -> pa.RecordBatch:
    """The batches as rows. number_of: each source's place in the session."""
    starts = np.cumsum([0, *(len(batch) for batch in batches)], dtype=np.int32)
    records = pa.StructArray.from_arrays(
        [
            pa.array(np.diff(np.concatenate([b.arrived_ns for b in batches]), prepend=0)),
            pa.array(np.diff(np.concatenate([b.adapter_ns for b in batches]), prepend=0)),
            pa.array(np.concatenate([batch.address for batch in batches])),
            pa.array(np.concatenate([batch.flags for batch in batches])),
            pa.array(np.concatenate([np.diff(b.offsets) for b in batches]).astype(np.uint32)),
        ],
        fields=list(RECORD),
    )
    columns = [
        pa.array([number_of[batch.source] for batch in batches], FIELDS[0].type),
        pa.array([batch.dropped_before for batch in batches], FIELDS[1].type),
        pa.ListArray.from_arrays(pa.array(starts), records, type=FIELDS[2].type),
        pa.array([batch.data.tobytes() for batch in batches], FIELDS[3].type),
    ]
    return pa.RecordBatch.from_arrays(columns, schema=pa.schema(FIELDS))


def from_arrow(rows: pa.RecordBatch, sources: Sequence[SourceInfo]) -> Iterator[RecordBatch]:
    """The rows as the batches they were; ArrowInvalid or IndexError where they contradict
    themselves."""
    numbers = rows.column("source").to_numpy()
    dropped = rows.column("dropped_before").to_numpy()
    lists, data = rows.column("records"), rows.column("data")
    starts = lists.offsets.to_numpy()
    arrived_step, adapter_step, address, flags, length = (
        lists.values.field(index).to_numpy() for index in range(RECORD.num_fields)
    )
    arrived, adapter = np.cumsum(arrived_step), np.cumsum(adapter_step)
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
