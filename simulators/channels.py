"""Which channels a car and a dyno send, how often, how finely and how noisily."""

from dataclasses import dataclass, replace
from typing import Final, NamedTuple

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


class _Sensor(NamedTuple):
    """One line of the tables below, see ChannelSpec; noise and resolution in the house unit."""

    quantity: Quantity
    rate_hz: float
    noise: float = 0.0
    resolution: float = 0.0
    lag_s: float = 0.0

    def spec(self, source: str) -> ChannelSpec:
        """The channel that carries its quantity's name."""
        return ChannelSpec(
            self.quantity.value,
            self.quantity,
            self.rate_hz,
            source,
            noise=self.noise,
            resolution=self.resolution,
            lag_s=self.lag_s,
        )


# What a production ECU's sensors and messages are like, set by hand; no published source.
_ENGINE: Final = (
    _Sensor(Q.ENGINE_SPEED, rate_hz=100.0, noise=2.0, resolution=0.25),
    _Sensor(Q.PEDAL_POSITION, rate_hz=50.0, resolution=0.4),
    _Sensor(Q.THROTTLE_POSITION, rate_hz=50.0, noise=0.1, resolution=0.1),
    _Sensor(Q.MANIFOLD_PRESSURE, rate_hz=100.0, noise=0.5, resolution=0.1, lag_s=0.01),
    _Sensor(Q.BAROMETRIC_PRESSURE, rate_hz=2.0, noise=0.02, resolution=0.1),
    _Sensor(Q.IGNITION_TIMING, rate_hz=50.0, resolution=0.25),
    _Sensor(Q.IGNITION_TARGET, rate_hz=50.0, resolution=0.25),
    _Sensor(Q.INTAKE_AIR_TEMPERATURE, rate_hz=10.0, noise=0.05, resolution=0.5, lag_s=2.0),
    _Sensor(Q.COOLANT_TEMPERATURE, rate_hz=5.0, noise=0.05, resolution=0.5, lag_s=3.0),
    _Sensor(Q.OIL_TEMPERATURE, rate_hz=5.0, noise=0.05, resolution=0.5, lag_s=3.0),
    _Sensor(Q.OIL_PRESSURE, rate_hz=10.0, noise=3.0, resolution=1.0, lag_s=0.05),
    _Sensor(Q.EXHAUST_GAS_TEMPERATURE, rate_hz=10.0, noise=0.8, resolution=1.0),
    _Sensor(Q.FUEL_PRESSURE_LOW, rate_hz=20.0, noise=2.0, resolution=1.0, lag_s=0.02),
    _Sensor(Q.FUEL_PRESSURE_LOW_TARGET, rate_hz=10.0, resolution=1.0),
    _Sensor(Q.INJECTOR_DUTY, rate_hz=50.0, noise=0.2, resolution=0.1),
    _Sensor(Q.LAMBDA_TARGET, rate_hz=20.0, resolution=0.001),
    _Sensor(Q.FUEL_TRIM_SHORT, rate_hz=20.0, resolution=0.1),
    _Sensor(Q.FUEL_TRIM_LONG, rate_hz=10.0, resolution=0.1),
    _Sensor(Q.AIR_MASS_FLOW, rate_hz=50.0, noise=0.3, resolution=0.05, lag_s=0.03),
    _Sensor(Q.ENGINE_TORQUE, rate_hz=50.0, noise=0.5, resolution=0.5),
    _Sensor(Q.TORQUE_REQUEST, rate_hz=50.0, resolution=0.5),
    _Sensor(Q.VEHICLE_SPEED, rate_hz=20.0, noise=0.02, resolution=0.05),
    _Sensor(Q.GEAR, rate_hz=10.0, resolution=1.0),
    _Sensor(Q.BATTERY_VOLTAGE, rate_hz=10.0, noise=0.03, resolution=0.05),
    _Sensor(Q.MISFIRE_COUNT, rate_hz=10.0, resolution=1.0),
)
_TURBO: Final = (
    _Sensor(Q.BOOST_PRESSURE, rate_hz=100.0, noise=0.5, resolution=0.1, lag_s=0.01),
    _Sensor(Q.BOOST_TARGET, rate_hz=50.0, resolution=0.1),
    _Sensor(Q.CHARGE_AIR_TEMPERATURE, rate_hz=10.0, noise=0.05, resolution=0.5, lag_s=0.8),
    _Sensor(Q.COMPRESSOR_OUTLET_TEMPERATURE, rate_hz=10.0, noise=0.1, resolution=0.5, lag_s=0.8),
    _Sensor(Q.WASTEGATE_DUTY, rate_hz=50.0, resolution=0.4),
    _Sensor(Q.TURBO_SPEED, rate_hz=50.0, noise=300.0, resolution=10.0),
)
_SPARK: Final = (_Sensor(Q.KNOCK_LEVEL, rate_hz=50.0, noise=0.02, resolution=0.01),)
_DIRECT: Final = (
    _Sensor(Q.FUEL_PRESSURE_HIGH, rate_hz=50.0, noise=40.0, resolution=10.0, lag_s=0.01),
    _Sensor(Q.FUEL_PRESSURE_HIGH_TARGET, rate_hz=50.0, resolution=10.0),
)
_DYNO: Final = (
    _Sensor(Q.ROLLER_SPEED, rate_hz=50.0, noise=0.008, resolution=0.001),
    _Sensor(Q.ROLLER_TORQUE, rate_hz=50.0, noise=1.0, resolution=0.05),
    _Sensor(Q.AMBIENT_TEMPERATURE, rate_hz=1.0, noise=0.05, resolution=0.1),
    _Sensor(Q.RELATIVE_HUMIDITY, rate_hz=1.0, noise=0.2, resolution=0.1),
)
KNOCK_RATE_HZ: Final = 50.0
KNOCK_RESOLUTION_DEG: Final = 0.375


def default_channels(car: CarModel, on_dyno: bool = True) -> tuple[ChannelSpec, ...]:
    """All that this car has, at the rates of a chatty bus; the dyno's and a wideband lambda."""
    sensors = [*_ENGINE]
    sensors += _TURBO if car.turbo else ()
    sensors += () if car.diesel else _SPARK
    sensors += _DIRECT if car.fuel.direct else ()
    specs = [sensor.spec("engine") for sensor in sensors]
    if car.diesel:
        spark_only = (Q.IGNITION_TIMING, Q.IGNITION_TARGET)
        specs = [spec for spec in specs if spec.quantity not in spark_only]
    else:
        specs += [_retard(cylinder) for cylinder in range(1, car.engine.cylinders + 1)]
    wideband = _Sensor(Q.LAMBDA, rate_hz=20.0, noise=0.002, resolution=0.001, lag_s=0.05)
    specs.append(wideband.spec("lambda"))
    if on_dyno:
        specs += [sensor.spec("dyno") for sensor in _DYNO]
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
