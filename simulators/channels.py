"""Which channels a car and a dyno send, how often, how finely and how noisily."""

from dataclasses import dataclass, replace
from typing import Final

from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel
from simulators.car import CarModel

Q = Quantity


@dataclass(frozen=True, slots=True)
class ChannelSpec:
    """name: also that of the signal in the trace, unless signal names another. noise: standard
    deviation. resolution: the step values are rounded to. lag_s: of the sensor, first order."""

    name: str
    quantity: Quantity
    rate_hz: float
    source: str = "engine"
    noise: float = 0.0
    resolution: float = 0.0
    lag_s: float = 0.0
    cylinder: int | None = None
    signal: str = ""
    full_scale: float | None = None
    jitter_s: float = 0.0005

    @property
    def channel(self) -> Channel:
        """What the map would say of it."""
        return Channel(
            self.name,
            HOUSE_UNIT[self.quantity],
            self.quantity,
            self.cylinder,
            self.source,
            self.full_scale,
        )


# quantity, rate, noise, resolution, lag: what a production ECU's sensors and messages are like
_Row = tuple[Quantity, float, float, float, float]
_ENGINE: Final[tuple[_Row, ...]] = (
    (Q.ENGINE_SPEED, 100.0, 2.0, 0.25, 0.0),
    (Q.PEDAL_POSITION, 50.0, 0.0, 0.4, 0.0),
    (Q.THROTTLE_POSITION, 50.0, 0.1, 0.1, 0.0),
    (Q.MANIFOLD_PRESSURE, 100.0, 0.5, 0.1, 0.01),
    (Q.BAROMETRIC_PRESSURE, 2.0, 0.02, 0.1, 0.0),
    (Q.IGNITION_TIMING, 50.0, 0.0, 0.25, 0.0),
    (Q.IGNITION_TARGET, 50.0, 0.0, 0.25, 0.0),
    (Q.INTAKE_AIR_TEMPERATURE, 10.0, 0.05, 0.5, 2.0),
    (Q.COOLANT_TEMPERATURE, 5.0, 0.05, 0.5, 3.0),
    (Q.OIL_TEMPERATURE, 5.0, 0.05, 0.5, 3.0),
    (Q.OIL_PRESSURE, 10.0, 3.0, 1.0, 0.05),
    (Q.EXHAUST_GAS_TEMPERATURE, 10.0, 0.8, 1.0, 0.0),
    (Q.FUEL_PRESSURE_LOW, 20.0, 2.0, 1.0, 0.02),
    (Q.FUEL_PRESSURE_LOW_TARGET, 10.0, 0.0, 1.0, 0.0),
    (Q.INJECTOR_DUTY, 50.0, 0.2, 0.1, 0.0),
    (Q.LAMBDA_TARGET, 20.0, 0.0, 0.001, 0.0),
    (Q.FUEL_TRIM_SHORT, 20.0, 0.0, 0.1, 0.0),
    (Q.FUEL_TRIM_LONG, 10.0, 0.0, 0.1, 0.0),
    (Q.AIR_MASS_FLOW, 50.0, 0.3, 0.05, 0.03),
    (Q.ENGINE_TORQUE, 50.0, 0.5, 0.5, 0.0),
    (Q.TORQUE_REQUEST, 50.0, 0.0, 0.5, 0.0),
    (Q.VEHICLE_SPEED, 20.0, 0.02, 0.05, 0.0),
    (Q.GEAR, 10.0, 0.0, 1.0, 0.0),
    (Q.BATTERY_VOLTAGE, 10.0, 0.03, 0.05, 0.0),
    (Q.MISFIRE_COUNT, 10.0, 0.0, 1.0, 0.0),
)
_TURBO: Final = (
    (Q.BOOST_PRESSURE, 100.0, 0.5, 0.1, 0.01),
    (Q.BOOST_TARGET, 50.0, 0.0, 0.1, 0.0),
    (Q.CHARGE_AIR_TEMPERATURE, 10.0, 0.05, 0.5, 0.8),
    (Q.COMPRESSOR_OUTLET_TEMPERATURE, 10.0, 0.1, 0.5, 0.8),
    (Q.WASTEGATE_DUTY, 50.0, 0.0, 0.4, 0.0),
    (Q.TURBO_SPEED, 50.0, 300.0, 10.0, 0.0),
)
_SPARK: Final = ((Q.KNOCK_LEVEL, 50.0, 0.02, 0.01, 0.0),)
_DIRECT: Final = (
    (Q.FUEL_PRESSURE_HIGH, 50.0, 40.0, 10.0, 0.01),
    (Q.FUEL_PRESSURE_HIGH_TARGET, 50.0, 0.0, 10.0, 0.0),
)
_DYNO: Final = (
    (Q.ROLLER_SPEED, 50.0, 0.008, 0.001, 0.0),
    (Q.ROLLER_TORQUE, 50.0, 1.0, 0.05, 0.0),
    (Q.AMBIENT_TEMPERATURE, 1.0, 0.05, 0.1, 0.0),
    (Q.RELATIVE_HUMIDITY, 1.0, 0.2, 0.1, 0.0),
)
KNOCK_RATE_HZ: Final = 50.0
KNOCK_RESOLUTION_DEG: Final = 0.375


def default_channels(car: CarModel, on_dyno: bool = True) -> tuple[ChannelSpec, ...]:
    """All that this car has, at the rates of a chatty bus; the dyno's and a wideband lambda."""
    rows = _ENGINE
    rows += _TURBO if car.turbo else ()
    rows += () if car.diesel else _SPARK
    rows += _DIRECT if car.fuel.direct else ()
    specs = [
        ChannelSpec(q.value, q, rate, "engine", noise, step, lag)
        for q, rate, noise, step, lag in rows
    ]
    if car.diesel:
        spark_only = (Q.IGNITION_TIMING, Q.IGNITION_TARGET)
        specs = [spec for spec in specs if spec.quantity not in spark_only]
    else:
        specs += [_retard(cylinder) for cylinder in range(1, car.engine.cylinders + 1)]
    specs.append(ChannelSpec("lambda", Q.LAMBDA, 20.0, "lambda", 0.002, 0.001, 0.05))
    if on_dyno:
        specs += [ChannelSpec(q.value, q, r, "dyno", n, s, lag) for q, r, n, s, lag in _DYNO]
    full = car.engine.throttle_full_raw_percent
    return tuple(
        replace(spec, full_scale=full) if spec.quantity is Q.THROTTLE_POSITION else spec
        for spec in specs
    )


def at_rate(specs: tuple[ChannelSpec, ...], engine_hz: float) -> tuple[ChannelSpec, ...]:
    """The same channels with every engine channel at one rate, as a poor logger has them."""
    return tuple(
        replace(spec, rate_hz=engine_hz, jitter_s=0.1 / engine_hz)
        if spec.source == "engine"
        else spec
        for spec in specs
    )


def without(specs: tuple[ChannelSpec, ...], *quantities: Quantity) -> tuple[ChannelSpec, ...]:
    """The same channels but for some."""
    return tuple(spec for spec in specs if spec.quantity not in quantities)


def _retard(cylinder: int) -> ChannelSpec:
    return ChannelSpec(
        f"knock_retard_{cylinder}",
        Q.KNOCK_RETARD,
        KNOCK_RATE_HZ,
        resolution=KNOCK_RESOLUTION_DEG,
        cylinder=cylinder,
    )
