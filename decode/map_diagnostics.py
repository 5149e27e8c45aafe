"""A value that an ECU is asked for, as the channel map describes it."""

from typing import Annotated, Final, Literal

from pydantic import Field, ValidationInfo, field_validator

from decode.bit_fields import BitField
from decode.map_numbers import LONGEST_FRAME_BYTES, ByteOrder, PackedNumber
from decode.standard_parameters import PARAMETERS
from decode.yaml_file import StrictModel, with_suggestion

FASTEST_POLL_HZ: Final = 200.0  # no ECU answers faster (response time of 5 ms and more)


class Polled(StrictModel):
    """rate_hz: how often the value is wanted; the poller spends what the ECU can answer by it."""

    rate_hz: Annotated[float | None, Field(gt=0, le=FASTEST_POLL_HZ)] = None


class StandardParameter(Polled):
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


class DataIdentifier(PackedNumber, Polled):
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
