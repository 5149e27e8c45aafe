"""The user's channel map: which bytes become which channels; every error explained at once."""

import contextlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from pathlib import Path
from typing import Any, Final

from decode.errors import FormulaError, InputFileError, Problem
from decode.formulas import Formula
from decode.map_entries import ChannelEntry, MapFile
from decode.map_lines import LineFormat
from decode.quantities import HOUSE_UNIT, Quantity
from decode.records import SourceInfo, SourceKind
from decode.samples import Channel
from decode.units import UnitConversion
from decode.yaml_file import Document, Location, dotted, parse_document, read_text, with_suggestion

WAYS: Final[dict[str, SourceKind]] = {
    "can": SourceKind.CAN,
    "line": SourceKind.LINES,
    "frame": SourceKind.FRAMES,
    "diagnostic": SourceKind.DIAGNOSTICS,
    "column": SourceKind.TABLE,
}
# of network descriptions: maps are made of them, they are none
DESCRIPTION_SUFFIXES: Final = (".dbc", ".kcd", ".arxml", ".sym")
POSITIONS: Final = (Quantity.PEDAL_POSITION, Quantity.THROTTLE_POSITION)


@dataclass(frozen=True)
class ChannelMap:
    """A sound map. channels: in the order of the file. text: the file as it was."""

    channels: Mapping[str, Channel]
    text: str
    entries: Mapping[str, ChannelEntry]
    line_formats: Mapping[str, LineFormat]

    @property
    def sources(self) -> set[str]:
        """The names of the sources that the channels come from."""
        return {channel.source for channel in self.channels.values() if channel.source}

    def source_kind(self, source: str) -> SourceKind:
        """What kind of source the map expects under this name; KeyError where it names none."""
        for entry in self.entries.values():
            if entry.source == source and (way := way_of(entry)) is not None:
                return WAYS[way]
        raise KeyError(source)

    def mismatches(self, sources: Iterable[SourceInfo]) -> list[str]:
        """What the map expects of the station's sources and does not find, in words."""
        infos = {info.name: info for info in sources}
        told = []
        for name in sorted(self.sources):
            wanted = self.source_kind(name)
            if name not in infos:
                near = with_suggestion(name, infos)
                told.append(f'the map takes channels from "{name}", which is no source; {near}')
            elif infos[name].kind is not wanted:
                told.append(f'the map reads "{name}" as {wanted}, but it is {infos[name].kind}')
        for name, entry in self.entries.items():
            info = infos.get(entry.source or "")
            if entry.column and info is not None and entry.column not in info.columns:
                near = with_suggestion(entry.column, filter(None, info.columns))
                told.append(f'{name} reads column "{entry.column}", which is not there; {near}')
        return told

    def conversion(self, name: str) -> UnitConversion:
        """From the unit the map says to the unit the channel's samples have."""
        return self.entries[name].conversion

    def derived(self) -> list[tuple[str, Formula]]:
        """The channels with a formula, each behind those it reads."""
        formulas = {
            name: Formula.parse(entry.formula)
            for name, entry in self.entries.items()
            if entry.formula is not None
        }
        graph = {name: [n for n in f.names if n in formulas] for name, f in formulas.items()}
        return [(name, formulas[name]) for name in TopologicalSorter(graph).static_order()]


def way_of(entry: ChannelEntry) -> str | None:
    """By which block a channel comes from its source; None for a formula."""
    return next((way for way in WAYS if getattr(entry, way) is not None), None)


def load_map(path: Path) -> ChannelMap:
    """The map in a file; raises InputFileError with every problem and where it stands."""
    if path.suffix.lower() in DESCRIPTION_SUFFIXES:
        how = f"is a network description; make a map of it: pullwatch map import {path}"
        raise InputFileError(path, [Problem(1, 1, "map", f"{how} --source SOURCE")])
    return parse_map(read_text(path), str(path))


def parse_map(text: str, file: str = "<map>") -> ChannelMap:
    """The map in a text; raises InputFileError with every problem and where it stands."""
    document = parse_document(text, file, _subject)
    loaded, problems = document.validate(document.data, MapFile)
    problems += [*document.duplicates, *_meaning(document)]
    if loaded is None or problems:
        raise InputFileError(file, problems)
    channels = {name: _channel(name, entry) for name, entry in loaded.channels.items()}
    return ChannelMap(channels, text, loaded.channels, loaded.lines)


def _subject(location: Location) -> str:
    return dotted(location[1:] if location[:1] == ("channels",) and location[1:] else location)


