"""A signal of a CAN message, as the channel map describes it."""

from typing import Annotated, Final

from pydantic import Field, ValidationInfo, field_validator

from decode.bit_fields import CLASSIC_BYTES
from decode.map_numbers import PackedNumber
from decode.records import LARGEST_IDENTIFIER, STANDARD_IDENTIFIERS, WHOLE_IDENTIFIER
from decode.yaml_file import StrictModel

FD_BYTES: Final = 64


class CanMessage(StrictModel):
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
class CanNumber(PackedNumber, CanMessage):
    """One signal of a CAN message."""

    @classmethod
    def payload_bytes(cls, info: ValidationInfo) -> int:
        """8, or 64 where the message says `fd: true`."""
        return FD_BYTES if info.data.get("fd") else CLASSIC_BYTES
