"""The words of the channel map, as pydantic models: one class for each kind of block in the file.

Field validators, not model validators, check what one value means beside another: pydantic runs
them all, so a channel with three mistakes reports three.
"""

import keyword
import re
from enum import StrEnum
from typing import Annotated, Final, Literal

from pydantic import AfterValidator, BeforeValidator, Field, ValidationInfo, field_validator

from decode.bit_fields import CLASSIC_BYTES, NO_LIMIT, BitField
from decode.can_signals import LARGEST_IDENTIFIER, STANDARD_IDENTIFIERS, WHOLE_IDENTIFIER
from decode.errors import PullwatchError
from decode.field_groups import SELECTOR_BITS, Selector
from decode.formulas import Formula
from decode.quantities import HOUSE_UNIT, Quantity
from decode.standard_parameters import PARAMETERS
from decode.units import allowed_units, convert
from decode.yaml_file import StrictModel, with_suggestion

FD_BYTES: Final = 64
LONGEST_FRAME_BYTES: Final = 4096  # of a serial frame or a diagnostic response (ISO-TP: 4095)
MOST_CYLINDERS: Final = 16
FASTEST_POLL_HZ: Final = 200.0  # no ECU answers faster (response time of 5 ms and more)
_NAME: Final = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")


class ByteOrder(StrEnum):
    """Which byte of a number comes first."""

    LITTLE_ENDIAN = "little_endian"
    BIG_ENDIAN = "big_endian"


class Kind(StrEnum):
    """How the bits of a number are to be read."""

    INTEGER = "integer"
    FLOAT = "float"  # IEEE 754, 32 or 64 bits


def _one_or_many(value: object) -> object:
    return value if isinstance(value, list) else [value]


class _Packed(StrictModel):
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


class Multiplexer(_Packed):
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


class PackedNumber(_Packed, Scaled):
    """A number among bytes, with all that makes it a value."""

    signed: bool = False
    kind: Kind = Kind.INTEGER
    # nested multiplexers from the outermost on
    multiplexer: Annotated[list[Multiplexer], BeforeValidator(_one_or_many)] = Field(
        default_factory=list
    )
    not_available: list[int] = Field(default_factory=list)  # raw bits that mean "no value"
    highest_raw: int | None = None  # larger raw values mean "no value" too

    @field_validator("kind", mode="after")
    @classmethod
    def _float_width(cls, kind: Kind, info: ValidationInfo) -> Kind:
        if kind is Kind.FLOAT and info.data.get("bits", 32) not in (32, 64):
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
            is_float=self.kind is Kind.FLOAT,
            scale=self.scale * factor,
            offset=self.offset * factor + offset,
            not_available=tuple(self.not_available),
            highest_raw=NO_LIMIT if self.highest_raw is None else self.highest_raw,
        )


class _CanMessage(StrictModel):
    """Which CAN message. identifier_mask: the bits of the identifier that must agree."""

    fd: bool = False
    extended: bool = False
    identifier: Annotated[int, Field(ge=0, le=LARGEST_IDENTIFIER)]
    identifier_mask: Annotated[int, Field(ge=0, le=LARGEST_IDENTIFIER)] = WHOLE_IDENTIFIER

    @field_validator("identifier", mode="after")
    @classmethod
    def _standard_or_extended(cls, identifier: int, info: ValidationInfo) -> int:
        if identifier >= STANDARD_IDENTIFIERS and not info.data.get("extended"):
            raise ValueError(
                f"{identifier:#x} is larger than a standard identifier; allowed: up to 0x7ff, "
                "or add extended: true"
            )
        return identifier


# the message stands last, so that pydantic validates it first and `bits` knows of `fd`
class CanNumber(PackedNumber, _CanMessage):
    """One signal of a CAN message."""

    @classmethod
    def payload_bytes(cls, info: ValidationInfo) -> int:
        """8, or 64 where the message says `fd: true`."""
        return FD_BYTES if info.data.get("fd") else CLASSIC_BYTES


