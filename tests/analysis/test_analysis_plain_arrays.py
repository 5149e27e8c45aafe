"""Arrays inside typed values: numpy's own in memory, numbers and null in JSON."""

import json
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from pydantic import TypeAdapter, ValidationError

from analysis.model.plain_arrays import PlainArray


@dataclass(frozen=True, slots=True)
class Curve:
    """A value with arrays."""

    y: PlainArray
    band: PlainArray | None


CURVE = TypeAdapter(Curve)


def test_what_is_not_known_is_null_and_comes_back_as_nan() -> None:
    curve = Curve(np.array([0.1 + 0.2, np.nan, np.inf]), None)
    plain = CURVE.dump_python(curve, mode="json")
    assert plain == {"y": [0.1 + 0.2, None, None], "band": None}
    assert json.loads(CURVE.dump_json(curve)) == plain
    again = CURVE.validate_json(CURVE.dump_json(curve))
    assert again.y.dtype == np.float64
    np.testing.assert_array_equal(again.y, [0.1 + 0.2, np.nan, np.nan])
    assert again.band is None


def test_an_array_is_taken_as_it_is() -> None:
    y = np.arange(3.0)
    assert CURVE.validate_python({"y": y, "band": None}).y is y


def test_a_schema_says_numbers_or_null() -> None:
    items = CURVE.json_schema(mode="serialization")["properties"]["y"]["items"]
    assert items == {"anyOf": [{"type": "number"}, {"type": "null"}]}


@pytest.mark.parametrize("wrong", ["text", 1.0, {"0": 1.0}, ["a"], [[1.0], [2.0]], [{}]])
def test_what_is_no_list_of_numbers_is_refused(wrong: Any) -> None:
    with pytest.raises(ValidationError):
        CURVE.validate_python({"y": wrong, "band": None})
