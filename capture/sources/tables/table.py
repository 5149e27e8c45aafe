"""Logs taken elsewhere: CSV in any layout, Parquet; every cell with a number is one record."""

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from capture.sources.tables.packed_file import DAMAGED, open_bytes
from capture.sources.tables.table_layout import (
    NO_VALUE,
    TableLayout,
    decode_text,
    detect_layout,
    unit_of,
    whole_lines,
)
from capture.sources.tables.table_time import (
    CLOCK_TIMES,
    FloatArray,
    counted_together,
    numbers,
    seconds,
    time_column_of,
)
from decode.errors import InputFileError, Problem
from decode.records import NO_ADAPTER_TIME, RecordBatch, SessionInfo, SourceInfo, SourceKind

SOURCE_NAME: Final = "table"
BATCH_RECORDS: Final = 8_192
LARGEST_STEP_BACK_S: Final = 1.0  # rows a little out of order are sorted; more is a second log
NS_PER_S: Final = 1e9
LONGEST_SESSION_S: Final = 1e6  # later times than 11 days are dates, not times of a session
LONGEST_TABLE_S: Final = 3e9  # a century; a table that spans more has another kind of time


class Column(NamedTuple):
    """One column of numbers and the time of each. number: its place among the headers."""

    number: int
    time_s: FloatArray
    value: FloatArray


@dataclass
class TableRecording:
    """A table as a recording. notes: what was found and assumed, in words, for the user to check.
    units: of each column, "" where the table names none.

    Record time is the table's own, so that findings name the times the user sees in it; dates are
    counted from the first row.
    """

    session: SessionInfo
    notes: tuple[str, ...]
    units: tuple[str, ...]
    torn: str | None = None
    _time_s: FloatArray = field(default_factory=lambda: np.empty(0))
    _column: NDArray[np.uint32] = field(default_factory=lambda: np.empty(0, np.uint32))
    _value: FloatArray = field(default_factory=lambda: np.empty(0))

    def batches(self) -> Iterator[RecordBatch]:
        """The cells in order of time."""
        for start in range(0, len(self._time_s), BATCH_RECORDS):
            part = slice(start, start + BATCH_RECORDS)
            yield _batch(self._time_s[part], self._column[part], self._value[part])


def _batch(time_s: FloatArray, column: NDArray[np.uint32], value: FloatArray) -> RecordBatch:
    count = len(time_s)
    return RecordBatch(
        source=SOURCE_NAME,
        arrived_ns=np.round(time_s * NS_PER_S).astype(np.int64),
        adapter_ns=np.full(count, NO_ADAPTER_TIME, np.int64),
        address=column,
        flags=np.zeros(count, np.uint16),
        data=value.astype("<f8").view(np.uint8),
        offsets=8 * np.arange(count + 1, dtype=np.int64),
    )


def read_table(path: Path) -> TableRecording:
    """Read a whole table; InputFileError where it has no columns, no times, or no numbers."""
    suffixes = [suffix.lower() for suffix in path.suffixes]
    if ".parquet" in suffixes[-1:]:
        return _recording(path, *_read_parquet(path))
    return _recording(path, *_read_text(path))


def _read_text(path: Path) -> tuple[pd.DataFrame, TableLayout, list[str]]:
    try:
        with open_bytes(path) as file:
            data = file.read()
    except DAMAGED as error:
        raise _refusal(path, 1, f"cannot be read: {error}") from error
    text, encoding = decode_text(data)
    layout = detect_layout(path, text, encoding)
    text, left_out = whole_lines(path, text, layout)
    width = len(layout.headers)
    try:
        frame = pd.read_csv(
            io.StringIO(text),
            sep=layout.delimiter,
            header=None,
            names=list(range(width)),
            usecols=list(range(width)),
            index_col=False,
            skiprows=layout.first_data_line - 1,
            skip_blank_lines=False,
            dtype=str,
            keep_default_na=False,
        )
    except (pd.errors.ParserError, ValueError) as error:
        raise _refusal(path, layout.first_data_line, str(error).strip()) from error
    return frame, layout, [layout.describe(), *left_out]


def _read_parquet(path: Path) -> tuple[pd.DataFrame, TableLayout, list[str]]:
    try:
        frame = pd.read_parquet(path)
    except (OSError, ValueError) as error:
        raise _refusal(path, 1, f"cannot be read as Parquet: {error}") from error
    if frame.index.name is not None:
        frame = frame.reset_index()
    headers = tuple(str(name) for name in frame.columns)
    layout = TableLayout("utf-8", ",", ".", 1, 1, headers, tuple(map(unit_of, headers)))
    return frame, layout, [f"{len(headers)} columns (Parquet)"]