class _Polled(StrictModel):
    """rate_hz: how often the value is wanted; the poller spends what the ECU can answer by it."""

    rate_hz: Annotated[float | None, Field(gt=0, le=FASTEST_POLL_HZ)] = None


class StandardParameter(_Polled):
    """One value of a SAE J1979 service 0x01 response: layout, scale and unit are the standard's.

    value: which one, where the parameter carries several.
    """

    service: Literal[0x01]
    parameter: int
    value: Annotated[str, Field(validate_default=True)] = ""

    @field_validator("parameter", mode="after")
    @classmethod
    def _is_known(cls, parameter: int) -> int:
        if parameter not in PARAMETERS:
            allowed = ", ".join(f"0x{number:02X}" for number in PARAMETERS)
            raise ValueError(f"0x{parameter:02X} is not known here; allowed: {allowed}")
        return parameter

    @field_validator("value", mode="after")
    @classmethod
    def _is_one_of_it(cls, value: str, info: ValidationInfo) -> str:
        known = PARAMETERS.get(info.data.get("parameter", -1))
        if known is not None and value not in known.values:
            named = [name for name in known.values if name]
            hint = with_suggestion(value, named) if named else "it has one value, without a name"
            raise ValueError(f'"{value}" is no value of {known.name}; {hint}')
        return value

    @property
    def unit(self) -> str:
        """The standard's unit."""
        return PARAMETERS[self.parameter].values[self.value].unit


class DataIdentifier(PackedNumber, _Polled):
    """One value of an ISO 14229 service 0x22 or ISO 14230 service 0x21 response.

    start_bit counts from the first byte behind the identifier. length: how many bytes the
    identifier has in the response; only where it is known can one request ask for several.
    """

    service: Literal[0x21, 0x22]
    identifier: Annotated[int, Field(ge=0, le=0xFFFF)]
    length: Annotated[int | None, Field(ge=1, le=LONGEST_FRAME_BYTES)] = None

    @field_validator("identifier", mode="after")
    @classmethod
    def _local_is_one_byte(cls, identifier: int, info: ValidationInfo) -> int:
        if info.data.get("service") == 0x21 and identifier > 0xFF:
            raise ValueError(f"{identifier:#x} is no local identifier; allowed: 0x00 to 0xff")
        return identifier

    @field_validator("length", mode="after")
    @classmethod
    def _holds_the_field(cls, length: int | None, info: ValidationInfo) -> int | None:
        start_bit, bits, order = (info.data.get(k) for k in ("start_bit", "bits", "byte_order"))
        if length is None or start_bit is None or bits is None or order is None:
            return length
        end = BitField(start_bit, bits, order is ByteOrder.BIG_ENDIAN).end_byte
        if end > length:
            where = f"{bits} bits from bit {start_bit} on ({order})"
            raise ValueError(f"{length} bytes, but {where} end in byte {end - 1}, counted from 0")
        return length


class LinePlace(StrictModel):
    """Which field of a text line: by number from 0, or by its name in the header line."""

    field: Annotated[int | None, Field(ge=0)] = None
    name: Annotated[str | None, Field(min_length=1, validate_default=True)] = None

    @field_validator("name", mode="after")
    @classmethod
    def _one_of_two(cls, name: str | None, info: ValidationInfo) -> str | None:
        if "field" in info.data and (name is None) == (info.data["field"] is None):
            raise ValueError('needs either "field" (a number from 0) or "name" (in the header)')
        return name

    @property
    def key(self) -> int | str:
        """The number or the name."""
        return self.name if self.field is None else self.field  # type: ignore[return-value]


class LineNumber(LinePlace, Scaled):
    """A number in a text line. not_available: words that mean "no value"."""

    not_available: list[str] = Field(default_factory=list)


class LineClock(LinePlace):
    """The field with the device's own time."""

    unit: Literal["s", "ms", "us"] = "s"


