"""Opening the Arrow stream of a recording, and what Arrow says where one is damaged."""

from pathlib import Path
from typing import Final

import pyarrow as pa

from decode.errors import RecordingError

COMPRESSION: Final = "zstd"
ZSTD_MAGIC: Final = b"\x28\xb5\x2f\xfd"  # a zstd frame begins with it (RFC 8878)
# what Arrow says of a compressed stream that nobody ended
CUT_OFF: Final = "Truncated compressed stream"
# what reading raises where the bytes are damaged
DAMAGED: Final = (OSError, pa.ArrowException)


def open_stream(path: Path) -> pa.ipc.RecordBatchStreamReader:
    """The blocks of a recording; RecordingError if it is none. Close it after use."""
    # blocks are small: sharing one out among threads costs more than it saves
    options = pa.ipc.IpcReadOptions(use_threads=False)
    try:
        file = pa.OSFile(str(path))
        packed = file.read(len(ZSTD_MAGIC)) == ZSTD_MAGIC
        file.seek(0)
        return pa.ipc.open_stream(
            pa.CompressedInputStream(file, COMPRESSION) if packed else file, options=options
        )
    except DAMAGED as error:
        raise RecordingError(
            f"{path} cannot be read as a recording: {first_line(error)}"
        ) from error


def first_line(error: BaseException) -> str:
    """What an error says, without the trace that Arrow puts under it."""
    return (str(error).splitlines() or [""])[0]
