"""Delimited text lines into numbers. A line is right as a whole or it gives nothing.

A damaged line may still hold fields that look like numbers; so a line that its source flagged
ERROR, one used field that is no number, or another number of fields than the header has, drops the
whole line, and the drop is counted.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from decode.map_lines import LineFormat, LineNumber
from decode.records import NO_ADAPTER_TIME, Flag, RecordBatch
from decode.samples import FloatArray

_NUMBER: Final = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_NS_PER: Final = {"s": 1e9, "ms": 1e6, "us": 1e3}
_PASSED_OVER: Final = int(Flag.GAP | Flag.SENT)
_DAMAGED: Final = int(Flag.ERROR)
LONGEST_STAMP_NS: Final = (
    2.0**62
)  # 146 years: what is more overflows 64 bits when offsets are added


@dataclass(frozen=True, slots=True)
class CutLines:
    """record: int64[k], which records were whole lines. values: per channel float64[k], as sent.
    stamp_ns: int64[n] for all records, the device's own time where a whole line carries it."""

    record: NDArray[np.int64]
    values: Mapping[str, FloatArray]
    stamp_ns: NDArray[np.int64]


class LineFields:
    """Cuts the lines of one source. malformed: how many lines so far gave nothing."""

    def __init__(self, form: LineFormat, fields: Mapping[str, LineNumber]) -> None:
        self.malformed = 0
        self._form = form
        self._fields = fields
        self._pattern = re.compile(form.pattern) if form.pattern is not None else None
        clock = [form.clock.key] if form.clock else []
        keys = [*clock, *(field.key for field in fields.values())]
        self._wanted = {key for key in keys if isinstance(key, str)}
        self._place = _places(form.header)
        self._count = form.fields or len(form.header)  # of fields in a whole line; 0: not known
        if self._pattern is not None:
            self._place |= {name: n - 1 for name, n in self._pattern.groupindex.items()}

    def cut(self, batch: RecordBatch) -> CutLines:
        """The numbers of every whole line of the batch, in order."""
        stamps = np.full(len(batch), NO_ADAPTER_TIME, dtype=np.int64)
        records: list[int] = []
        rows: list[list[float]] = []
        for index, text in self._lines(batch):
            row = self._row(text)
            if row is None:
                continue
            if self._form.clock:
                stamps[index] = round(row.pop())
            records.append(index)
            rows.append(row)
        columns = np.array(rows, dtype=np.float64).reshape(len(rows), len(self._fields)).T
        values = dict(zip(self._fields, columns, strict=True))
        return CutLines(np.array(records, dtype=np.int64), values, stamps)

    def _lines(self, batch: RecordBatch) -> Iterator[tuple[int, str]]:
        flags = batch.flags.tolist()
        for index in range(len(batch)):
            if flags[index] & _DAMAGED:
                self.malformed += 1
            elif not flags[index] & _PASSED_OVER:
                yield index, batch.payload(index).decode("utf-8", "replace").strip("\r\n")

    def _row(self, text: str) -> list[float] | None:
        """The used fields of a line, the clock's last in ns; None where it gives nothing."""
        of_ours = text.startswith(self._form.starts_with)
        cells = self._cells(text) if of_ours and self._wanted <= self._place.keys() else None
        row = None if cells is None else self._numbers(cells)
        if row is None and not self._learns_header(text) and of_ours:
            self.malformed += 1
        return row

    def _cells(self, text: str) -> list[str] | None:
        if self._pattern is not None:
            match = self._pattern.search(text)
            return None if match is None else ["" if g is None else g for g in match.groups()]
        cells = self._split(text)
        if self._form.fields is None and cells[-1:] == [""] and len(cells) == self._count + 1:
            cells.pop()  # some devices close each line of numbers with a delimiter
        return None if self._count and len(cells) != self._count else cells

    def _split(self, text: str) -> list[str]:
        delimiter = self._form.delimiter
        cells = text.split() if delimiter == " " else text.split(delimiter)
        return [cell.strip() for cell in cells]

    def _learns_header(self, text: str) -> bool:
        """Take the line as the header if it names all that is wanted by name once."""
        if not self._wanted or self._form.header or self._pattern is not None:
            return False
        names = self._split(text)
        place = _places(names)
        if self._wanted <= place.keys() and self._form.fields in (None, len(names)):
            self._place, self._count = place, len(names)
            return True
        return False

    def _numbers(self, cells: Sequence[str]) -> list[float] | None:
        row: list[float] = []
        for field in self._fields.values():
            number = self._number(cells, field.key, field.not_available)
            if number is None:
                return None
            row.append(number)
        if self._form.clock:
            stamp = self._number(cells, self._form.clock.key, ())
            stamp_ns = -1.0 if stamp is None else stamp * _NS_PER[self._form.clock.unit]
            if not 0 <= stamp_ns < LONGEST_STAMP_NS:
                return None
            row.append(stamp_ns)
        return row

    def _number(
        self, cells: Sequence[str], key: int | str, not_available: Sequence[str]
    ) -> float | None:
        place = self._place[key] if isinstance(key, str) else key
        if place >= len(cells):
            return None
        cell = cells[place]
        if cell in not_available:
            return float("nan")
        if self._form.decimal == ",":
            cell = cell.replace(",", ".") if "." not in cell else ""
        if not _NUMBER.fullmatch(cell):
            return None
        number = float(cell)
        return number if np.isfinite(number) else None


def _places(names: Sequence[str]) -> dict[str, int]:
    """Which field each name stands for; a name that stands there twice stands for none."""
    return {name: i for i, name in enumerate(names) if names.count(name) == 1}
