"""The channel map's file as pydantic models: a channel, and the whole file."""

import keyword
import re
from typing import Annotated, Final, Literal

from pydantic import AfterValidator, Field, ValidationInfo, field_validator

from decode.errors import PullwatchError
from decode.formulas import Formula
from decode.map_can import CanNumber
from decode.map_diagnostics import DataIdentifier, StandardParameter
from decode.map_lines import LineFormat, LineNumber
from decode.map_numbers import PackedNumber
from decode.quantities import HOUSE_UNIT, MIXTURES, MOST_CYLINDERS, Quantity
from decode.units import AIR_FUEL_RATIO, UnitConversion, allowed_units, convert
from decode.yaml_file import StrictModel

STOICHIOMETRIC: Final = (5.0, 18.0)  # methanol 6.5, natural gas 17.2
NO_CONVERSION: Final = UnitConversion(1.0, 0.0)
_MIXTURES: Final = " or a ".join(sorted(MIXTURES))
_NAME: Final = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")


class ChannelEntry(StrictModel):
    """One channel: what it means, where it comes from, how its bytes become a value."""

    quantity: Quantity | None = None
    cylinder: Annotated[int | None, Field(ge=1, le=MOST_CYLINDERS)] = None
    source: Annotated[str | None, Field(min_length=1)] = None
    stoichiometric: Annotated[float | None, Field(ge=STOICHIOMETRIC[0], le=STOICHIOMETRIC[1])] = (
        None  # with unit AFR
    )
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
        quantity, ratio = info.data.get("quantity"), info.data.get("stoichiometric")
        if quantity is None:
            return unit
        if unit == AIR_FUEL_RATIO and quantity in MIXTURES:
            if ratio is None and "stoichiometric" in info.data:
                raise ValueError(
                    f'unit {AIR_FUEL_RATIO} needs "stoichiometric", the ratio that the logger '
                    "calls lambda 1 (most are set to 14.7, whatever the fuel)"
                )
            return unit
        if ratio is not None:
            raise ValueError(f'"stoichiometric" goes with a {_MIXTURES} in unit {AIR_FUEL_RATIO}')
        house_unit = HOUSE_UNIT[quantity]
        if not unit and house_unit != "1":
            allowed = ", ".join(allowed_units(house_unit))
            raise ValueError(f'"unit" is missing; {quantity} is measured in: {allowed}')
        try:
            convert(unit, house_unit)
        except PullwatchError as error:
            raise ValueError(f"{error} ({quantity})") from error
        return unit

    @property
    def conversion(self) -> UnitConversion:
        """From the unit that the map says to the unit that the channel's samples have."""
        if self.quantity is None:
            return NO_CONVERSION
        if self.unit == AIR_FUEL_RATIO and self.stoichiometric is not None:
            return UnitConversion(1.0 / self.stoichiometric, 0.0)
        return convert(self.unit, HOUSE_UNIT[self.quantity])

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
