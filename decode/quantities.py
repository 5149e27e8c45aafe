"""The closed list of quantities: what a channel can mean to the analysis, and in which unit.

Every quantity has one house unit, the trade's own (rpm, kPa, degC, Nm): values are converted once,
by the map, and no later room ever asks for a unit. Gauge and absolute pressure are different
quantities and are never mixed.
"""

from collections.abc import Mapping
from enum import StrEnum
from typing import Final

MOST_CYLINDERS: Final = 16


class Quantity(StrEnum):
    """What a channel means to the analysis."""

    ENGINE_SPEED = "engine_speed"
    PEDAL_POSITION = "pedal_position"
    THROTTLE_POSITION = "throttle_position"
    BOOST_PRESSURE = "boost_pressure"  # gauge: manifold minus barometric
    BOOST_TARGET = "boost_target"  # gauge
    MANIFOLD_PRESSURE = "manifold_pressure"  # absolute
    BAROMETRIC_PRESSURE = "barometric_pressure"  # absolute, at the station, not at sea level
    IGNITION_TIMING = "ignition_timing"  # degrees before top dead centre
    IGNITION_TARGET = "ignition_target"
    KNOCK_RETARD = "knock_retard"  # degrees taken away, positive
    KNOCK_LEVEL = "knock_level"
    INTAKE_AIR_TEMPERATURE = "intake_air_temperature"
    CHARGE_AIR_TEMPERATURE = "charge_air_temperature"  # after the charge cooler
    COMPRESSOR_OUTLET_TEMPERATURE = "compressor_outlet_temperature"
    AMBIENT_TEMPERATURE = "ambient_temperature"
    RELATIVE_HUMIDITY = "relative_humidity"
    COOLANT_TEMPERATURE = "coolant_temperature"
    OIL_TEMPERATURE = "oil_temperature"
    OIL_PRESSURE = "oil_pressure"  # gauge
    EXHAUST_GAS_TEMPERATURE = "exhaust_gas_temperature"
    FUEL_PRESSURE_LOW = "fuel_pressure_low"  # gauge
    FUEL_PRESSURE_LOW_TARGET = "fuel_pressure_low_target"
    FUEL_PRESSURE_HIGH = "fuel_pressure_high"
    FUEL_PRESSURE_HIGH_TARGET = "fuel_pressure_high_target"
    INJECTOR_DUTY = "injector_duty"
    LAMBDA = "lambda"
    LAMBDA_TARGET = "lambda_target"
    FUEL_TRIM_SHORT = "fuel_trim_short"
    FUEL_TRIM_LONG = "fuel_trim_long"
    AIR_MASS_FLOW = "air_mass_flow"
    WASTEGATE_DUTY = "wastegate_duty"
    TURBO_SPEED = "turbo_speed"
    ENGINE_TORQUE = "engine_torque"
    TORQUE_REQUEST = "torque_request"
    VEHICLE_SPEED = "vehicle_speed"
    ROLLER_SPEED = "roller_speed"  # surface speed
    ROLLER_TORQUE = "roller_torque"  # what the brake absorbs, at the roller's shaft
    WHEEL_TORQUE = "wheel_torque"
    WHEEL_POWER = "wheel_power"
    GEAR = "gear"
    BATTERY_VOLTAGE = "battery_voltage"
    MISFIRE_COUNT = "misfire_count"


# What may be logged as an air-fuel ratio.
MIXTURES: Final = frozenset({Quantity.LAMBDA, Quantity.LAMBDA_TARGET})

# What a controller asks for, of every measured quantity that has such a channel.
TARGET_OF: Final[Mapping[Quantity, Quantity]] = {
    Quantity.BOOST_PRESSURE: Quantity.BOOST_TARGET,
    Quantity.IGNITION_TIMING: Quantity.IGNITION_TARGET,
    Quantity.LAMBDA: Quantity.LAMBDA_TARGET,
    Quantity.FUEL_PRESSURE_LOW: Quantity.FUEL_PRESSURE_LOW_TARGET,
    Quantity.FUEL_PRESSURE_HIGH: Quantity.FUEL_PRESSURE_HIGH_TARGET,
}

HOUSE_UNIT: Final[dict[Quantity, str]] = {
    Quantity.ENGINE_SPEED: "rpm",
    Quantity.PEDAL_POSITION: "%",
    Quantity.THROTTLE_POSITION: "%",
    Quantity.BOOST_PRESSURE: "kPa",
    Quantity.BOOST_TARGET: "kPa",
    Quantity.MANIFOLD_PRESSURE: "kPa",
    Quantity.BAROMETRIC_PRESSURE: "kPa",
    Quantity.IGNITION_TIMING: "deg",
    Quantity.IGNITION_TARGET: "deg",
    Quantity.KNOCK_RETARD: "deg",
    Quantity.KNOCK_LEVEL: "V",
    Quantity.INTAKE_AIR_TEMPERATURE: "degC",
    Quantity.CHARGE_AIR_TEMPERATURE: "degC",
    Quantity.COMPRESSOR_OUTLET_TEMPERATURE: "degC",
    Quantity.AMBIENT_TEMPERATURE: "degC",
    Quantity.RELATIVE_HUMIDITY: "%",
    Quantity.COOLANT_TEMPERATURE: "degC",
    Quantity.OIL_TEMPERATURE: "degC",
    Quantity.OIL_PRESSURE: "kPa",
    Quantity.EXHAUST_GAS_TEMPERATURE: "degC",
    Quantity.FUEL_PRESSURE_LOW: "kPa",
    Quantity.FUEL_PRESSURE_LOW_TARGET: "kPa",
    Quantity.FUEL_PRESSURE_HIGH: "kPa",
    Quantity.FUEL_PRESSURE_HIGH_TARGET: "kPa",
    Quantity.INJECTOR_DUTY: "%",
    Quantity.LAMBDA: "1",
    Quantity.LAMBDA_TARGET: "1",
    Quantity.FUEL_TRIM_SHORT: "%",
    Quantity.FUEL_TRIM_LONG: "%",
    Quantity.AIR_MASS_FLOW: "g/s",
    Quantity.WASTEGATE_DUTY: "%",
    Quantity.TURBO_SPEED: "rpm",
    Quantity.ENGINE_TORQUE: "Nm",
    Quantity.TORQUE_REQUEST: "Nm",
    Quantity.VEHICLE_SPEED: "km/h",
    Quantity.ROLLER_SPEED: "km/h",
    Quantity.ROLLER_TORQUE: "Nm",
    Quantity.WHEEL_TORQUE: "Nm",
    Quantity.WHEEL_POWER: "kW",
    Quantity.GEAR: "1",
    Quantity.BATTERY_VOLTAGE: "V",
    Quantity.MISFIRE_COUNT: "1",
}