def _recording(
    path: Path, frame: pd.DataFrame, layout: TableLayout, notes: list[str]
) -> TableRecording:
    frame.columns = pd.RangeIndex(frame.shape[1])
    time_of = time_column_of(layout.headers)
    axes = sorted({axis for axis in time_of if axis is not None})
    if not axes:
        names = ", ".join(f'"{name}"' for name in layout.headers)
        raise _refusal(path, layout.header_line, f"no column of times was found among {names}")
    read = {axis: _axis(path, frame[axis], layout, axis) for axis in axes}
    notes += _of_times([(layout.headers[axis], how) for axis, (_, how) in read.items()])
    times = {axis: time_s for axis, (time_s, _) in read.items()}
    times |= counted_together(
        {a: time_s for a, (time_s, how) in read.items() if how == CLOCK_TIMES}
    )
    columns = [
        (axis, number, _numbers(frame[number], layout, number, notes))
        for number, axis in enumerate(time_of)
        if axis is not None and layout.headers[number]
    ]
    series = [Column(number, times[axis], values) for axis, number, values in columns]
    return table_of(path, layout.headers, layout.units, series, notes)


def _of_times(read: Sequence[tuple[str, str]]) -> list[str]:
    """A note for each way in which time columns were read; read: header and way of each."""
    headers: dict[str, list[str]] = {}
    for header, how in read:
        headers.setdefault(how, []).append(header)
    more = {how: f" and {len(of) - 1} more columns" for how, of in headers.items() if len(of) > 1}
    return [f'time from "{of[0]}"{more.get(how, "")}: {how}' for how, of in headers.items()]


def table_of(
    path: Path,
    headers: Sequence[str],
    units: Sequence[str],
    columns: Sequence[Column],
    notes: Sequence[str],
) -> TableRecording:
    """All cells with a time and a number, in order of time."""
    time_s = np.concatenate([column.time_s for column in columns])
    value = np.concatenate([column.value for column in columns])
    number = np.concatenate([np.full(len(c.value), c.number, np.uint32) for c in columns])
    known = np.isfinite(time_s) & np.isfinite(value)
    order = np.flatnonzero(known)[np.argsort(time_s[known], kind="stable")]
    if not len(order):
        raise _refusal(path, 1, "holds no number with a time")
    first_s, last_s = float(time_s[order[0]]), float(time_s[order[-1]])
    if last_s - first_s > LONGEST_TABLE_S:
        what = f"its times span {last_s - first_s:.4g} s"
        raise _refusal(path, 1, f"{what}; name their unit in the header, as in time [ms]")
    dated = first_s > LONGEST_SESSION_S
    shift_s = first_s if dated else min(first_s, 0.0)
    source = SourceInfo(SOURCE_NAME, SourceKind.TABLE, tuple(headers))
    started_unix_ns = round(first_s * NS_PER_S) if dated else 0
    return TableRecording(
        SessionInfo(path.stem, "table", 0, started_unix_ns, (source,)),
        tuple(notes),
        tuple(units),
        _time_s=time_s[order] - shift_s,
        _column=number[order],
        _value=value[order],
    )


def _axis(
    path: Path, cells: "pd.Series[str]", layout: TableLayout, axis: int
) -> tuple[FloatArray, str]:
    """One time column in seconds, and how it was read; refused where its time starts again."""
    header = layout.headers[axis]
    if pd.api.types.is_datetime64_any_dtype(cells):
        since = pd.to_datetime(cells, utc=True) - pd.Timestamp(0, tz="UTC")
        time_s, how = np.asarray(since.dt.total_seconds(), np.float64), "dates"
    elif pd.api.types.is_timedelta64_dtype(cells):
        lasting = pd.to_timedelta(cells).dt.total_seconds()
        time_s, how = np.asarray(lasting, np.float64), "durations"
    else:
        time_s, how = seconds(cells, header, layout.units[axis], layout.decimal)
        texts = cells.astype("str").str.strip()
        filled = np.flatnonzero(~texts.str.lower().isin(NO_VALUE))
        if len(filled) and not np.isfinite(time_s).any():
            line, cell = layout.first_data_line + int(filled[0]), texts.iloc[filled[0]]
            raise _refusal(path, line, f'"{header}" holds no times: "{cell}" is none')
    known = np.flatnonzero(np.isfinite(time_s))
    back = np.flatnonzero(np.diff(time_s[known]) < -LARGEST_STEP_BACK_S)
    if len(back):
        row, before = known[back[0] + 1], known[back[0]]
        raise _refusal(
            path,
            layout.first_data_line + int(row),
            f'"{header}" goes back from {time_s[before]:g} s to {time_s[row]:g} s: '
            "these are two logs in one file; split it there",
        )
    return time_s, how


def _numbers(
    cells: "pd.Series[str]", layout: TableLayout, number: int, notes: list[str]
) -> FloatArray:
    """One column as numbers, NaN where a cell is empty or no number."""
    if pd.api.types.is_numeric_dtype(cells):
        return cells.to_numpy(np.float64)
    texts = cells.astype("str").str.strip()
    values = numbers(texts, layout.decimal)
    words = np.flatnonzero(np.isnan(values) & ~texts.str.lower().isin(NO_VALUE).to_numpy())
    if len(words):
        line, cell = layout.first_data_line + int(words[0]), texts.iloc[words[0]]
        notes.append(
            f'"{layout.headers[number]}": {len(words)} of {len(values)} cells are no numbers, '
            f'the first is "{cell}" in line {line}'
        )
    return values


def _refusal(path: Path, line: int, message: str) -> InputFileError:
    return InputFileError(path, [Problem(line, 1, "table", message)])
