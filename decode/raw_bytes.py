"""The newest raw bytes behind each channel, for whoever mends a map: bytes beside the value."""

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from decode.can_signals import NOT_A_DATA_FRAME
from decode.channel_map import ChannelMap
from decode.map_diagnostics import DataIdentifier, StandardParameter
from decode.map_entries import ChannelEntry
from decode.map_lines import LineFormat
from decode.records import Flag, RecordBatch, SourceInfo, SourceKind

POSITIVE_RESPONSE: Final = 0x40  # added to the service (ISO 14229-1, SAE J1979)
_Carries = Callable[[RecordBatch], NDArray[np.bool_]]  # which records may hold the channel


class RawBytes:
    """Follows the sequence of batches."""

    def __init__(self, channel_map: ChannelMap, sources: tuple[SourceInfo, ...]) -> None:
        self.of: dict[str, bytes] = {}  # by channel; a formula has none
        self._kinds = {source.name: source.kind for source in sources}
        self._channels: dict[str, dict[object, tuple[_Carries, list[str]]]] = {}
        columns = {s.name: s.columns for s in sources}
        for name, entry in channel_map.entries.items():
            if entry.source in columns:
                form = channel_map.line_formats.get(entry.source, LineFormat())
                key, carries = _carrier(entry, columns[entry.source], form)
                same = self._channels.setdefault(entry.source, {})
                same.setdefault(key, (carries, []))[1].append(name)

    def follow(self, batch: RecordBatch) -> None:
        """Keep the newest record of every channel."""
        for carries, names in self._channels.get(batch.source, {}).values():
            found = np.flatnonzero(carries(batch) & ((batch.flags & NOT_A_DATA_FRAME) == 0))
            if len(found):
                self.of.update(dict.fromkeys(names, batch.payload(int(found[-1]))))

    def text(self, name: str, source: str) -> str:
        """As a person reads it: the line, the cell, or the bytes in hexadecimal."""
        raw = self.of.get(name, b"")
        match self._kinds.get(source):
            case SourceKind.LINES:
                return raw.decode("latin-1")
            case SourceKind.TABLE if raw:
                return f"{np.frombuffer(raw, '<f8')[0]:g}"
        return raw.hex(" ").upper()


def _carrier(
    entry: ChannelEntry, columns: tuple[str, ...], form: LineFormat
) -> tuple[object, _Carries]:
    """A key that channels of the same records share, and how to know these records."""
    if (can := entry.can) is not None:
        mask = np.uint32(can.identifier_mask)
        wanted = can.identifier & can.identifier_mask
        extended = int(Flag.EXTENDED) * can.extended
        return (
            (wanted, can.identifier_mask, extended),
            lambda batch: (
                (batch.address & mask == wanted) & (batch.flags & int(Flag.EXTENDED) == extended)
            ),
        )
    if entry.column is not None:
        number = columns.index(entry.column) if entry.column in columns else -1
        return number, lambda batch: batch.address == number
    if entry.diagnostic is not None:
        response = _response(entry.diagnostic)
        return response, lambda batch: _payloads(batch, lambda payload: _holds(payload, response))
    start = form.starts_with.encode() if entry.line is not None else b""
    return start, lambda batch: _payloads(batch, lambda payload: payload.startswith(start))


def _payloads(batch: RecordBatch, wanted: Callable[[bytes], bool]) -> NDArray[np.bool_]:
    return np.array([wanted(batch.payload(i)) for i in range(len(batch))], dtype=bool)


def _response(diagnostic: StandardParameter | DataIdentifier) -> tuple[int, bytes]:
    if isinstance(diagnostic, StandardParameter):
        return 0x01 + POSITIVE_RESPONSE, bytes([diagnostic.parameter])
    length = 1 if diagnostic.service == 0x21 else 2
    identifier = diagnostic.identifier.to_bytes(length, "big")
    return diagnostic.service + POSITIVE_RESPONSE, identifier


def _holds(payload: bytes, response: tuple[int, bytes]) -> bool:
    """Whether a response may carry the value; one with several identifiers is not taken apart."""
    service, identifier = response
    return payload[:1] == bytes([service]) and identifier in payload[1:]
