"""Diagnostic responses into samples: SAE J1979 service 0x01, ISO 14229 0x22, ISO 14230 0x21.

A record's payload is one complete response, transport framing already removed. A response may
carry several parameters one behind the other; each is found by the length of the one before it,
which the standard says (0x01) or the map (`length`, 0x22).
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from decode.bit_fields import Payloads
from decode.field_groups import Decoded, FieldGroups, PackedField
from decode.map_diagnostics import DataIdentifier, StandardParameter
from decode.records import Flag, RecordBatch
from decode.samples import FloatArray, Samples
from decode.standard_parameters import PARAMETERS, FullScale
from decode.units import UnitConversion

POSITIVE: Final = 0x40  # a positive response starts with the service + 0x40
NEGATIVE_RESPONSE: Final = 0x7F
READ_CURRENT_DATA: Final = 0x01
READ_BY_LOCAL_IDENTIFIER: Final = 0x21
READ_BY_IDENTIFIER: Final = 0x22
SUPPORT_SPAN: Final = 0x20  # 0x00, 0x20, 0x40 ... say which of the next 32 parameters exist
SUPPORT_SIZE: Final = 4
_PASSED_OVER: Final = int(Flag.GAP | Flag.SENT)
_FULL_SCALES: Final = list(FullScale)

Entry = StandardParameter | DataIdentifier
Key = tuple[int, int]  # service, parameter or identifier


def supported_parameters(base: int, data: bytes) -> set[int]:
    """Which parameters the answer to 0x00, 0x20, 0x40 ... says exist: the highest bit is base+1."""
    bits = int.from_bytes(data[:SUPPORT_SIZE], "big")
    return {base + 1 + i for i in range(SUPPORT_SPAN) if bits >> (SUPPORT_SPAN - 1 - i) & 1}


def parameter_size(parameter: int) -> int | None:
    """How many bytes a service 0x01 parameter has in a response; None where not known here."""
    if parameter % SUPPORT_SPAN == 0:
        return SUPPORT_SIZE
    known = PARAMETERS.get(parameter)
    return known.size if known else None


@dataclass(frozen=True, slots=True)
class ParameterBytes:
    """One parameter in one response: its bytes are payload[start:end]."""

    key: Key
    start: int
    end: int


class ResponseReader:
    """Finds the parameters in responses. lengths: bytes of each data identifier, where known."""

    def __init__(self, lengths: Mapping[int, int | None]) -> None:
        self._lengths = lengths

    def items(self, response: bytes) -> list[ParameterBytes] | None:
        """The parameters of a response; None where it cannot be understood as a whole.

        A negative response, and one to another service, carries none.
        """
        service = response[0] - POSITIVE if response else 0
        if service == READ_CURRENT_DATA:
            return self._whole(self._standard(response))
        if service == READ_BY_IDENTIFIER:
            return self._whole(self._identified(response))
        if service == READ_BY_LOCAL_IDENTIFIER and len(response) > 1:
            return [ParameterBytes((service, response[1]), 2, len(response))]
        return [] if response else None

    def _whole(self, items: Iterator[ParameterBytes | None]) -> list[ParameterBytes] | None:
        found = list(items)
        return None if None in found or not found else [item for item in found if item]

    def _standard(self, response: bytes) -> Iterator[ParameterBytes | None]:
        at = 1
        while at < len(response):
            size = parameter_size(response[at])
            if size is None or at + 1 + size > len(response):
                yield None
                return
            yield ParameterBytes((READ_CURRENT_DATA, response[at]), at + 1, at + 1 + size)
            at += 1 + size

    def _identified(self, response: bytes) -> Iterator[ParameterBytes | None]:
        at = 1
        while at < len(response):
            identifier = int.from_bytes(response[at : at + 2], "big")
            if at > 1 and identifier not in self._lengths and not any(response[at:]):
                return  # zeros to fill the last frame
            length = self._lengths.get(identifier)
            end = len(response) if length is None else at + 2 + length
            if identifier not in self._lengths or at + 2 > len(response) or end > len(response):
                yield None
                return
            yield ParameterBytes((READ_BY_IDENTIFIER, identifier), at + 2, end)
            at = end


class Diagnostics:
    """Every diagnostic channel of one source. undecodable: responses not understood."""

    def __init__(
        self,
        entries: Mapping[str, tuple[Entry, UnitConversion]],
        traced: Collection[str] = (),
    ) -> None:
        self.undecodable = 0
        self._traced = traced
        self._groups = {
            key: i for i, key in enumerate(dict.fromkeys(_key(e) for e, _ in entries.values()))
        }
        self._full_scales = {
            name: full_scale for name, (e, _) in entries.items() if (full_scale := _full_scale(e))
        }
        packed = [
            _packed(name, self._groups[_key(entry)], entry, conversion)
            for name, (entry, conversion) in entries.items()
        ]
        self._fields = FieldGroups(packed, entries.keys())
        self._reader = ResponseReader(_lengths(entry for entry, _ in entries.values()))
        self._factors: dict[int, list[float]] = {}  # by responder, in the order of FullScale

    def decode(self, batch: RecordBatch, time_s: FloatArray) -> Decoded:
        """The samples of every parameter of every response."""
        rows = np.array(list(self._rows(batch)), dtype=np.float64).reshape(
            -1, 4 + len(_FULL_SCALES)
        )
        record, group, start, length = rows[:, :4].astype(np.int64).T
        payloads = Payloads(batch.data, np.zeros(1, np.int64))
        payloads.start, payloads.length = start, length
        decoded = self._fields.decode(payloads, group, time_s[record])
        samples = {
            name: self._rescaled(name, values, rows[decoded.record[name]])
            for name, values in decoded.samples.items()
        }
        traced = {n: record[r] for n, r in decoded.record.items() if n in self._traced}
        return Decoded(samples, traced)

    def _rows(self, batch: RecordBatch) -> Iterator[tuple[float, ...]]:
        """Per known parameter: record, group, start, length, and the factors of its responder."""
        passed_over = ((batch.flags & _PASSED_OVER) != 0).tolist()
        starts = batch.offsets.tolist()
        for record, responder in enumerate(batch.address.tolist()):
            if passed_over[record]:
                continue
            response = batch.payload(record)
            items = self._reader.items(response)
            if items is None:
                self.undecodable += 1
            factors = self._factors.setdefault(responder, [1.0] * len(_FULL_SCALES))
            for item in items or ():
                _take_full_scales(item, response, factors)
                group = self._groups.get(item.key)
                if group is not None:
                    start = starts[record] + item.start
                    yield (record, group, start, item.end - item.start, *factors)

    def _rescaled(self, name: str, samples: Samples, rows: FloatArray) -> Samples:
        full_scale = self._full_scales.get(name)
        if full_scale is None:
            return samples
        factor = rows[:, 4 + _FULL_SCALES.index(full_scale)]
        return Samples(samples.time_s, samples.value * factor)


def _take_full_scales(item: ParameterBytes, response: bytes, factors: list[float]) -> None:
    """Parameters 0x4F and 0x50 set the full scale of others; zero leaves it as it is."""
    for i, full_scale in enumerate(_FULL_SCALES):
        parameter, byte, unit, default = full_scale.value
        if item.key == (READ_CURRENT_DATA, parameter):
            maximum = response[item.start + byte] * unit
            factors[i] = maximum / default if maximum else 1.0


def _key(entry: Entry) -> Key:
    if isinstance(entry, StandardParameter):
        return READ_CURRENT_DATA, entry.parameter
    return entry.service, entry.identifier


def _lengths(entries: Iterable[Entry]) -> dict[int, int | None]:
    lengths: dict[int, int | None] = {}
    for entry in entries:
        if isinstance(entry, DataIdentifier) and entry.service == READ_BY_IDENTIFIER:
            lengths[entry.identifier] = entry.length or lengths.get(entry.identifier)
    return lengths


def _full_scale(entry: Entry) -> FullScale | None:
    if isinstance(entry, StandardParameter):
        return PARAMETERS[entry.parameter].values[entry.value].full_scale
    return None


def _packed(name: str, group: int, entry: Entry, conversion: UnitConversion) -> PackedField:
    if isinstance(entry, StandardParameter):
        value = PARAMETERS[entry.parameter].values[entry.value]
        return PackedField(name, group, value.field(*conversion), value.selectors())
    return PackedField(name, group, entry.number(*conversion), entry.selectors())
