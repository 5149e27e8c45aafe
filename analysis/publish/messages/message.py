"""What every message is: frozen, versioned, without keys that nobody knows."""

from typing import Final, Literal

from pydantic import BaseModel, ConfigDict

VERSION: Final = 3


class Model(BaseModel):
    """Part of a message, or a whole one."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        ser_json_inf_nan="null",  # they have no JSON of their own
        json_schema_serialization_defaults_required=True,  # every key is always sent
    )


class Versioned(Model):
    """A whole message. version: 2 since a statement is a key with amounts and no longer text
    alone, 3 since figures of power come with their uncertainty and comparisons with their drift."""

    version: Literal[3] = VERSION
