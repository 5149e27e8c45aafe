"""A session as its log: named columns with unit and quantity, as records and as a table."""

import csv
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from decode.channel_map import ChannelMap
from decode.map_entries import ChannelEntry
from decode.quantities import HOUSE_UNIT, Quantity
from decode.records import NO_ADAPTER_TIME, RecordBatch, SessionInfo, SourceInfo, SourceKind
from decode.samples import Channel
from decode.units import convert

FloatArray = NDArray[np.float64]
PIECE_S: Final = 0.25  # as a bay would hand records on
NS_PER_S: Final = 1e9


@dataclass(frozen=True, slots=True)
class LoggedColumn:
    """One column as it stands in the log. unit: as the map names it; formula: of a derived channel
    that has no column of its own."""

    name: str
    quantity: Quantity | None
    unit: str
    source: str
    time_s: FloatArray
    value: FloatArray
    cylinder: int | None = None
    formula: str = ""

    @property
    def header(self) -> str:
        """As loggers write it: words and unit."""
        return f"{self.name.replace('_', ' ')} [{self.unit or '-'}]"

    def relabelled(
        self, quantity: Quantity | None = None, unit: str | None = None
    ) -> "LoggedColumn":
        """The same numbers under another meaning."""
        return replace(
            self,
            quantity=quantity if quantity is not None else self.quantity,
            unit=unit if unit is not None else self.unit,
        )


@dataclass(frozen=True, slots=True)
class Log:
    """All columns of a session."""

    columns: tuple[LoggedColumn, ...]

    @property
    def sources(self) -> list[str]:
        return sorted({column.source for column in self.columns if not column.formula})

    def of(self, quantity: Quantity) -> LoggedColumn | None:
        """The first column with the quantity."""
        return next((c for c in self.columns if c.quantity is quantity), None)

    def replaced(self, old: LoggedColumn, new: LoggedColumn) -> "Log":
        """With one column in the place of another."""
        return Log(tuple(new if c is old else c for c in self.columns))

    def channel_map(self) -> ChannelMap:
        """As the user's file would say it."""
        entries = {column.name: _entry(column) for column in self.columns}
        channels = {column.name: _channel(column) for column in self.columns}
        return ChannelMap(channels, "", entries, {})

    def session(self) -> SessionInfo:
        """The sources, as tables."""
        infos = tuple(
            SourceInfo(
                source,
                SourceKind.TABLE,
                tuple(c.header for c in self.columns if c.source == source and not c.formula),
            )
            for source in self.sources
        )
        return SessionInfo("independent", "model", 0, 0, infos)

    def batches(self) -> Iterator[RecordBatch]:
        """The records of all sources, piece by piece in order of time."""
        streams = {source: _stream(self.columns, source) for source in self.sources}
        end_s = max(float(times[-1]) for times, _, _ in streams.values())
        for begin in np.arange(0.0, end_s + PIECE_S, PIECE_S):
            for source, (times, number, value) in streams.items():
                first, last = np.searchsorted(times, (begin, begin + PIECE_S))
                if last > first:
                    part = slice(first, last)
                    yield _batch(source, times[part], number[part], value[part])

    def write_table(self, folder: Path) -> tuple[Path, Path]:
        """The log as a CSV file and its map, each column pair with its own times."""
        table, channel_map = folder / "log.csv", folder / "map.yaml"
        written = [column for column in self.columns if not column.formula]
        rows = max(len(column.time_s) for column in written)
        with table.open("w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file)
            writer.writerow([cell for c in written for cell in ("Time [s]", c.header)])
            for i in range(rows):
                row = []
                for c in written:
                    known = i < len(c.time_s)
                    row += [f"{c.time_s[i]:.4f}", f"{c.value[i]:.6g}"] if known else ["", ""]
                writer.writerow(row)
        lines = ["pullwatch_map: 1", "channels:"]
        for column in self.columns:
            lines.append(f"  {column.name}:")
            if column.quantity is not None:
                lines.append(f"    quantity: {column.quantity}")
            lines.append(f'    unit: "{column.unit}"')
            if column.cylinder is not None:
                lines.append(f"    cylinder: {column.cylinder}")
            if column.formula:
                lines.append(f'    formula: "{column.formula}"')
            else:
                lines += ["    source: table", f'    column: "{column.header}"']
        channel_map.write_text("\n".join(lines) + "\n", encoding="utf-8")
        return table, channel_map


def _entry(column: LoggedColumn) -> ChannelEntry:
    shared = {"quantity": column.quantity, "cylinder": column.cylinder, "unit": column.unit}
    where = {"source": column.source, "column": column.header}
    return ChannelEntry.model_validate(
        shared | ({"formula": column.formula} if column.formula else where)
    )


def _channel(column: LoggedColumn) -> Channel:
    unit = HOUSE_UNIT[column.quantity] if column.quantity is not None else column.unit
    source = "" if column.formula else column.source
    return Channel(column.name, unit, column.quantity, column.cylinder, source)


def _stream(
    columns: tuple[LoggedColumn, ...], source: str
) -> tuple[FloatArray, NDArray[np.uint32], FloatArray]:
    own = [c for c in columns if c.source == source and not c.formula]
    times = np.concatenate([c.time_s for c in own])
    value = np.concatenate([c.value for c in own])
    number = np.concatenate([np.full(len(c.time_s), i, np.uint32) for i, c in enumerate(own)])
    order = np.argsort(times, kind="stable")
    return times[order], number[order], value[order]


def _batch(
    source: str, time_s: FloatArray, number: NDArray[np.uint32], value: FloatArray
) -> RecordBatch:
    count = len(time_s)
    return RecordBatch(
        source=source,
        arrived_ns=np.round(time_s * NS_PER_S).astype(np.int64),
        adapter_ns=np.full(count, NO_ADAPTER_TIME, np.int64),
        address=number,
        flags=np.zeros(count, np.uint16),
        data=value.astype("<f8").view(np.uint8),
        offsets=8 * np.arange(count + 1, dtype=np.int64),
    )


def in_unit(value: FloatArray, quantity: Quantity, unit: str, resolution: float) -> FloatArray:
    """House values as a logger writes them in that unit, rounded to the resolution (house unit)."""
    conversion = convert(unit, HOUSE_UNIT[quantity])
    raw = (value - conversion.offset) / conversion.factor
    if conversion.factor == 1.0 and conversion.offset == 0.0:
        step = resolution
    else:  # the decimals that come nearest
        step = 10.0 ** np.floor(np.log10(resolution / conversion.factor) + 0.5)
    rounded: FloatArray = np.round(raw / step) * step
    return rounded
