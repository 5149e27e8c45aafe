"""The least oil pressure an engine must have at a speed: one curve for alert and verdict."""

import numpy as np

from analysis.model.engine_kind import EngineKind
from analysis.model.limits import Limits
from analysis.model.setup import Vehicle
from analysis.model.shared_limits import (
    OIL_PRESSURE_ENOUGH,
    OIL_PRESSURE_LOST,
    OIL_PRESSURE_SLOPE,
)
from decode.samples import FloatArray


def has_plain_bearings(kind: EngineKind) -> bool:
    """Whether what is known of the engine says that it needs a car's oil pressure: unless it is a
    motorcycle's, a diesel or a boosted engine does. Of any other engine nobody knows."""
    if kind.vehicle is not None:
        return kind.vehicle is Vehicle.CAR
    return kind.is_diesel or kind.is_boosted


def least_oil_pressure_kpa(
    speed_rpm: FloatArray, limits: Limits, plain_bearings: bool
) -> FloatArray:
    """At each engine speed, float64[n]: rising with it until enough is enough."""
    most = limits[(OIL_PRESSURE_ENOUGH if plain_bearings else OIL_PRESSURE_LOST).name].value
    return np.minimum(limits[OIL_PRESSURE_SLOPE.name].value * speed_rpm / 1000.0, most)
