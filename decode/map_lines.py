"""Text lines and the numbers in them, as the channel map describes them."""

import re
from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from decode.map_numbers import Scaled
from decode.yaml_file import StrictModel


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
