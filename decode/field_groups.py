"""Many packed fields out of a batch of many kinds of records, in a handful of numpy operations.

A group is one kind of record (a CAN message, a data identifier), with the fields it carries. Two
ways lead to the same numbers, bit for bit: a small batch is decoded as one flat list of (record,
field) pairs, because a call per field would cost more than the work; a large one field by field,
in blocks that stay in the processor's cache.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from decode.bit_fields import BitField, FieldTable, Payloads, Words
from decode.samples import FloatArray, Samples

PAIRS_PER_FIELD: Final = 500  # more samples than this for each field: field by field is faster
SELECTOR_BITS: Final = 32  # widest selector of a multiplexer
_NO_SELECTOR: Final = -1

IntArray = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Selector:
    """A field is there only where the raw bits of a selector equal one of these values."""

    field: BitField
    equals: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class PackedField:
    """One field of one group of records, and the name its samples go by."""

    name: str
    group: int
    field: BitField
    selectors: tuple[Selector, ...] = ()

    @property
    def end_byte(self) -> int:
        """How many bytes a payload must have, the selectors included."""
        return max(self.field.end_byte, *(s.field.end_byte for s in self.selectors), 0)


class _SelectorTable:
    """All selectors of all fields; a value is allowed where (selector, value) is in one list."""

    def __init__(self, fields: Sequence[PackedField]) -> None:
        selectors = [selector for field in fields for selector in field.selectors]
        self.table = FieldTable([selector.field for selector in selectors])
        keys = [(i << SELECTOR_BITS) | v for i, s in enumerate(selectors) for v in s.equals]
        self._allowed = np.array(sorted(keys), dtype=np.uint64)
        # number[depth][field]: which selector each field has at each depth
        depth = max((len(field.selectors) for field in fields), default=0)
        self.number = np.full((depth, len(fields)), _NO_SELECTOR, dtype=np.int64)
        count = 0
        for index, field in enumerate(fields):
            for level in range(len(field.selectors)):
                self.number[level, index] = count
                count += 1

    def holds(self, payloads: Payloads, start: IntArray, selector: IntArray) -> NDArray[np.bool_]:
        """Where each selector of each payload has a value that its field is there for."""
        raw = self.table.raw(payloads, start, selector)
        key = (selector.astype(np.uint64) << np.uint64(SELECTOR_BITS)) | raw
        place = np.searchsorted(self._allowed, key)
        held: NDArray[np.bool_] = self._allowed[np.minimum(place, len(self._allowed) - 1)] == key
        return held


@dataclass(frozen=True, slots=True)
class Decoded:
    """Samples by channel, and for the traced channels the record each sample came from."""

    samples: dict[str, Samples]
    record: dict[str, IntArray]


class FieldGroups:
    """The fields of every group, compiled to columns once. traced: see `Decoded`."""

    def __init__(self, fields: Sequence[PackedField], traced: Collection[str] = ()) -> None:
        self._traced = [i for i, field in enumerate(fields) if field.name in traced]
        self._names = [field.name for field in fields]
        self._group = np.array([field.group for field in fields], dtype=np.int64)
        self._table = FieldTable([field.field for field in fields])
        self._end_byte = np.array([field.end_byte for field in fields], dtype=np.int64)
        self._selectors = _SelectorTable(fields)
        self._groups = max((field.group for field in fields), default=-1) + 1
        self._members: list[list[_Member]] = [[] for _ in range(self._groups)]
        for index, field in enumerate(fields):
            numbers = self._selectors.number[:, index]
            selectors = tuple(numbers[numbers != _NO_SELECTOR].tolist())
            self._members[field.group].append(_Member(index, field.end_byte, selectors))

    def decode(self, payloads: Payloads, group: NDArray[np.integer], time_s: FloatArray) -> Decoded:
        """The samples of every field that occurs, in the order of the records.

        group: [n], the group of each record; the number of groups or more where it has none.
        """
        order = np.argsort(group, kind="stable")  # radix sort: group is a small integer
        count = np.bincount(group, minlength=self._groups)[: self._groups]
        first = np.cumsum(count) - count
        pairs = int(count[self._group].sum())
        if pairs == 0:
            return Decoded({}, {})
        with np.errstate(all="ignore"):  # a float field may hold anything
            if pairs > PAIRS_PER_FIELD * len(self._names):
                return self._field_by_field(payloads, order, first, count, time_s)
            return self._all_at_once(payloads, order, first, count, time_s)

    def _all_at_once(
        self,
        payloads: Payloads,
        order: IntArray,
        first: IntArray,
        count: IntArray,
        time_s: FloatArray,
    ) -> Decoded:
        # 1. one pair of every field with every record of its group, field after field
        occurs = count[self._group]
        ends = np.cumsum(occurs)
        field = np.repeat(np.arange(len(occurs)), occurs)
        place = np.arange(int(ends[-1])) - (ends - occurs - first[self._group])[field]
        record = order[place]
        # 2. only those the record really carries
        kept = payloads.length[record] >= self._end_byte[field]
        if not kept.all():
            record, field = record[kept], field[kept]
        start = payloads.start[record]
        if len(self._selectors.number):
            kept = self._selected(payloads, start, field)
            record, field, start = record[kept], field[kept], start[kept]
        # 3. all values, then cut field from field
        value = self._table.value(self._table.raw(payloads, start, field), field)
        time = time_s[record]
        edges = np.cumsum(np.bincount(field, minlength=len(occurs))).tolist()
        begins = [0, *edges[:-1]]
        samples = {
            name: Samples(time[begin:end], value[begin:end])
            for name, begin, end in zip(self._names, begins, edges, strict=True)
            if end > begin
        }
        traced = {self._names[i]: record[begins[i] : edges[i]] for i in self._traced}
        return Decoded(samples, {name: traced[name] for name in traced.keys() & samples.keys()})

    def _selected(self, payloads: Payloads, start: IntArray, field: IntArray) -> NDArray[np.bool_]:
        kept = np.ones(len(field), dtype=bool)
        for numbers in self._selectors.number:
            asked = np.flatnonzero(numbers[field] != _NO_SELECTOR)
            selector = numbers[field[asked]]
            kept[asked] &= self._selectors.holds(payloads, start[asked], selector)
        return kept

    def _field_by_field(
        self,
        payloads: Payloads,
        order: IntArray,
        first: IntArray,
        count: IntArray,
        time_s: FloatArray,
    ) -> Decoded:
        known = order[: int(count.sum())]  # in the order of the groups, those of none left out
        records = _Records(known, payloads.start[known], payloads.length[known], time_s[known])
        columns: dict[int, tuple[IntArray, Samples]] = {}
        for begin, length, members in zip(
            first.tolist(), count.tolist(), self._members, strict=True
        ):
            if length:
                of_group = records.only(slice(begin, begin + length))
                columns.update(self._one_group(payloads, of_group, members))
        samples = {self._names[i]: columns[i][1] for i in sorted(columns) if len(columns[i][0])}
        traced = {self._names[i]: columns[i][0] for i in self._traced if i in columns}
        return Decoded(samples, {name: traced[name] for name in traced.keys() & samples.keys()})

    def _one_group(
        self, payloads: Payloads, records: "_Records", members: Sequence["_Member"]
    ) -> dict[int, tuple[IntArray, Samples]]:
        shortest = int(records.length.min())
        columns: dict[tuple[tuple[int, ...], int], _Column] = {}
        found = {}
        for member in members:
            at_least = member.end_byte if member.end_byte > shortest else 0
            key = (member.selectors, at_least)
            if key not in columns:
                carried = self._carried(payloads, records, member.selectors, at_least)
                columns[key] = _Column(payloads, carried)
            column = columns[key]
            found[member.field] = column.records.number, column.samples(self._table, member.field)
        return found

    def _carried(
        self, payloads: Payloads, records: "_Records", selectors: tuple[int, ...], at_least: int
    ) -> "_Records":
        """The records of a group that are so long and have the values of these selectors."""
        if at_least:
            records = records.only(records.length >= at_least)
        for selector in selectors:
            asked = np.broadcast_to(np.int64(selector), records.start.shape)
            records = records.only(self._selectors.holds(payloads, records.start, asked))
        return records


@dataclass(frozen=True, slots=True)
class _Member:
    """A field of a group: its number, the bytes it needs, the numbers of its selectors."""

    field: int
    end_byte: int
    selectors: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Records:
    """Some records: their numbers in the batch, where their payloads start and how long they are,
    their times."""

    number: IntArray
    start: IntArray
    length: IntArray
    time_s: FloatArray

    def only(self, kept: NDArray[np.bool_] | slice) -> "_Records":
        return _Records(self.number[kept], self.start[kept], self.length[kept], self.time_s[kept])


class _Column:
    """The records of one group that carry the same fields: their windows are read only once."""

    def __init__(self, payloads: Payloads, records: _Records) -> None:
        self.records = records
        self._payloads = payloads
        self._words: dict[tuple[int, bool], Words] = {}

    def samples(self, table: FieldTable, field: int) -> Samples:
        plain = table.plain[field]
        if plain is None:
            raw = table.raw(self._payloads, self.records.start, field)
            return Samples(self.records.time_s, table.value(raw, field))
        words = self._window(plain.anchor, plain.big_endian)
        return Samples(self.records.time_s, plain.values(words))

    def _window(self, anchor: int, big_endian: bool) -> Words:
        key = (anchor, big_endian)
        if key not in self._words:
            self._words[key] = (
                self._window(anchor, False).byteswap()
                if big_endian
                else self._payloads.windows(self.records.start + anchor)
            )
        return self._words[key]
