"""One decoder for each kind of source, compiled from the map's entries for that source."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from decode.bit_fields import BitField, Payloads
from decode.can_signals import CanSignal, CanSignals
from decode.channel_map import ChannelMap
from decode.clocks import Nanoseconds, SourceClock, session_seconds
from decode.diagnostics import Diagnostics
from decode.field_groups import Decoded, FieldGroups, PackedField
from decode.map_can import CanNumber
from decode.map_entries import ChannelEntry
from decode.map_lines import LineFormat
from decode.records import Flag, RecordBatch, SourceInfo, SourceKind
from decode.samples import FloatArray, Samples
from decode.serial_fields import LineFields
from decode.units import UnitConversion

CELL_BITS: Final = 64  # a TABLE record is one float64
_NO_DATA: Final = int(Flag.GAP | Flag.SENT | Flag.ERROR | Flag.REMOTE)


class SourceDecoder(Protocol):
    """Turns the records of one source into samples.

    undecodable: how many records so far gave nothing but should have.
    """

    @property
    def undecodable(self) -> int: ...

    def decode(self, batch: RecordBatch) -> Decoded:
        """The samples of a batch, in the order of its records."""


@dataclass
class SourceTime:
    """The session seconds of one source's records."""

    started_ns: int
    clock: SourceClock = field(default_factory=SourceClock)

    def seconds(
        self, batch: RecordBatch, stamp_ns: Nanoseconds, only: NDArray[np.int64] | slice
    ) -> FloatArray:
        """By `stamp_ns` where it is not negative, else by arrival; of some of the records."""
        arrived_ns, stamp_ns = batch.arrived_ns[only], stamp_ns[only]
        gaps = np.flatnonzero(batch.flags[only] & int(Flag.GAP)).tolist()
        parts = []
        for begin, end in zip([0, *gaps], [*gaps, len(arrived_ns)], strict=True):
            if begin in gaps:
                self.clock.reopened()
            parts.append(self.clock.times(arrived_ns[begin:end], stamp_ns[begin:end]))
        time_ns = parts[0] if len(parts) == 1 else np.concatenate(parts)
        return session_seconds(time_ns, self.started_ns)

    def of_all(self, batch: RecordBatch) -> FloatArray:
        """Of every record, by the adapter's stamps where it gives them."""
        return self.seconds(batch, batch.adapter_ns, slice(None))


@dataclass(frozen=True)
class _Sourced:
    """What the map says of one source, for its decoder. conversions: see ChannelMap."""

    info: SourceInfo
    entries: Mapping[str, ChannelEntry]
    conversions: Mapping[str, UnitConversion]
    line_formats: Mapping[str, LineFormat]
    time: SourceTime
    traced: Collection[str]  # the channels that formulas read


class _CanDecoder:
    """CAN frames, by identifier."""

    undecodable = 0  # a frame the map does not know is no mistake

    def __init__(self, source: _Sourced) -> None:
        self._time = source.time
        signals = [
            _can_signal(name, entry.can, source.conversions[name])
            for name, entry in source.entries.items()
            if entry.can is not None
        ]
        self._signals = CanSignals(signals, source.traced)

    def decode(self, batch: RecordBatch) -> Decoded:
        return self._signals.decode(batch, self._time.of_all(batch))


def _can_signal(name: str, can: CanNumber, conversion: UnitConversion) -> CanSignal:
    return CanSignal(
        name,
        can.identifier,
        can.number(*conversion),
        can.extended,
        can.selectors(),
        can.identifier_mask,
    )


class _FrameDecoder:
    """Binary frames of a serial port: every one may hold every field."""

    def __init__(self, source: _Sourced) -> None:
        self.undecodable = 0
        self._time = source.time
        fields = [
            PackedField(
                name, 0, entry.frame.number(*source.conversions[name]), entry.frame.selectors()
            )
            for name, entry in source.entries.items()
            if entry.frame is not None
        ]
        self._shortest = min((packed.end_byte for packed in fields), default=0)
        self._fields = FieldGroups(fields, source.traced)

    def decode(self, batch: RecordBatch) -> Decoded:
        payloads = Payloads(batch.data, batch.offsets)
        no_data = (batch.flags & _NO_DATA) != 0
        self.undecodable += int(((payloads.length < self._shortest) & ~no_data).sum())
        return self._fields.decode(payloads, no_data.astype(np.uint8), self._time.of_all(batch))


