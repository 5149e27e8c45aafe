"""How a text table is laid out: encoding, delimiter, decimal sign, header, units, first data line.

Loggers agree on nothing, so it is detected, from the first lines, and shown to the user.
"""

import csv
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Final

from capture.sources.tables.table_time import CLOCK
from decode.errors import InputFileError, Problem

SAMPLE_LINES: Final = 200  # a preamble of a logger is a few dozen lines at most
DELIMITERS: Final = ";\t,|"
DECIMAL_SIGNS: Final = ".,"
MOSTLY: Final = 0.5  # of the filled cells of a line must be numbers in a line of data

NUMBER: Final = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?")
# what may as well be a whole number with its thousands parted: 6.500
AMBIGUOUS: Final = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}")
NO_VALUE: Final = frozenset({"", "nan", "null", "na", "n/a", "none", "-", "--"})  # lower case
UNIT_IN_HEADER: Final = re.compile(r"(?P<name>.*?)\s*[\[(](?P<unit>[^\])]*)[\])]\s*")
# What stands in a line of units. It is compared without brackets and in lower case.
UNIT_WORDS: Final = frozenset(
    {
        *("s", "sec", "ms", "us", "µs", "min", "h", "hh:mm:ss", "hz"),
        *("rpm", "1/min", "min-1", "min^-1", "u/min", "tr/min", "giri/min", "km/h", "kph", "mph"),
        *("kpa", "hpa", "mbar", "bar", "psi", "pa", "°c", "degc", "c", "°f", "degf", "f", "k"),
        *("nm", "lbft", "lbf·ft", "kw", "hp", "ps", "cv", "m/s", "m/s2", "n", "g"),
        *("g/s", "kg/h", "kg/s", "mg/stk", "mg/hub", "°", "deg", "°kw", "°ca", "v", "mv", "a"),
        *("%", "λ", "lambda", "-", "afr", "bool", "none", "n/a"),
    }
)


@dataclass(frozen=True, slots=True)
class TableLayout:
    """Lines count from 1. headers: as in the file. units: "" where the table names none."""

    encoding: str
    delimiter: str
    decimal: str
    header_line: int
    first_data_line: int
    headers: tuple[str, ...]
    units: tuple[str, ...]

    def describe(self) -> str:
        """The layout in words, for the user to check."""
        name = {"\t": "tab", ";": "semicolon", ",": "comma", "|": "bar"}[self.delimiter]
        sign = {".": "point", ",": "comma"}[self.decimal]
        return (
            f"{len(self.headers)} columns ({self.encoding}, divided by {name}, decimal {sign}, "
            f"header in line {self.header_line}, data from line {self.first_data_line})"
        )