class LineFormat(StrictModel):
    """How the text lines of one source are cut.

    A line that does not start with `starts_with` is another kind of line and is passed over. A
    delimiter of one blank stands for any run of blanks. fields: how many a whole line has, where
    known. header: the names of the fields, where the device does not send them itself. pattern: a
    regular expression whose groups are the fields, where no delimiter cuts the line.
    """

    delimiter: Annotated[str, Field(min_length=1)] = ","
    decimal: Literal[".", ","] = "."
    starts_with: str = ""
    fields: Annotated[int | None, Field(ge=1)] = None
    header: list[str] = Field(default_factory=list)
    clock: LineClock | None = None
    pattern: str | None = None

    @field_validator("decimal", mode="after")
    @classmethod
    def _not_the_delimiter(cls, decimal: str, info: ValidationInfo) -> str:
        if decimal == info.data.get("delimiter"):
            raise ValueError(f'"{decimal}" is the delimiter too')
        return decimal

    @field_validator("pattern", mode="after")
    @classmethod
    def _compiles(cls, pattern: str | None) -> str | None:
        try:
            re.compile(pattern or "")
        except re.error as error:
            raise ValueError(f"is no regular expression: {error}") from error
        return pattern


class ChannelEntry(StrictModel):
    """One channel: what it means, where it comes from, how its bytes become a value."""

    quantity: Quantity | None = None
    cylinder: Annotated[int | None, Field(ge=1, le=MOST_CYLINDERS)] = None
    source: Annotated[str | None, Field(min_length=1)] = None
    unit: Annotated[str, Field(validate_default=True)] = ""
    can: CanNumber | None = None
    line: LineNumber | None = None
    frame: PackedNumber | None = None
    diagnostic: Annotated[
        StandardParameter | DataIdentifier | None, Field(discriminator="service")
    ] = None
    column: str | None = None
    formula: str | None = None
    full_scale: Annotated[float | None, Field(gt=0)] = None
    comment: str = ""
    words: dict[int, str] = Field(default_factory=dict)  # what single values mean

    @field_validator("unit", mode="after")
    @classmethod
    def _measures_the_quantity(cls, unit: str, info: ValidationInfo) -> str:
        quantity = info.data.get("quantity")
        if quantity is None:
            return unit
        house_unit = HOUSE_UNIT[quantity]
        if not unit and house_unit != "1":
            allowed = ", ".join(allowed_units(house_unit))
            raise ValueError(f'"unit" is missing; {quantity} is measured in: {allowed}')
        try:
            convert(unit, house_unit)
        except PullwatchError as error:
            raise ValueError(f"{error} ({quantity})") from error
        return unit

    @field_validator("diagnostic", mode="after")
    @classmethod
    def _in_the_standards_unit(
        cls, diagnostic: StandardParameter | DataIdentifier | None, info: ValidationInfo
    ) -> StandardParameter | DataIdentifier | None:
        unit = info.data.get("unit")
        if isinstance(diagnostic, StandardParameter) and unit is not None:
            standard = "" if diagnostic.unit == "1" else diagnostic.unit
            if unit not in (standard, diagnostic.unit):
                raise ValueError(f'the standard gives it in "{diagnostic.unit}", not "{unit}"')
        return diagnostic

    @field_validator("formula", mode="after")
    @classmethod
    def _formula_is_safe(cls, formula: str | None) -> str | None:
        try:
            Formula.parse(formula or "")
        except PullwatchError as error:
            raise ValueError(str(error)) from error
        return formula


def _channel_name(name: str) -> str:
    if not _NAME.fullmatch(name) or (keyword.iskeyword(name) and name != "lambda"):
        raise ValueError(
            f'"{name}" is no channel name; allowed: letters, digits and _, a letter first'
        )
    return name


class MapFile(StrictModel):
    """The whole file."""

    pullwatch_map: Literal[1]
    lines: dict[str, LineFormat] = Field(default_factory=dict)
    channels: dict[Annotated[str, AfterValidator(_channel_name)], ChannelEntry]