def _channel(name: str, entry: ChannelEntry) -> Channel:
    unit, full_scale = entry.unit, entry.full_scale
    if entry.quantity is not None:
        unit = HOUSE_UNIT[entry.quantity]
        if full_scale is not None:
            full_scale = full_scale * entry.conversion.factor + entry.conversion.offset
    return Channel(name, unit, entry.quantity, entry.cylinder, entry.source or "", full_scale)


def _meaning(document: Document) -> Iterator[Problem]:
    """What is wrong between one part of the map and another, told whatever else is wrong."""
    top = document.data if isinstance(document.data, dict) else {}
    channels = _mappings(top.get("channels"))
    lines = _mappings(top.get("lines"))
    for name, channel in channels.items():
        yield from _way_problems(document, name, channel)
        yield from _line_problems(document, name, channel, lines)
        if "full_scale" in channel and channel.get("quantity") not in (*POSITIONS, None):
            message = f"only a {' or a '.join(POSITIONS)} has a full scale"
            yield document.problem(("channels", name, "full_scale"), message, True)
    yield from _kind_problems(document, channels)
    yield from _length_problems(document, channels)
    yield from _formula_problems(document, channels)


def _mappings(block: Any) -> dict[str, dict[str, Any]]:
    if not isinstance(block, dict):
        return {}
    return {name: entry for name, entry in block.items() if isinstance(entry, dict)}


def _way_problems(document: Document, name: str, channel: dict[str, Any]) -> Iterator[Problem]:
    ways = [way for way in (*WAYS, "formula") if way in channel]
    allowed = ", ".join((*WAYS, "formula"))
    here: Location = ("channels", name)
    if not ways:
        yield document.problem(here, f"says not where it comes from; one of: {allowed}", True)
    if len(ways) > 1:
        yield document.problem(here, f"has {' and '.join(ways)}; allowed: one of {allowed}", True)
    if "source" not in channel and any(way in WAYS for way in ways):
        yield document.problem(here, '"source" is missing: a source name of the station', True)


def _line_problems(
    document: Document, name: str, channel: dict[str, Any], lines: dict[str, dict[str, Any]]
) -> Iterator[Problem]:
    source = channel.get("source")
    if "line" not in channel or not isinstance(source, str) or source in lines:
        return
    known = with_suggestion(source, lines) if lines else "add it under lines:"
    message = f'the lines of source "{source}" have no format under lines:; {known}'
    yield document.problem(("channels", name, "source"), message)


def _kind_problems(document: Document, channels: dict[str, dict[str, Any]]) -> Iterator[Problem]:
    first: dict[Any, tuple[str, str]] = {}
    for name, channel in channels.items():
        source = channel.get("source")
        for way in WAYS:
            if way not in channel or not isinstance(source, str):
                continue
            other_way, other = first.setdefault(source, (way, name))
            if WAYS[other_way] != WAYS[way]:
                message = f'source "{source}" has {way} here and {other_way} in {other}'
                yield document.problem(("channels", name, way), message, True)


def _length_problems(document: Document, channels: dict[str, dict[str, Any]]) -> Iterator[Problem]:
    """Where the next value of a response begins follows from the length: there is only one."""
    first: dict[Any, tuple[Any, str]] = {}
    for name, channel in channels.items():
        block = channel.get("diagnostic")
        if not isinstance(block, dict) or block.get("length") is None:
            continue
        key = (channel.get("source"), block.get("service"), block.get("identifier"))
        length, other = first.setdefault(repr(key), (block["length"], name))
        if length != block["length"]:
            message = f"{block['length']} bytes here and {length} in {other}, of one identifier"
            yield document.problem(("channels", name, "diagnostic", "length"), message)


def _formula_problems(document: Document, channels: dict[str, dict[str, Any]]) -> Iterator[Problem]:
    reads: dict[str, tuple[str, ...]] = {}
    for name, channel in channels.items():
        text = channel.get("formula")
        if isinstance(text, str):
            with contextlib.suppress(FormulaError):  # its own problem, told by the model
                reads[name] = Formula.parse(text).names
    for name, read in reads.items():
        for missing in (n for n in read if n not in channels):
            message = (
                f'reads "{missing}", which is no channel; {with_suggestion(missing, channels)}'
            )
            yield document.problem(("channels", name, "formula"), message)
    yield from _cycles(document, reads)


def _cycles(document: Document, reads: dict[str, tuple[str, ...]]) -> Iterator[Problem]:
    graph = dict(reads)
    while graph:
        try:
            TopologicalSorter(graph).prepare()
        except CycleError as error:
            circle: list[str] = error.args[1]
            message = f"reads itself: {' <- '.join(circle)}"
            yield document.problem(("channels", circle[0], "formula"), message)
            del graph[circle[0]]
        else:
            return
