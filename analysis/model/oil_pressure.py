"""The least oil pressure an engine must have at a speed: one curve for alert and verdict."""

import numpy as np

from analysis.model.limits import Limits
from analysis.model.setup import Car, Ignition
from analysis.model.shared_limits import (
    OIL_PRESSURE_ENOUGH,
    OIL_PRESSURE_LOST,
    OIL_PRESSURE_SLOPE,
)
from decode.samples import FloatArray


def has_plain_bearings(car: Car) -> bool:
    """Whether what is known of the engine says that it needs a car's oil pressure: a diesel or a
    boosted engine does, whatever it drives. Of any other engine nobody knows."""
    return car.boosted or car.ignition is Ignition.COMPRESSION


def least_oil_pressure_kpa(
    speed_rpm: FloatArray, limits: Limits, plain_bearings: bool
) -> FloatArray:
    """At each engine speed, float64[n]: rising with it until enough is enough."""
    most = limits[(OIL_PRESSURE_ENOUGH if plain_bearings else OIL_PRESSURE_LOST).name].value
    return np.minimum(limits[OIL_PRESSURE_SLOPE.name].value * speed_rpm / 1000.0, most)
