"""A recording in large pieces, for whoever decodes all of it: no step per row, all in columns.

A session is written in small blocks, so that a crash costs little. Here many blocks are read at a
time and their records sorted by source, which is what `Decoder.decode_piece` takes. While a piece
is decoded a thread reads the next one. Memory stays flat however long the recording is, as long as
nobody keeps what was decoded.
"""

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from capture.recording.format import Records
from capture.recording.reader import ArrowRecording, Recording, grouped
from decode.records import Piece, RecordBatch, SourceInfo, SourceRecords

# columns of 1 MB: so few calls that the reading thread and the decoding one do not wait for each
# other, and caches hold
PIECE_RECORDS: Final = 131_072
# the largest block whose release glibc still learns from: 32 MiB with what it adds (mallopt(3))
LARGEST_LESSON: Final = (32 << 20) - (64 << 10)


def pieces(recording: Recording, records: int = PIECE_RECORDS) -> Iterator[Piece]:
    """The recording in pieces of about so many records, up to where the file is whole."""
    _let_memory_be_kept()
    found: Iterator[Piece]
    if isinstance(recording, ArrowRecording):
        sources = recording.session.sources
        found = (piece_of(part, sources) for part in recording.records(records))
    else:
        found = map(Piece.of, grouped(recording.batches(), len, records))
    with ThreadPoolExecutor(1, "recording-reader") as reader:
        coming = reader.submit(next, found, None)
        while (piece := coming.result()) is not None:
            coming = reader.submit(next, found, None)
            yield piece


def _let_memory_be_kept() -> None:
    """Keep what one piece frees for the next one.

    glibc hands it back to the system and gets it again page by page, which takes a third of the
    time of decoding, until it has seen a large block come and go. Elsewhere this does nothing.
    """
    np.empty(LARGEST_LESSON, np.uint8)


def piece_of(records: Records, sources: Sequence[SourceInfo]) -> Piece:
    """The records sorted by source."""
    numbers = np.flatnonzero(np.bincount(records.source)).tolist()
    by_source = {}
    for number in numbers:
        of_source = records.source == number
        alone = len(numbers) == 1
        batch = records.every if alone else _only(records.every, of_source)
        lost = int(np.maximum(records.dropped_before[of_source], 0).sum())
        batch = replace(batch, source=sources[number].name, dropped_before=lost)
        by_source[batch.source] = SourceRecords(batch, np.flatnonzero(of_source))
    return Piece(by_source, len(records))


def _only(batch: RecordBatch, kept: NDArray[np.bool_]) -> RecordBatch:
    length = np.diff(batch.offsets)
    return replace(
        batch,
        arrived_ns=batch.arrived_ns[kept],
        adapter_ns=batch.adapter_ns[kept],
        address=batch.address[kept],
        flags=batch.flags[kept],
        data=batch.data[np.repeat(kept, length)],
        offsets=np.concatenate((np.zeros(1, np.int64), np.cumsum(length[kept]))),
    )
