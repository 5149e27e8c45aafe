"""Our own recordings, read back as the batches they were."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Final, Protocol, TypeVar

import numpy as np
import pyarrow as pa

from capture.recording import form_1, form_2
from capture.recording.format import (
    CHECKSUM_KEY,
    CONTINUES,
    FIELDS,
    Progress,
    Records,
    from_arrow,
)
from capture.recording.head import FORM, form_of, session_of
from capture.recording.stream import CUT_OFF, DAMAGED, first_line, open_stream
from decode.errors import RecordingError
from decode.records import RecordBatch, SessionInfo, SourceInfo

AT_ONCE: Final = 8_192  # records read for `batches`: the cost of a block no longer counts

T = TypeVar("T")
Block = tuple[pa.RecordBatch, Mapping[bytes, bytes] | None]  # rows and metadata
BlocksOfBatches = Callable[
    [Path, pa.ipc.RecordBatchStreamReader, Sequence[SourceInfo]], Iterator[list[RecordBatch]]
]
# by form: the columns it was written with, and how its blocks are read
EARLIER: Final[dict[int, tuple[tuple[tuple[pa.Field, ...], ...], BlocksOfBatches]]] = {
    1: ((form_1.TIMES, form_1.STEPS), form_1.blocks),
    2: ((form_1.STEPS,), form_2.blocks),
}


class Recording(Protocol):
    """Anything recorded before: of ours, of another logger, or a table.

    torn: what is missing at its end, in words, or None; known once `batches` has ended.
    """

    @property
    def session(self) -> SessionInfo:
        """The session it holds."""

    @property
    def torn(self) -> str | None:
        """What is missing at its end."""

    def batches(self) -> Iterator[RecordBatch]:
        """Its batches, in the order in which they came."""


class ArrowRecording:
    """A recording of today's form; memory stays flat however long it is."""

    def __init__(self, path: Path, session: SessionInfo) -> None:
        self.path = path
        self.session = session
        self.torn: str | None = None

    def batches(self) -> Iterator[RecordBatch]:
        """The batches as they were put, up to where the file is whole."""
        for records in self.records(AT_ONCE):
            yield from batches_of(records, self.session.sources)

    def records(self, at_least: int) -> Iterator[Records]:
        """All records, so many at a time or a block more, up to where the file is whole."""
        self.torn = None
        whole = 0
        progress = Progress()
        with open_stream(self.path) as reader:
            try:
                found = reader.iter_batches_with_custom_metadata()
                for blocks in grouped(found, lambda block: block[0].num_rows, at_least):
                    for part in _as_far_as_whole(blocks, progress, self.session.sources):
                        records, progress, count = part
                        yield records
                        whole += count
            except DAMAGED as error:
                self.torn = _torn(whole, error)


class EarlierRecording:
    """A recording of an earlier form, block by block as the batches it was written from."""

    def __init__(self, path: Path, session: SessionInfo, blocks: BlocksOfBatches) -> None:
        self.path = path
        self.session = session
        self.torn: str | None = None
        self._blocks = blocks

    def batches(self) -> Iterator[RecordBatch]:
        """The batches as they were put, up to where the file is whole."""
        self.torn = None
        whole = 0
        with open_stream(self.path) as stream:
            try:
                for batches in self._blocks(self.path, stream, self.session.sources):
                    yield from batches
                    whole += 1
            except (*DAMAGED, IndexError) as error:
                self.torn = _torn(whole, error)


def read_recording(path: Path) -> ArrowRecording | EarlierRecording:
    """Open a recording of ours, of whatever form.

    RecordingError if it is none at all (a torn tail is no error), or of a form newer than these.
    """
    with open_stream(path) as stream:
        schema = stream.schema
    try:
        form = form_of(schema)
        if form == FORM:
            return ArrowRecording(path, session_of(schema, FIELDS))
        known_fields, blocks = EARLIER[form]
        return EarlierRecording(path, session_of(schema, *known_fields), blocks)
    except RecordingError as error:
        raise RecordingError(f"{path} {error}") from error


def batches_of(records: Records, sources: Sequence[SourceInfo]) -> Iterator[RecordBatch]:
    """The batches that the records were put in."""
    every = records.every
    begins = np.flatnonzero(records.dropped_before != CONTINUES)
    for first, last in pairwise([*begins.tolist(), len(records)]):
        offsets = every.offsets[first : last + 1]
        yield RecordBatch(
            source=sources[records.source[first]].name,
            arrived_ns=every.arrived_ns[first:last],
            adapter_ns=every.adapter_ns[first:last],
            address=every.address[first:last],
            flags=every.flags[first:last],
            data=every.data[offsets[0] : offsets[-1]],
            offsets=offsets - offsets[0],
            dropped_before=int(records.dropped_before[first]),
        )


def grouped(items: Iterator[T], size: Callable[[T], int], enough: int) -> Iterator[list[T]]:
    """Consecutive items, together `enough` in size or more; at the end, and before damage, less."""
    waiting: list[T] = []
    waiting_size = 0
    try:
        for item in items:
            waiting.append(item)
            waiting_size += size(item)
            if waiting_size >= enough:
                yield waiting
                waiting, waiting_size = [], 0
    except DAMAGED:
        if waiting:
            yield waiting
        raise
    if waiting:
        yield waiting


def _as_far_as_whole(
    blocks: Sequence[Block], progress: Progress, sources: Sequence[SourceInfo]
) -> Iterator[tuple[Records, Progress, int]]:
    """The records of some blocks, the progress behind them, and how many blocks they were.

    All at once, or block by block up to the first that is damaged.
    """
    try:
        yield *_read(blocks, progress, sources), len(blocks)
    except DAMAGED:
        for block in blocks:
            records, progress = _read([block], progress, sources)
            yield records, progress, 1


def _read(
    blocks: Sequence[Block], before: Progress, sources: Sequence[SourceInfo]
) -> tuple[Records, Progress]:
    checksum = (blocks[-1][1] or {}).get(CHECKSUM_KEY, b"")
    records, after = from_arrow([rows for rows, _ in blocks], checksum, before)
    if len(records) and int(records.source.max()) >= len(sources):
        raise pa.ArrowInvalid(f"a record is of source {records.source.max()} of {len(sources)}")
    return records, after


def _torn(blocks: int, error: BaseException) -> str:
    if CUT_OFF in str(error):
        return (
            f"was never closed, or is cut off behind {blocks} whole blocks: "
            "of a session that crashed, up to its last quarter second is missing"
        )
    return f"is unreadable after {blocks} whole blocks: {first_line(error)}"
