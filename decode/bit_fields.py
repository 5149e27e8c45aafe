"""Numbers packed into bytes: integer and floating fields of any width, in either byte order.

One field is described by `BitField`; a `FieldTable` holds many of them as columns, so that one
handful of numpy operations takes any mixture of fields out of any mixture of payloads:

    little endian, start_bit 12, 10 bits         big endian, start_bit 3, 10 bits
    byte   1        2                            byte   0        1
    bit    7654321076543210                      bit    7654321076543210
           llll....  ..hhhhhh                            ....hhhhllllll..

start_bit counts 8 x byte + bit, with bit 0 the least significant of its byte. It names the least
significant bit of a little endian field, the most significant bit of a big endian one, as CAN
network descriptions do.

Every field is read from a window of eight bytes at its anchor. Shifting the window left by `left`
and right by `right` leaves the field alone; the rare field that straddles nine bytes gets its last
bits from the ninth.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final, TypeVar

import numpy as np
from numpy.typing import NDArray

WORD_BITS: Final = 64
WORD_BYTES: Final = 8
CLASSIC_BYTES: Final = 8  # payload of a classic CAN frame
NO_LIMIT: Final = 2**64 - 1

Scalar = TypeVar("Scalar", bound=np.generic)
Words = NDArray[np.uint64]
Index = Any  # NDArray[np.intp], or one int for a whole column of the same field


@dataclass(frozen=True, slots=True)
class BitField:
    """Where a number lies and how its bits are to be read; scale and offset give its value.

    not_available: raw bit patterns that mean "no value". highest_raw: larger raw values are "no
    value" too (J1939 reserves the top of every range).
    """

    start_bit: int
    bits: int
    big_endian: bool = False
    signed: bool = False
    is_float: bool = False
    scale: float = 1.0
    offset: float = 0.0
    not_available: tuple[int, ...] = ()
    highest_raw: int = NO_LIMIT

    @property
    def first_byte(self) -> int:
        """The byte that is read first."""
        return self.start_bit // 8

    @property
    def end_byte(self) -> int:
        """How many bytes a payload must have to hold the field."""
        if self.big_endian:
            lead = 7 - self.start_bit % 8
            return self.first_byte + (lead + self.bits + 7) // 8
        return (self.start_bit + self.bits + 7) // 8

    @property
    def anchor(self) -> int:
        """The byte at which the window starts: 0 as long as the field lies in the first eight."""
        return 0 if self.end_byte <= CLASSIC_BYTES else self.first_byte

    @property
    def lead(self) -> int:
        """Bits of the window above the field; negative where it reaches into a ninth byte."""
        if self.big_endian:
            return (self.first_byte - self.anchor) * 8 + 7 - self.start_bit % 8
        return WORD_BITS - self.bits - (self.start_bit - 8 * self.anchor)

    @property
    def is_plain(self) -> bool:
        """Whether `PlainField` can read it."""
        limited = self.not_available or self.highest_raw != NO_LIMIT
        return not (self.is_float or self.is_wide or limited or self.ninth_bits)

    @property
    def sign_bit(self) -> int:
        """The bit that makes a signed integer negative; 0 where the number is none."""
        return 1 << (self.bits - 1) if self.signed and not self.is_float else 0

    @property
    def is_wide(self) -> bool:
        """Whether its values need all 64 bits of an unsigned integer."""
        return self.bits == WORD_BITS and not self.signed and not self.is_float

    @property
    def float_bits(self) -> int:
        """The width of a floating number; 0 where it is an integer."""
        return self.bits if self.is_float else 0

    @property
    def ninth_bits(self) -> int:
        """How many bits lie in the ninth byte of the window."""
        used = self.lead + self.bits if self.big_endian else WORD_BITS - self.lead
        return max(0, used - WORD_BITS)


@dataclass(frozen=True, slots=True)
class PlainField:
    """An integer within its window whose every value is one: most fields of most networks."""

    anchor: int
    big_endian: bool
    signed: bool
    left: np.uint64
    right: np.uint64
    scale: float
    offset: float

    @classmethod
    def of(cls, field: BitField) -> "PlainField":
        """The constants that `values` needs."""
        left, right = np.uint64(field.lead), np.uint64(WORD_BITS - field.bits)
        return cls(
            field.anchor, field.big_endian, field.signed, left, right, field.scale, field.offset
        )

    def values(self, words: Words) -> NDArray[np.float64]:
        """What `FieldTable.value` gives, in fewer steps; words: in the field's byte order."""
        raw = words << self.left
        if self.signed:
            number = raw.view(np.int64)
            number >>= self.right.view(np.int64)  # brings the sign along
        else:
            raw >>= self.right
            number = raw.view(np.int64)
        value = number.astype(np.float64)
        value *= self.scale
        value += self.offset
        return value


class Payloads:
    """The payloads of one batch, readable eight bytes at a time at any byte.

    Reading past the end of a payload is harmless: a caller takes no field that ends outside, and
    the bits around a field are shifted away.
    """

    def __init__(self, data: NDArray[np.uint8], offsets: NDArray[np.int64]) -> None:
        padded = np.empty(len(data) + WORD_BYTES + 1, dtype=np.uint8)
        padded[: len(data)] = data
        padded[len(data) :] = 0
        self.start = offsets[:-1]
        self.length = np.diff(offsets)
        self._bytes = padded
        self._windows: Words = np.ndarray((len(data) + 2,), "<u8", padded, strides=(1,))

    def windows(self, start: NDArray[np.int64]) -> Words:
        """Eight bytes from each start on, as little endian words."""
        return self._windows[start]

    def ninth(self, start: NDArray[np.int64]) -> Words:
        """The byte behind each window."""
        return self._bytes[start + WORD_BYTES].astype(np.uint64)


