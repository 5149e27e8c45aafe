"""The names of what the physics writes down at every step, and rows of it as columns."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from decode.samples import FloatArray

Row = tuple[float, ...]
FIXED_TRACE: Final = (
    "time",
    "engine_speed",
    "pedal_position",
    "throttle_position",
    "boost_pressure",
    "manifold_pressure",
    "boost_target",
    "ignition_timing",
    "ignition_target",
    "knock_level",
    "intake_air_temperature",
    "charge_air_temperature",
    "compressor_outlet_temperature",
    "coolant_temperature",
    "oil_temperature",
    "oil_pressure",
    "exhaust_gas_temperature",
    "fuel_pressure_low",
    "fuel_pressure_low_target",
    "fuel_pressure_high",
    "fuel_pressure_high_target",
    "injector_duty",
    "lambda",
    "lambda_target",
    "fuel_trim_short",
    "fuel_trim_long",
    "air_mass_flow",
    "wastegate_duty",
    "turbo_speed",
    "engine_torque",
    "torque_request",
    "vehicle_speed",
    "roller_speed",
    "roller_torque",
    "wheel_power",
    "gear",
    "battery_voltage",
    "misfire_count",
    "clutch_torque",
    "brake_torque",
    "protecting",
    "limiting",
)


def columns(rows: Sequence[Row], cylinders: int) -> dict[str, FloatArray]:
    """float64[steps] of each name in FIXED_TRACE and of knock_retard_<cylinder> behind them."""
    names = FIXED_TRACE + tuple(f"knock_retard_{c}" for c in range(1, cylinders + 1))
    table = np.array(rows, dtype=float).reshape(len(rows), len(names))
    return dict(zip(names, np.ascontiguousarray(table.T), strict=True))
