"""What each quantity can be at all: a value outside was never measured in an engine's life.

Wide on purpose: not limits of health, only of physics and of what sensors can say. All of them
common practice, no published source, except absolute zero pressure and 0 to 100 %.
"""

from typing import Final

from decode.quantities import Quantity

POSSIBLE: Final[dict[Quantity, tuple[float, float]]] = {
    Quantity.ENGINE_SPEED: (0.0, 20_000.0),
    Quantity.PEDAL_POSITION: (-2.0, 130.0),  # some pedals count beyond their stop (kickdown)
    Quantity.THROTTLE_POSITION: (-5.0, 110.0),
    Quantity.BOOST_PRESSURE: (-105.0, 500.0),
    Quantity.BOOST_TARGET: (-105.0, 500.0),
    Quantity.MANIFOLD_PRESSURE: (0.0, 600.0),
    Quantity.BAROMETRIC_PRESSURE: (50.0, 110.0),  # 5,500 m of altitude to a record high
    Quantity.IGNITION_TIMING: (-60.0, 80.0),
    Quantity.IGNITION_TARGET: (-60.0, 80.0),
    Quantity.KNOCK_RETARD: (-1.0, 40.0),
    Quantity.INTAKE_AIR_TEMPERATURE: (-45.0, 150.0),
    Quantity.CHARGE_AIR_TEMPERATURE: (-45.0, 200.0),
    Quantity.COMPRESSOR_OUTLET_TEMPERATURE: (-45.0, 350.0),
    Quantity.AMBIENT_TEMPERATURE: (-45.0, 60.0),
    Quantity.RELATIVE_HUMIDITY: (0.0, 101.0),
    Quantity.COOLANT_TEMPERATURE: (-45.0, 150.0),
    Quantity.OIL_TEMPERATURE: (-45.0, 200.0),
    Quantity.OIL_PRESSURE: (-20.0, 1_500.0),
    Quantity.EXHAUST_GAS_TEMPERATURE: (-45.0, 1_300.0),
    Quantity.FUEL_PRESSURE_LOW: (-20.0, 1_500.0),
    Quantity.FUEL_PRESSURE_HIGH: (-20.0, 300_000.0),
    Quantity.INJECTOR_DUTY: (-1.0, 200.0),  # over 100 % where a controller computes it
    Quantity.LAMBDA: (0.4, 40.0),  # air reads very high on overrun
    Quantity.LAMBDA_TARGET: (0.4, 40.0),
    Quantity.FUEL_TRIM_SHORT: (-100.0, 100.0),
    Quantity.FUEL_TRIM_LONG: (-100.0, 100.0),
    Quantity.AIR_MASS_FLOW: (-20.0, 1_500.0),
    Quantity.WASTEGATE_DUTY: (-5.0, 105.0),
    Quantity.TURBO_SPEED: (0.0, 400_000.0),
    Quantity.VEHICLE_SPEED: (-5.0, 450.0),
    Quantity.ROLLER_SPEED: (-5.0, 450.0),
    Quantity.BATTERY_VOLTAGE: (0.0, 60.0),
}

ALWAYS_MOVING: Final = frozenset(
    {
        Quantity.ENGINE_SPEED,
        Quantity.MANIFOLD_PRESSURE,
        Quantity.BOOST_PRESSURE,
        Quantity.AIR_MASS_FLOW,
        Quantity.ROLLER_SPEED,
        Quantity.VEHICLE_SPEED,
        Quantity.WHEEL_POWER,
        Quantity.EXHAUST_GAS_TEMPERATURE,
        Quantity.FUEL_PRESSURE_HIGH,
        Quantity.LAMBDA,
        Quantity.TURBO_SPEED,
    }
)  # cannot stand perfectly still while an engine sweeps through its range

SLOW: Final = frozenset(
    {
        Quantity.BAROMETRIC_PRESSURE,
        Quantity.AMBIENT_TEMPERATURE,
        Quantity.RELATIVE_HUMIDITY,
        Quantity.COOLANT_TEMPERATURE,
        Quantity.OIL_TEMPERATURE,
        Quantity.INTAKE_AIR_TEMPERATURE,
        Quantity.CHARGE_AIR_TEMPERATURE,
        Quantity.FUEL_TRIM_LONG,
        Quantity.BATTERY_VOLTAGE,
        Quantity.GEAR,
        Quantity.MISFIRE_COUNT,
    }
)  # a few values in a pull say all there is
