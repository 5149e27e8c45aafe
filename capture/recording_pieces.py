"""A recording in large pieces, for whoever decodes all of it: no step per row, all in columns.

A session is written in small blocks, so that a crash costs little. Here many blocks are read at a
time and their records sorted by source, which is what `Decoder.decode_piece` takes. While a piece
is decoded a thread reads the next one. Memory stays flat however long the recording is, as long as
nobody keeps what was decoded.
"""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Final, TypeVar

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from numpy.typing import NDArray

from capture.sources.recording import DAMAGED, ArrowRecording, Recording
from decode.records import Piece, RecordBatch, SourceInfo, SourceRecords

PIECE_RECORDS: Final = 65_536  # columns of 512 kB: the calls no longer count, caches hold

Numbers = NDArray[np.int64]
T = TypeVar("T")


def pieces(recording: Recording, records: int = PIECE_RECORDS) -> Iterator[Piece]:
    """The recording in pieces of about so many records, up to where the file is whole."""
    if isinstance(recording, ArrowRecording):
        found = _of_blocks(recording, records)
    else:
        found = map(Piece.of, _grouped(recording.batches(), len, records))
    with ThreadPoolExecutor(1, "recording-reader") as reader:
        coming = reader.submit(next, found, None)
        while (piece := coming.result()) is not None:
            coming = reader.submit(next, found, None)
            yield piece


def _of_blocks(recording: ArrowRecording, records: int) -> Iterator[Piece]:
    whole = 0
    for blocks in _grouped(recording.blocks(), _records_of, records):
        try:
            piece = piece_of(blocks, recording.session.sources)
        except DAMAGED:
            yield from _up_to_damage(recording, blocks, whole)
            return
        yield piece
        whole += len(blocks)


def _up_to_damage(
    recording: ArrowRecording, blocks: Sequence[pa.RecordBatch], whole: int
) -> Iterator[Piece]:
    """Block by block, as far as that goes. whole: how many blocks were read before."""
    for number, block in enumerate(blocks):
        try:
            piece = piece_of([block], recording.session.sources)
        except DAMAGED as error:
            recording.tell_torn(whole + number, error)
            return
        yield piece


def _records_of(block: pa.RecordBatch) -> int:
    return len(block.column("records").values)


def _grouped(items: Iterator[T], size: Callable[[T], int], enough: int) -> Iterator[list[T]]:
    """Consecutive items, together at least `enough` in size; the last ones may be less."""
    waiting: list[T] = []
    waiting_size = 0
    for item in items:
        waiting.append(item)
        waiting_size += size(item)
        if waiting_size >= enough:
            yield waiting
            waiting, waiting_size = [], 0
    if waiting:
        yield waiting


def piece_of(blocks: Sequence[pa.RecordBatch], sources: Sequence[SourceInfo]) -> Piece:
    """The records of whole blocks as one piece.

    ArrowInvalid or IndexError where a row names more or fewer bytes than it holds, or a source
    that there is not.
    """
    rows = pa.concat_batches(blocks)
    number, dropped = rows.column("source").to_numpy(), rows.column("dropped_before").to_numpy()
    lists, data = rows.column("records"), rows.column("data")
    starts = lists.offsets.to_numpy()
    arrived_step, adapter_step, address, flags, length = (
        values.to_numpy() for values in lists.values.flatten()
    )
    if starts[0] != 0 or starts[-1] != len(length):
        raise pa.ArrowInvalid(f"the rows hold records {starts[0]} to {starts[-1]} of {len(length)}")
    offsets = _sums(length)
    if not np.array_equal(np.diff(offsets[starts]), pc.binary_length(data).to_numpy()):
        raise pa.ArrowInvalid("a row holds other payload bytes than its records name")
    block_starts = starts[_sums([block.num_rows for block in blocks])]
    columns = RecordBatch(
        source="",
        arrived_ns=_times(arrived_step, block_starts),
        adapter_ns=_times(adapter_step, block_starts),
        address=address,
        flags=flags,
        data=_payloads(data),
        offsets=offsets,
    )
    of_record = np.repeat(number, np.diff(starts))
    by_source = {}
    for found in np.unique(number).tolist():
        of_row = number == found
        place = np.flatnonzero(of_record == found)
        batch = columns if of_row.all() else _only(columns, place, data.filter(pa.array(of_row)))
        lost = int(dropped[of_row].sum())
        batch = replace(batch, source=sources[found].name, dropped_before=lost)
        by_source[batch.source] = SourceRecords(batch, place)
    return Piece(by_source, len(of_record))


def _sums(length: Sequence[int] | NDArray[np.integer]) -> Numbers:
    """0 and the running sums: int64[n + 1]."""
    sums = np.zeros(len(length) + 1, np.int64)
    np.cumsum(length, out=sums[1:])
    return sums


def _times(step_ns: Numbers, block_starts: Numbers) -> Numbers:
    """Steps summed up, beginning anew in each block: int64[records].

    block_starts: where each block begins, and the number of all records.
    """
    sums = _sums(step_ns)
    time_ns = sums[1:]
    time_ns -= np.repeat(sums[block_starts[:-1]], np.diff(block_starts))
    return time_ns


def _payloads(data: pa.BinaryArray) -> NDArray[np.uint8]:
    """The bytes of all rows, end to end: uint8[...]."""
    first, last = np.frombuffer(data.buffers()[1], np.int32)[[0, len(data)]]
    return np.frombuffer(data.buffers()[2] or b"", np.uint8)[first:last]


def _only(columns: RecordBatch, place: Numbers, data: pa.BinaryArray) -> RecordBatch:
    """The records at some places, in their order. data: the payloads of their rows."""
    return replace(
        columns,
        arrived_ns=columns.arrived_ns[place],
        adapter_ns=columns.adapter_ns[place],
        address=columns.address[place],
        flags=columns.flags[place],
        data=_payloads(data),
        offsets=_sums(np.diff(columns.offsets)[place]),
    )
