"""Our own recordings, read back as the batches they were."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Final, Protocol, TypeVar

import pyarrow as pa

from capture.recording_format import checked, from_arrow, open_blocks, session_of
from decode.errors import RecordingError
from decode.records import RecordBatch, SessionInfo, SourceInfo

# what Arrow says of a compressed stream that nobody ended
CUT_OFF: Final = "Truncated compressed stream"
# what reading raises where the bytes are damaged
DAMAGED: Final = (OSError, pa.ArrowException, IndexError)

T = TypeVar("T")


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
    """A recording of ours; memory stays flat however long it is."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.torn: str | None = None
        with _open_stream(path) as reader:
            try:
                self.session = session_of(reader.schema)
            except RecordingError as error:
                raise RecordingError(f"{path} {error}") from error

    def batches(self) -> Iterator[RecordBatch]:
        """The batches as they were put, up to where the file is whole."""
        return self._whole(from_arrow)

    def blocks(self) -> Iterator[pa.RecordBatch]:
        """The Arrow batches of the file, up to where it is whole."""
        return self._whole(lambda rows, _: (rows,))

    def tell_torn(self, blocks: int, error: BaseException) -> None:
        """Say that nothing is whole behind so many blocks."""
        if CUT_OFF in str(error):
            self.torn = (
                f"was never closed, or is cut off behind {blocks} whole blocks: "
                "of a session that crashed, up to its last quarter second is missing"
            )
        else:
            self.torn = f"unreadable after {blocks} whole blocks: {_first_line(error)}"

    def _whole(
        self, read: Callable[[pa.RecordBatch, Sequence[SourceInfo]], Iterable[T]]
    ) -> Iterator[T]:
        """What `read` makes of every block; where it fails the file is torn."""
        self.torn = None
        blocks = 0
        with _open_stream(self.path) as reader:
            try:
                for rows in checked(reader):
                    yield from read(rows, self.session.sources)
                    blocks += 1
            except DAMAGED as error:
                self.tell_torn(blocks, error)


def read_recording(path: Path) -> ArrowRecording:
    """Open a recording; RecordingError if it is none at all (a torn tail is no error)."""
    return ArrowRecording(path)


def _open_stream(path: Path) -> pa.ipc.RecordBatchStreamReader:
    try:
        return open_blocks(path)
    except (OSError, pa.ArrowException) as error:
        raise RecordingError(
            f"{path} cannot be read as a recording: {_first_line(error)}"
        ) from error


def _first_line(error: BaseException) -> str:
    return (str(error).splitlines() or [""])[0]
