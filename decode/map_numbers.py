"""A number among bytes, as the channel map describes it: place, width, sign, scale, exceptions.

Field validators, not model validators, check what one value means beside another: pydantic runs
them all, so a channel with three mistakes reports three.
"""

from enum import StrEnum
from typing import Annotated, Final

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator

from decode.bit_fields import NO_LIMIT, BitField
from decode.field_groups import SELECTOR_BITS, Selector
from decode.yaml_file import StrictModel

LONGEST_FRAME_BYTES: Final = 4096  # of a serial frame or a diagnostic response (ISO-TP: 4095)


class ByteOrder(StrEnum):
    """Which byte of a number comes first."""

    LITTLE_ENDIAN = "little_endian"
    BIG_ENDIAN = "big_endian"


class NumberKind(StrEnum):
    """How the bits of a number are to be read."""

    INTEGER = "integer"
    FLOAT = "float"  # IEEE 754, 32 or 64 bits


def _one_or_many(value: object) -> object:
    return value if isinstance(value, list) else [value]


class PackedBits(StrictModel):
    """A number among bytes. `start_bit` and `bits` are checked against `payload_bytes`."""

    byte_order: ByteOrder = ByteOrder.LITTLE_ENDIAN
    start_bit: Annotated[int, Field(ge=0)]
    bits: Annotated[int, Field(ge=1, le=64)]

    @classmethod
    def payload_bytes(cls, info: ValidationInfo) -> int:
        """How many bytes the field may lie in."""
        return LONGEST_FRAME_BYTES

    @field_validator("bits", mode="after")
    @classmethod
    def _inside_payload(cls, bits: int, info: ValidationInfo) -> int:
        start_bit, byte_order = info.data.get("start_bit"), info.data.get("byte_order")
        if start_bit is None or byte_order is None:
            return bits
        field = BitField(start_bit, bits, byte_order is ByteOrder.BIG_ENDIAN)
        limit = cls.payload_bytes(info)
        if field.end_byte > limit:
            raise ValueError(
                f"{bits} bits from bit {start_bit} on ({byte_order}) end in byte "
                f"{field.end_byte - 1}; the payload has bytes 0 to {limit - 1}"
            )
        return bits

    def bit_field(self) -> BitField:
        """Where the number lies."""
        return BitField(self.start_bit, self.bits, self.byte_order is ByteOrder.BIG_ENDIAN)


class Multiplexer(PackedBits):
    """The field is there only where these bits hold one of these values."""

    bits: Annotated[int, Field(ge=1, le=SELECTOR_BITS)]
    equals: Annotated[list[int], Field(min_length=1), BeforeValidator(_one_or_many)]

    @field_validator("equals", mode="after")
    @classmethod
    def _fits(cls, equals: list[int], info: ValidationInfo) -> list[int]:
        _check_patterns(equals, info.data.get("bits"))
        return equals

    def selector(self) -> Selector:
        """As the decoder has it."""
        return Selector(self.bit_field(), tuple(self.equals))


class Scaled(StrictModel):
    """value in the channel's unit = scale x what was sent + offset."""

    scale: float = 1.0
    offset: float = 0.0


def _check_patterns(values: list[int], bits: int | None) -> None:
    if bits is None:  # has its own problem
        return
    wrong = [value for value in values if not 0 <= value < 1 << bits]
    if wrong:
        raise ValueError(f"{wrong[0]} does not fit {bits} bits; allowed: 0 to {(1 << bits) - 1}")


class PackedNumber(PackedBits, Scaled):
    """A number among bytes, with all that makes it a value."""

    signed: bool = False
    kind: NumberKind = NumberKind.INTEGER
    # nested multiplexers from the outermost on
    multiplexer: Annotated[list[Multiplexer], BeforeValidator(_one_or_many)] = Field(
        default_factory=list
    )
    not_available: list[int] = Field(default_factory=list)  # raw bits that mean "no value"
    highest_raw: int | None = None  # larger raw values mean "no value" too

    @field_validator("kind", mode="after")
    @classmethod
    def _float_width(cls, kind: NumberKind, info: ValidationInfo) -> NumberKind:
        if kind is NumberKind.FLOAT and info.data.get("bits", 32) not in (32, 64):
            raise ValueError(f"a float of {info.data['bits']} bits; allowed: 32 or 64 bits")
        return kind

    @field_validator("not_available", "highest_raw", mode="after")
    @classmethod
    def _patterns_fit(
        cls, value: list[int] | int | None, info: ValidationInfo
    ) -> list[int] | int | None:
        values = [value] if isinstance(value, int) else value or []
        _check_patterns(values, info.data.get("bits"))
        return value

    def selectors(self) -> tuple[Selector, ...]:
        """The conditions under which the field is there."""
        return tuple(multiplexer.selector() for multiplexer in self.multiplexer)

    def number(self, factor: float, offset: float) -> BitField:
        """The field with its scale, and factor x value + offset as its unit's conversion."""
        return BitField(
            start_bit=self.start_bit,
            bits=self.bits,
            big_endian=self.byte_order is ByteOrder.BIG_ENDIAN,
            signed=self.signed,
            is_float=self.kind is NumberKind.FLOAT,
            scale=self.scale * factor,
            offset=self.offset * factor + offset,
            not_available=tuple(self.not_available),
            highest_raw=NO_LIMIT if self.highest_raw is None else self.highest_raw,
        )
