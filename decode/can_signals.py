"""Bit fields of CAN and CAN FD frames into samples, vectorised over the batch and all signals."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from decode.bit_fields import BitField, Payloads
from decode.field_groups import Decoded, FieldGroups, PackedField, Selector
from decode.records import STANDARD_IDENTIFIERS, WHOLE_IDENTIFIER, Flag, RecordBatch
from decode.samples import FloatArray

NOT_A_DATA_FRAME: Final = int(Flag.REMOTE | Flag.ERROR | Flag.SENT | Flag.GAP)


@dataclass(frozen=True, slots=True)
class CanSignal:
    """One signal of one CAN message.

    mask: the bits of the identifier that must agree (a J1939 message is known by its parameter
    group alone, whatever its priority and sender).
    """

    name: str
    identifier: int
    field: BitField
    extended: bool = False
    selectors: tuple[Selector, ...] = ()
    mask: int = WHOLE_IDENTIFIER


class CanSignals:
    """Every CAN signal of one source."""

    def __init__(self, signals: Sequence[CanSignal], traced: Collection[str] = ()) -> None:
        masks = sorted({signal.mask for signal in signals}, reverse=True)
        self._layers = [
            _Layer([s for s in signals if s.mask == mask], mask, traced) for mask in masks
        ]

    def decode(self, batch: RecordBatch, time_s: FloatArray) -> Decoded:
        """The samples of every signal that occurs; a frame too short for a signal gives none."""
        payloads = Payloads(batch.data, batch.offsets)
        decoded = Decoded({}, {})
        for layer in self._layers:
            part = layer.fields.decode(payloads, layer.group_of(batch), time_s)
            decoded.samples.update(part.samples)
            decoded.record.update(part.record)
        return decoded


class _Layer:
    """The signals whose identifiers are compared under one mask."""

    def __init__(self, signals: Sequence[CanSignal], mask: int, traced: Collection[str]) -> None:
        self._mask = np.uint32(mask)
        keys = sorted({(s.extended, s.identifier & mask) for s in signals})
        group = {key: number for number, key in enumerate(keys)}
        self._none = len(keys)
        dtype = np.uint16 if self._none < np.iinfo(np.uint16).max else np.int64
        # standard identifiers by one look into a table, extended ones by bisection
        self._standard = np.full(STANDARD_IDENTIFIERS, self._none, dtype=dtype)
        for number, (extended, identifier) in enumerate(keys):
            if not extended:
                self._standard[identifier] = number
        extended_keys = [identifier for extended, identifier in keys if extended]
        self._extended = np.array(extended_keys, dtype=np.uint32)
        self._first_extended = len(keys) - len(extended_keys)
        packed = [
            PackedField(s.name, group[s.extended, s.identifier & mask], s.field, s.selectors)
            for s in signals
        ]
        self.fields = FieldGroups(packed, traced)

    def group_of(self, batch: RecordBatch) -> NDArray[np.integer]:
        identifier = batch.address & self._mask
        group: NDArray[np.integer] = self._standard[
            identifier & np.uint32(STANDARD_IDENTIFIERS - 1)
        ]
        flags = int(np.bitwise_or.reduce(batch.flags))  # most batches are all alike
        if flags & Flag.EXTENDED:
            extended = (batch.flags & int(Flag.EXTENDED)) != 0
            group[extended] = self._extended_group(identifier[extended])
        if flags & NOT_A_DATA_FRAME:
            group[(batch.flags & NOT_A_DATA_FRAME) != 0] = self._none
        return group

    def _extended_group(self, identifier: NDArray[np.uint32]) -> NDArray[np.integer]:
        if not len(self._extended):
            return np.full(len(identifier), self._none)
        place = np.searchsorted(self._extended, identifier)
        place = np.minimum(place, len(self._extended) - 1)
        found = self._extended[place] == identifier
        return np.where(found, place + self._first_extended, self._none)
