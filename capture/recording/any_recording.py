"""Opens whatever was recorded before, by the name of its file."""

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from capture.recording.foreign_recording import SUFFIXES as LOG_SUFFIXES
from capture.recording.foreign_recording import read_foreign
from capture.recording.format import SUFFIX
from capture.recording.reader import Recording, read_recording
from capture.sources.tables.mdf_table import holds_frames, read_mdf_table
from capture.sources.tables.table import read_table
from decode.errors import RecordingError

OURS: Final = (SUFFIX, ".arrows")  # ".arrows" until recordings became one zstd stream
MDF_SUFFIX: Final = ".mf4"
TABLE_SUFFIXES: Final = (".csv", ".txt", ".tsv", ".parquet")


def open_recording(path: Path, names: Mapping[str, str] | None = None) -> Recording:
    """The recording in a file. names: a source's name for each bus of a foreign CAN log.

    Raises RecordingError or InputFileError, with what kinds of file there are.
    """
    if not path.is_file():
        raise RecordingError(f"{path}: there is no such file")
    if path.name.lower().endswith(OURS):
        return read_recording(path)
    suffix = next((s for s in reversed(path.suffixes) if s.lower() != ".gz"), "").lower()
    if suffix == MDF_SUFFIX and not holds_frames(path):
        return read_mdf_table(path)
    if suffix in LOG_SUFFIXES:
        return read_foreign(path, names)
    if suffix in TABLE_SUFFIXES:
        return read_table(path)
    known = ", ".join((*OURS, *LOG_SUFFIXES, *TABLE_SUFFIXES))
    raise RecordingError(f'{path}: unknown kind of file "{suffix}"; known: {known}')
