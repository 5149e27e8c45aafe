"""How a text table is laid out: encoding, delimiter, decimal sign, header, units, first data line.

Loggers agree on nothing, so it is detected, from the first lines, and shown to the user.
"""

import csv
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from decode.errors import InputFileError, Problem

SAMPLE_LINES: Final = 200  # a preamble of a logger is a few dozen lines at most
DELIMITERS: Final = ";\t,|"
DECIMAL_SIGNS: Final = ".,"
MOSTLY: Final = 0.5  # of the filled cells of a line must be numbers in a line of data

NUMBER: Final = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?")
CLOCK_TIME: Final = re.compile(r"(\S+[ T])?\d{1,3}:\d{2}(:\d{2})?([.,:]\d+)?Z?")
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
        message = "no line of column names over lines of numbers was found in its first lines"
        raise InputFileError(file, [Problem(1, 1, "table", message)])
    headers = _unique([cell.strip() for cell in rows[header]])
    unit_row = rows[header + 1] if first - header > 1 else [""] * len(headers)
    return TableLayout(
        encoding,
        delimiter,
        _decimal_sign(rows[first:]),
        header + 1,
        first + 1,
        tuple(headers),
        tuple(_unit(name, unit_row[i : i + 1]) for i, name in enumerate(headers)),
    )


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
    return bool(NUMBER.fullmatch(text) or CLOCK_TIME.fullmatch(text))


def _is_data(row: Sequence[str]) -> bool:
    filled = [cell for cell in row if cell.strip()]
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
    cells = [cell.strip() for row in rows for cell in row]
    counts = {sign: sum(sign in c for c in cells if NUMBER.fullmatch(c)) for sign in DECIMAL_SIGNS}
    return max(DECIMAL_SIGNS, key=lambda sign: counts[sign])


def _unit(header: str, cell: Sequence[str]) -> str:
    if cell and cell[0].strip():
        return cell[0].strip().strip("[]()").strip()
    named = UNIT_IN_HEADER.fullmatch(header)
    return named["unit"].strip() if named else ""


def _unique(names: Sequence[str]) -> list[str]:
    """The names, a repeated one with its number: `Time`, `Time (2)`."""
    seen: Counter[str] = Counter()
    unique = []
    for name in names:
        seen[name] += 1
        unique.append(f"{name} ({seen[name]})" if seen[name] > 1 and name else name)
    return unique