def decode_text(data: bytes) -> tuple[str, str]:
    """The text and the encoding it was read with; every byte string has one."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace"), "utf-16"
    try:
        return data.decode("utf-8-sig"), "utf-8"
    except UnicodeDecodeError:  # what Windows programs write in western Europe
        return data.decode("cp1252", errors="replace"), "cp1252"


def detect_layout(file: Path, text: str, encoding: str) -> TableLayout:
    """The layout of a table; InputFileError where there is no header over lines of numbers."""
    lines = text.splitlines()[:SAMPLE_LINES]
    delimiter = max(DELIMITERS, key=lambda sign: _fit(_rows(lines, sign)))
    rows = _rows(lines, delimiter)
    width = _usual_width(rows)
    first = next((i for i, row in enumerate(rows) if len(row) >= width and _is_data(row)), None)
    header = None if first is None else _header_above(rows, first)
    if width < 2 or first is None or header is None:
        message = (
            f"no line of column names over lines of numbers was found in its first {SAMPLE_LINES} "
            "lines; columns may be divided by semicolon, tab, comma or bar"
        )
        raise InputFileError(file, [Problem(1, 1, "table", message)])
    headers = unique([cell.strip() for cell in rows[header]])
    unit_row = rows[header + 1] if first - header > 1 else []
    return TableLayout(
        encoding,
        delimiter,
        _decimal_sign(rows[first:]),
        header + 1,
        first + 1,
        tuple(headers),
        tuple(unit_of(name, *unit_row[i : i + 1]) for i, name in enumerate(headers)),
    )


def whole_lines(file: Path, text: str, layout: TableLayout) -> tuple[str, list[str]]:
    """The text with longer lines emptied (which of their cells is whose, nobody knows), and a note.

    InputFileError where most lines have more cells than there are names.
    """
    lines = text.splitlines()
    width, begin = len(layout.headers), layout.first_data_line - 1
    suspects = [i for i in range(begin, len(lines)) if lines[i].count(layout.delimiter) >= width]
    rows = _rows([lines[i] for i in suspects], layout.delimiter)
    longer = [i for i, row in zip(suspects, rows, strict=True) if any(map(str.strip, row[width:]))]
    if not longer:
        return text, []
    said = f"{len(longer)} of {len(lines) - begin} lines have more cells than the {width} names"
    if len(longer) > MOSTLY * (len(lines) - begin):
        message = f"{said}: name every column, or put numbers with a decimal comma into quotes"
        raise InputFileError(file, [Problem(longer[0] + 1, 1, "table", message)])
    for i in longer:
        lines[i] = ""
    return "\n".join(lines), [f"{said} and are left out, the first is line {longer[0] + 1}"]


def _rows(lines: Sequence[str], delimiter: str) -> list[list[str]]:
    return [next(csv.reader([line], delimiter=delimiter), []) for line in lines]


def _usual_width(rows: Sequence[list[str]]) -> int:
    """How many cells most lines have, of those that look like data."""
    widths = Counter(len(row) for row in rows if _is_data(row))
    return widths.most_common(1)[0][0] if widths else 0


def _fit(rows: Sequence[list[str]]) -> tuple[int, float, int]:
    """How well the lines fall into columns of numbers; greater is better."""
    width = _usual_width(rows)
    if width < 2:
        return 0, 0.0, 0
    data = [row for row in rows if len(row) == width and _is_data(row)]
    numbers = sum(_is_number(cell) for row in data for cell in row)
    filled = sum(bool(cell.strip()) for row in data for cell in row)
    return 1, numbers / max(filled, 1) * len(data), width


def _is_number(cell: str) -> bool:
    text = cell.strip()
    return bool(NUMBER.fullmatch(text) or CLOCK.fullmatch(text))


def _is_data(row: Sequence[str]) -> bool:
    filled = [cell for cell in row if cell.strip().lower() not in NO_VALUE]
    return bool(filled) and sum(map(_is_number, filled)) > MOSTLY * len(filled)


def _header_above(rows: Sequence[list[str]], first: int) -> int | None:
    """The line with the column names: the one above the data, or above the line of units."""
    if first == 0:
        return None
    above = first - 1
    if above > 0 and _is_unit_row(rows[above]) and len(rows[above - 1]) >= len(rows[above]) - 1:
        above -= 1
    return above if sum(bool(cell.strip()) for cell in rows[above]) >= 2 else None


def _is_unit_row(row: Sequence[str]) -> bool:
    filled = [cell.strip().strip("[]()").strip().lower() for cell in row if cell.strip()]
    return bool(filled) and sum(cell in UNIT_WORDS for cell in filled) > MOSTLY * len(filled)


def _decimal_sign(rows: Sequence[list[str]]) -> str:
    """The sign of the numbers that can be read in one way only, or else of most of all."""
    cells = [cell.strip() for row in rows for cell in row]
    numbers = [cell for cell in cells if NUMBER.fullmatch(cell)]
    certain = [cell for cell in numbers if not AMBIGUOUS.fullmatch(cell)]

    def times_of(sign: str) -> tuple[int, int]:
        return sum(sign in cell for cell in certain), sum(sign in cell for cell in numbers)

    return max(DECIMAL_SIGNS, key=times_of)


def unit_of(header: str, below: str = "") -> str:
    """A column's unit as the table says it: in the line below the header, or in its brackets."""
    if below.strip():
        return below.strip().strip("[]()").strip()
    named = UNIT_IN_HEADER.fullmatch(header)
    return named["unit"].strip() if named else ""


def unique(names: Sequence[str]) -> list[str]:
    """The names, a repeated one with its number: `Time`, `Time (2)`."""
    taken, seen, kept = set(names), set(), []
    for name in names:
        if name and name in seen:
            numbered = (f"{name} ({number})" for number in count(2))
            name = next(free for free in numbered if free not in taken)
        taken.add(name)
        seen.add(name)
        kept.append(name)
    return kept
