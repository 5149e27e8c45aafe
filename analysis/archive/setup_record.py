"""The set-up as the store keeps it beside a pull: what held when the pull was judged."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from pydantic import TypeAdapter

from analysis.model.setup import Air, Car, Dyno, Setup


@dataclass(frozen=True, slots=True)
class _Kept:
    car: Car
    dyno: Dyno
    air: Air


_KEPT: Final = TypeAdapter(_Kept)


def setup_to_json(setup: Setup) -> dict[str, Any]:
    """Car, dyno and air as plain data. A compressor map is kept by its path alone."""
    plain: dict[str, Any] = _KEPT.dump_python(_Kept(setup.car, setup.dyno, setup.air), mode="json")
    return plain


def setup_from_json(data: Mapping[str, Any]) -> Setup:
    """The inverse of setup_to_json, without a compressor map."""
    kept = _KEPT.validate_python(dict(data))
    return Setup(kept.car, kept.dyno, kept.air)
