"""What the physics writes down at every step, and such steps as columns."""

import re
from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from decode.samples import FloatArray


class TraceStep(NamedTuple):
    """Every signal at one instant. A tuple, because a session has hundreds of thousands of them.

    Temperatures and pressures as the sensors' places have them; boost and oil pressure are gauge.
    knock_retard_deg: of each cylinder.
    """

    time_s: float
    engine_speed_rpm: float
    pedal_position_percent: float
    throttle_position_percent: float
    boost_pressure_kpa: float
    manifold_pressure_kpa: float
    boost_target_kpa: float
    ignition_timing_deg: float
    ignition_target_deg: float
    knock_level_v: float
    intake_air_temperature_degc: float
    charge_air_temperature_degc: float
    compressor_outlet_temperature_degc: float
    coolant_temperature_degc: float
    oil_temperature_degc: float
    oil_pressure_kpa: float
    exhaust_gas_temperature_degc: float
    fuel_pressure_low_kpa: float
    fuel_pressure_low_target_kpa: float
    fuel_pressure_high_kpa: float
    fuel_pressure_high_target_kpa: float
    injector_duty_percent: float
    lambda_: float
    lambda_target: float
    fuel_trim_short_percent: float
    fuel_trim_long_percent: float
    air_mass_flow_gs: float
    wastegate_duty_percent: float
    turbo_speed_rpm: float
    engine_torque_nm: float
    torque_request_nm: float
    vehicle_speed_km_h: float
    roller_speed_km_h: float
    roller_torque_nm: float
    wheel_power_kw: float
    gear: float
    battery_voltage_v: float
    misfire_count: float
    clutch_torque_nm: float
    brake_torque_nm: float
    protecting: float
    limiting: float
    knock_retard_deg: tuple[float, ...]


_UNIT: Final = re.compile(r"_(s|rpm|percent|kpa|deg|degc|v|gs|nm|km_h|kw|)$")
_ONE_VALUE: Final = TraceStep._fields[:-1]  # all but the list of the cylinders
# a signal is called as its field without the unit: quantities and channels name it so
SIGNALS: Final = tuple(_UNIT.sub("", field) for field in _ONE_VALUE)


def columns(steps: Sequence[TraceStep], cylinders: int) -> dict[str, FloatArray]:
    """float64[steps] of each name in SIGNALS and of knock_retard_<cylinder> behind them."""
    names = SIGNALS + tuple(f"knock_retard_{c}" for c in range(1, cylinders + 1))
    rows = [(*step[:-1], *step.knock_retard_deg) for step in steps]
    table = np.array(rows, dtype=float).reshape(len(rows), len(names))
    return dict(zip(names, np.ascontiguousarray(table.T), strict=True))
