"""The recording on disk: an Arrow IPC stream, zstd-compressed, one row for each RecordBatch.

The head (SessionInfo as JSON) is in the schema's metadata, so any Arrow reader opens the file.
Rows are RecordBatches and not single records, so the batches come back exactly as they were.
Times are steps, because those compress to almost nothing where times themselves do not.
"""

import dataclasses
import json
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any, Final

import numpy as np
import pyarrow as pa

from decode.errors import RecordingError
from decode.records import RecordBatch, SessionInfo, SourceInfo, SourceKind

SUFFIX: Final = ".arrows"  # an Arrow stream, by the Arrow format's own convention
VERSION_KEY: Final = b"pullwatch_recording"
VERSION: Final = b"1"
SESSION_KEY: Final = b"session"

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
    """The rows as the batches they were; ArrowInvalid or IndexError where the bytes are damaged."""
    rows.validate(full=True)  # offsets that point outside would read foreign memory
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
