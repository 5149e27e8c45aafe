"""Arrays inside typed values: in memory numpy's own, in JSON a list of numbers with null for NaN.

An array that is handed over is taken as it is, so that a message with thousands of samples is made
without a look at each of them.
"""

import math
from typing import Annotated, Any, Final

import numpy as np
from pydantic import GetPydanticSchema
from pydantic_core import core_schema

from decode.samples import FloatArray


def plain(values: FloatArray) -> list[float | None]:
    """For JSON, which knows no NaN and no infinity: None there."""
    numbers: list[float | None] = values.tolist()
    for index in np.flatnonzero(~np.isfinite(values)):
        numbers[index] = None
    return numbers


def _array(values: Any) -> FloatArray:
    """Raises ValueError for what is no list of numbers."""
    if isinstance(values, np.ndarray):
        return values
    if not isinstance(values, list | tuple):
        raise ValueError(f"a list of numbers is wanted, not {type(values).__name__}")
    numbers = [math.nan if value is None else value for value in values]
    if not all(isinstance(number, int | float) for number in numbers):
        raise ValueError("a list of numbers is wanted, with null where there is none")
    return np.array(numbers, np.float64)


_LIST: Final = core_schema.list_schema(core_schema.nullable_schema(core_schema.float_schema()))
_SCHEMA: Final = core_schema.no_info_plain_validator_function(
    _array,
    json_schema_input_schema=_LIST,
    serialization=core_schema.plain_serializer_function_ser_schema(plain, return_schema=_LIST),
)
PlainArray = Annotated[FloatArray, GetPydanticSchema(lambda _source, _handler: _SCHEMA)]
