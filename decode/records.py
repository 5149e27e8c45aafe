"""The raw record batch: what a source delivered, before anyone asks what it means."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import IntFlag, StrEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

NO_ADAPTER_TIME: Final = -1
# CAN identifiers: standard ones are smaller, extended ones go up to the largest; the whole one is
# the mask under which every bit must agree
STANDARD_IDENTIFIERS: Final = 1 << 11
LARGEST_IDENTIFIER: Final = (1 << 29) - 1
WHOLE_IDENTIFIER: Final = LARGEST_IDENTIFIER


class SourceKind(StrEnum):
    """How the payload of a source's records is to be read."""

    CAN = "can"  # payload: the data bytes; address: the identifier
    LINES = "lines"  # payload: one text line without its end; address: 0
    FRAMES = "frames"  # payload: one whole binary frame; address: 0
    DIAGNOSTICS = "diagnostics"  # payload: one whole response; address: the responder
    TABLE = "table"  # payload: one little-endian float64; address: the column's number
    OPERATOR = "operator"  # payload: an operator's record (operator_records.py); address: 0


class Flag(IntFlag):
    """What is special about one record."""

    NONE = 0
    EXTENDED = 1  # 29-bit CAN identifier
    FD = 2  # CAN FD frame
    REMOTE = 4  # CAN remote frame: no data
    ERROR = 8  # CAN error frame: no data to decode
    SENT = 16  # a read request of our own
    GAP = 32  # the source was away until here; payload: why, in words


@dataclass(frozen=True, slots=True)
class SourceInfo:
    """What a recording must know of a source to decode its records again."""

    name: str
    kind: SourceKind
    columns: tuple[str, ...] = ()  # TABLE only: the header of each column, by address


@dataclass(frozen=True, slots=True)
class RecordBatch:
    """Records of one source, in order of arrival.

    arrived_ns, adapter_ns: int64[n] on one monotonic clock for all sources (adapter_ns: the
    adapter's own stamp, NO_ADAPTER_TIME where it gives none). address: uint32[n]. flags:
    uint16[n] of Flag. data: uint8[...], all payloads end to end; offsets: int64[n + 1], payload
    i is data[offsets[i]:offsets[i + 1]]. dropped_before: records known to be lost before this
    batch.
    """

    source: str
    arrived_ns: NDArray[np.int64]
    adapter_ns: NDArray[np.int64]
    address: NDArray[np.uint32]
    flags: NDArray[np.uint16]
    data: NDArray[np.uint8]
    offsets: NDArray[np.int64]
    dropped_before: int = 0

    def __len__(self) -> int:
        return len(self.arrived_ns)

    def payload(self, index: int) -> bytes:
        """The bytes of one record."""
        return self.data[self.offsets[index] : self.offsets[index + 1]].tobytes()

    @classmethod
    def joined(cls, batches: Sequence["RecordBatch"]) -> "RecordBatch":
        """Batches of one source, in their order, as one."""
        if len(batches) == 1:
            return batches[0]
        # the steps between all offsets are the payloads' lengths, but for those from batch to batch
        steps = np.diff(np.concatenate([batch.offsets for batch in batches]))
        seams = np.cumsum([len(batch.offsets) for batch in batches[:-1]]) - 1
        lengths = np.delete(steps, seams)
        data = [batch.data[batch.offsets[0] : batch.offsets[-1]] for batch in batches]
        return cls(
            source=batches[0].source,
            arrived_ns=np.concatenate([batch.arrived_ns for batch in batches]),
            adapter_ns=np.concatenate([batch.adapter_ns for batch in batches]),
            address=np.concatenate([batch.address for batch in batches]),
            flags=np.concatenate([batch.flags for batch in batches]),
            data=np.concatenate(data),
            offsets=np.concatenate((np.zeros(1, np.int64), np.cumsum(lengths))),
            dropped_before=sum(batch.dropped_before for batch in batches),
        )

    @classmethod
    def of(
        cls,
        source: str,
        arrived_ns: list[int],
        payloads: list[bytes],
        address: list[int] | None = None,
        flags: list[int] | None = None,
        adapter_ns: list[int] | None = None,
        dropped_before: int = 0,
    ) -> "RecordBatch":
        """Build a batch from Python lists, as a reader thread has them."""
        count = len(arrived_ns)
        offsets = np.zeros(count + 1, dtype=np.int64)
        np.cumsum([len(payload) for payload in payloads], out=offsets[1:])
        return cls(
            source=source,
            arrived_ns=np.asarray(arrived_ns, dtype=np.int64),
            adapter_ns=(
                np.full(count, NO_ADAPTER_TIME, dtype=np.int64)
                if adapter_ns is None
                else np.asarray(adapter_ns, dtype=np.int64)
            ),
            address=np.zeros(count, np.uint32)
            if address is None
            else np.asarray(address, np.uint32),
            flags=np.zeros(count, np.uint16) if flags is None else np.asarray(flags, np.uint16),
            data=np.frombuffer(b"".join(payloads), dtype=np.uint8),
            offsets=offsets,
            dropped_before=dropped_before,
        )


@dataclass(frozen=True, slots=True)
class SourceRecords:
    """All of one source's records in a piece of a session. place: int64[n], where each stands among
    the records of all sources."""

    batch: RecordBatch
    place: NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Piece:
    """Consecutive records of a session, sorted by source: what an archive is decoded in.

    records: how many there are, of all sources, with those nobody decodes.
    """

    by_source: Mapping[str, SourceRecords]
    records: int

    @classmethod
    def of(cls, batches: Sequence[RecordBatch]) -> "Piece":
        """Batches in order of arrival."""
        parts: dict[str, list[RecordBatch]] = {}
        places: dict[str, list[NDArray[np.int64]]] = {}
        count = 0
        for batch in batches:
            parts.setdefault(batch.source, []).append(batch)
            places.setdefault(batch.source, []).append(np.arange(count, count + len(batch)))
            count += len(batch)
        by_source = {
            source: SourceRecords(RecordBatch.joined(found), np.concatenate(places[source]))
            for source, found in parts.items()
        }
        return cls(by_source, count)


@dataclass(frozen=True, slots=True)
class SessionInfo:
    """The head of a recording: what holds for the whole session.

    started_ns: the monotonic instant that is second 0 of the session. started_unix_ns: the wall
    clock at that same instant. map_text: the channel map as it was.
    """

    session_id: str
    station: str
    started_ns: int
    started_unix_ns: int
    sources: tuple[SourceInfo, ...]
    map_text: str = ""