def _column(values: Iterable[float], dtype: type[Scalar]) -> NDArray[Scalar]:
    """One figure of every field; also of no field."""
    return np.array(list(values), dtype=dtype)


def _missing_patterns(
    fields: Sequence[BitField],
) -> tuple[list[Words], list[NDArray[np.bool_]]]:
    """The patterns that mean "no value", one column for the first of each field, one for the
    second and so on; and in which columns a field has one."""
    most = max((len(field.not_available) for field in fields), default=0)
    patterns, has_one = [], []
    for i in range(most):
        has = [i < len(field.not_available) for field in fields]
        pairs = zip(fields, has, strict=True)
        patterns.append(_column((f.not_available[i] if h else 0 for f, h in pairs), np.uint64))
        has_one.append(_column(has, np.bool_))
    return patterns, has_one


class FieldTable:
    """The columns of many fields; every method takes an index of fields or one field's number."""

    def __init__(self, fields: Sequence[BitField]) -> None:
        # where the bits lie
        self.anchor = _column((f.anchor for f in fields), np.int64)
        self.end_byte = _column((f.end_byte for f in fields), np.int64)
        self.big_endian = _column((f.big_endian for f in fields), np.bool_)
        self.left = _column((max(f.lead, 0) for f in fields), np.uint64)
        self.right = _column((WORD_BITS - f.bits for f in fields), np.uint64)
        self.ninth_bits = _column((f.ninth_bits for f in fields), np.uint64)
        # what number they are
        self.sign = _column((f.sign_bit for f in fields), np.uint64)
        self.wide = _column((f.is_wide for f in fields), np.bool_)
        self.float_bits = _column((f.float_bits for f in fields), np.int64)
        self.scale = _column((f.scale for f in fields), np.float64)
        self.offset = _column((f.offset for f in fields), np.float64)
        # which patterns are no value
        self.highest_raw = _column((f.highest_raw for f in fields), np.uint64)
        self.missing, self.has_missing = _missing_patterns(fields)
        # what can be passed over
        self.plain = [PlainField.of(f) if f.is_plain else None for f in fields]
        self.any_limit = bool((self.highest_raw != NO_LIMIT).any())
        self.any_ninth = bool(self.ninth_bits.any())

    def raw(self, payloads: Payloads, start: NDArray[np.int64], field: Index) -> Words:
        """The raw bits of one field each of the payloads that start at `start`: uint64[n]."""
        at = start + self.anchor[field]
        words = payloads.windows(at)
        big = self.big_endian[field]
        if big.any():
            words = np.where(big, words.byteswap(), words)
        raw = self.isolate(words, field)
        if self.any_ninth and self.ninth_bits[field].any():
            ninth = payloads.ninth(np.where(self.ninth_bits[field] > 0, at, 0))
            raw = self._with_ninth(ninth, words, raw, field)
        return raw

    def isolate(self, words: Words, field: Index) -> Words:
        """The field's bits out of its window (already in the field's byte order)."""
        shifted: Words = words << self.left[field]
        shifted >>= self.right[field]
        return shifted

    def _with_ninth(self, ninth: Words, words: Words, raw: Words, field: Index) -> Words:
        extra = self.ninth_bits[field]
        low = (words << self.left[field]) >> self.right[field]
        big = low | (ninth >> (np.uint64(8) - extra))
        # little endian: the window holds all but the top `extra` bits of the field
        top = ninth & ((np.uint64(1) << extra) - np.uint64(1))
        bits = np.uint64(WORD_BITS) - self.right[field]
        little = (words >> (np.uint64(WORD_BITS) - bits + extra)) | (top << (bits - extra))
        joined: Words = np.where(self.big_endian[field], big, little)
        return np.where(extra > 0, joined, raw)

    def value(self, raw: Words, field: Index) -> NDArray[np.float64]:
        """scale x number + offset of raw bits, NaN where they mean "no value": float64[n]."""
        value = self._number(raw, field)
        value *= self.scale[field]
        value += self.offset[field]
        for missing, has in zip(self.missing, self.has_missing, strict=True):
            value[(raw == missing[field]) & has[field]] = np.nan
        if self.any_limit:
            value[raw > self.highest_raw[field]] = np.nan
        return value

    def _number(self, raw: Words, field: Index) -> NDArray[np.float64]:
        sign = self.sign[field]
        number: NDArray[np.float64] = ((raw ^ sign) - sign).view(np.int64).astype(np.float64)
        wide, float_bits = self.wide[field], self.float_bits[field]
        if wide.any():
            number = np.where(wide, raw.astype(np.float64), number)
        if float_bits.any():
            single = raw.astype(np.uint32).view(np.float32).astype(np.float64)
            double = raw.view(np.float64)
            number = np.where(float_bits == 32, single, number)
            number = np.where(float_bits == 64, double, number)
            number[~np.isfinite(number)] = np.nan  # no quantity is infinite
        return number