class _TableDecoder:
    """The cells of a table: one record each, its address the column's number."""

    def __init__(self, source: _Sourced) -> None:
        self.undecodable = 0
        self._time = source.time
        number = {header: i for i, header in enumerate(source.info.columns)}
        fields = [
            PackedField(name, number[entry.column], _cell(source.conversions[name]))
            for name, entry in source.entries.items()
            if entry.column in number
        ]
        self._fields = FieldGroups(fields, source.traced)
        self._columns = len(number)

    def decode(self, batch: RecordBatch) -> Decoded:
        payloads = Payloads(batch.data, batch.offsets)
        no_data = (batch.flags & _NO_DATA) != 0
        column = np.where(no_data, self._columns, batch.address.astype(np.int64))
        return self._fields.decode(payloads, column, self._time.of_all(batch))


def _cell(conversion: UnitConversion) -> BitField:
    return BitField(0, CELL_BITS, is_float=True, scale=conversion.factor, offset=conversion.offset)


class _LineDecoder:
    """Text lines."""

    def __init__(self, source: _Sourced) -> None:
        self._time = source.time
        self._traced = source.traced
        numbers = {n: entry.line for n, entry in source.entries.items() if entry.line is not None}
        form = source.line_formats[source.info.name]
        self._has_clock = form.clock is not None
        self._lines = LineFields(form, numbers)
        self._scale = {}
        for name, line in numbers.items():
            factor, offset = source.conversions[name]
            self._scale[name] = line.scale * factor, line.offset * factor + offset

    @property
    def undecodable(self) -> int:
        return self._lines.malformed

    def decode(self, batch: RecordBatch) -> Decoded:
        cut = self._lines.cut(batch)
        # a damaged line has no time of its own, and must not move that of the others
        gaps = np.flatnonzero(batch.flags & int(Flag.GAP))
        timed = np.union1d(cut.record, gaps)
        stamp_ns = cut.stamp_ns if self._has_clock else batch.adapter_ns
        time_s = self._time.seconds(batch, stamp_ns, timed)[np.isin(timed, cut.record)]
        if not len(cut.record):
            return Decoded({}, {})
        samples = {}
        for name, value in cut.values.items():
            scale, offset = self._scale[name]
            samples[name] = Samples(time_s, value * scale + offset)
        return Decoded(samples, {n: cut.record for n in samples if n in self._traced})


class _DiagnosticDecoder:
    """Responses of a polled ECU."""

    def __init__(self, source: _Sourced) -> None:
        self._time = source.time
        self._responses = Diagnostics(
            {
                name: (entry.diagnostic, source.conversions[name])
                for name, entry in source.entries.items()
                if entry.diagnostic is not None
            },
            source.traced,
        )

    @property
    def undecodable(self) -> int:
        return self._responses.undecodable

    def decode(self, batch: RecordBatch) -> Decoded:
        return self._responses.decode(batch, self._time.of_all(batch))


_DECODERS: Final[dict[SourceKind, Callable[[_Sourced], SourceDecoder]]] = {
    SourceKind.CAN: _CanDecoder,
    SourceKind.LINES: _LineDecoder,
    SourceKind.FRAMES: _FrameDecoder,
    SourceKind.TABLE: _TableDecoder,
    SourceKind.DIAGNOSTICS: _DiagnosticDecoder,
}


def source_decoder(
    channel_map: ChannelMap, info: SourceInfo, started_ns: int, traced: Collection[str]
) -> SourceDecoder | None:
    """The decoder of one source of the session; None where the map takes nothing from it."""
    entries = {n: e for n, e in channel_map.entries.items() if e.source == info.name}
    if not entries or info.kind is not channel_map.source_kind(info.name):
        return None
    return _DECODERS[info.kind](
        _Sourced(
            info,
            entries,
            {name: channel_map.conversion(name) for name in entries},
            channel_map.line_formats,
            SourceTime(started_ns),
            traced,
        )
    )
