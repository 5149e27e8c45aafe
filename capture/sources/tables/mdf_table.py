"""Measurements in MDF4 (ASAM) files, by the optional package asammdf."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final, cast

import numpy as np
from numpy.typing import NDArray

from capture.sources.tables.packed_file import open_bytes
from capture.sources.tables.table import Column, TableRecording, table_of
from capture.sources.tables.table_layout import unique
from decode.errors import InputFileError, Problem, RecordingError

STARTS: Final = (b"MDF     ", b"UnFinMF ")  # ASAM MDF, the identification block
BUS_LOG_CHANNEL: Final = "CAN_DataFrame"  # ASAM MDF bus logging: raw frames, not measurements


def holds_frames(path: Path) -> bool:
    """Whether the file is a log of CAN frames and no measurement."""
    with _open(path) as mdf:
        return BUS_LOG_CHANNEL in mdf.channels_db


def read_mdf_table(path: Path) -> TableRecording:
    """Every numeric channel of a measurement, with its own times, as columns of a table."""
    headers: list[str] = []
    units: list[str] = []
    columns: list[Column] = []
    skipped = 0
    with _open(path) as mdf:
        for signal in mdf.iter_channels():
            if not _is_numeric(signal.samples):
                skipped += 1
                continue
            time_s = signal.timestamps.astype(np.float64)
            value = signal.samples.astype(np.float64)
            if signal.invalidation_bits is not None:
                value[np.asarray(signal.invalidation_bits, dtype=bool)] = np.nan
            columns.append(Column(len(headers), time_s, value))
            headers.append(str(signal.name))
            units.append(str(signal.unit or ""))
    if not columns:
        raise InputFileError(path, [Problem(1, 1, "table", "holds no channel of numbers")])
    notes = [f"{len(headers)} channels of numbers (MDF), {skipped} others left out"]
    return table_of(path, unique(headers), units, columns, notes)


def _is_numeric(samples: NDArray[Any]) -> bool:
    return samples.ndim == 1 and samples.dtype.kind in "iufb"


@contextmanager
def _open(path: Path) -> Iterator[Any]:
    try:
        import asammdf  # costs 139 MB of memory, so only who imports MDF pays
    except ImportError as error:
        raise RecordingError(f"{path}: reading MDF needs the package asammdf") from error
    with open_bytes(path) as file:
        try:
            if file.read(len(STARTS[0])) not in STARTS:
                raise RecordingError("its first bytes are of no MDF file")
            file.seek(0)
            mdf = asammdf.MDF(cast(Any, file))
        except Exception as error:  # asammdf raises its own, struct's and numpy's
            raise RecordingError(f"{path} cannot be read as MDF: {error}") from error
        with mdf:
            yield mdf
