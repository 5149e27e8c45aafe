"""Pulls built by hand from plain numbers: a healthy small turbocharged car, with changes.

Every channel is a function of time or engine speed, so a test states the trouble it plants and
knows where and how deep it is.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from analysis.model.pull import AFTER_S, BEFORE_S, EndReason, Pull, PullBounds
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, FloatArray, Samples

Shape = Callable[[FloatArray, FloatArray], FloatArray]  # of (time_s, engine speed rpm)


def steady(value: float) -> Shape:
    """The same value all the way."""
    return lambda time_s, rpm: np.full(len(time_s), value)


def by_rpm(*points: tuple[float, float]) -> Shape:
    """Linear between (engine speed rpm, value) points."""
    speeds, values = zip(*points, strict=True)
    return lambda time_s, rpm: np.interp(rpm, speeds, values)


@dataclass(frozen=True)
class Sweep:
    """Held at start_rpm for BEFORE_S, then a straight sweep, then a lift."""

    start_rpm: float = 1500.0
    end_rpm: float = 6500.0
    duration_s: float = 10.0
    rate_hz: float = 50.0
    seed: int = 1
    full_open: float = 100.0
    complete: bool = True
    noise: Mapping[Quantity, float] = field(
        default_factory=lambda: {
            Quantity.ENGINE_SPEED: 4.0,
            Quantity.BOOST_PRESSURE: 1.0,
            Quantity.LAMBDA: 0.004,
            Quantity.AIR_MASS_FLOW: 0.5,
            Quantity.ROLLER_SPEED: 0.05,
            Quantity.FUEL_PRESSURE_HIGH: 60.0,
        }
    )

    def time_s(self, rate_hz: float | None = None) -> FloatArray:
        """Session time of the samples, float64[n]."""
        return np.arange(0.0, BEFORE_S + self.duration_s + AFTER_S, 1.0 / (rate_hz or self.rate_hz))

    def rpm(self, time_s: FloatArray) -> FloatArray:
        """True engine speed at those times."""
        swept = np.clip((time_s - BEFORE_S) / self.duration_s, 0.0, 1.0)
        lifted = np.maximum(time_s - BEFORE_S - self.duration_s, 0.0)
        return self.start_rpm + (self.end_rpm - self.start_rpm) * swept - 1500.0 * lifted

    def at_rpm(self, rpm: float) -> float:
        """When the sweep passes an engine speed."""
        return BEFORE_S + self.duration_s * (rpm - self.start_rpm) / (self.end_rpm - self.start_rpm)

    def pull(self, channels: Mapping[str, tuple[Channel, Samples]]) -> Pull:
        """The channels as a pull."""
        return Pull(
            number=1,
            bounds=PullBounds(
                start_s=BEFORE_S,
                end_s=BEFORE_S + self.duration_s,
                start_rpm=self.start_rpm,
                end_rpm=self.end_rpm,
                complete=self.complete,
                end_reason=EndReason.LIFT,
                intent=Quantity.PEDAL_POSITION,
                full_open=self.full_open,
            ),
            channels={name: channel for name, (channel, _) in channels.items()},
            samples={name: samples for name, (_, samples) in channels.items()},
        )


HEALTHY: dict[str, tuple[Quantity, Shape]] = {
    "engine_speed": (Quantity.ENGINE_SPEED, lambda time_s, rpm: rpm),
    "pedal": (Quantity.PEDAL_POSITION, lambda t, rpm: np.where(t < 13.0, 100.0, 0.0)),
    "throttle": (Quantity.THROTTLE_POSITION, lambda t, rpm: np.where(t < 13.05, 88.0, 3.0)),
    "boost": (Quantity.BOOST_PRESSURE, by_rpm((1500, 60), (2800, 130), (6500, 55))),
    "boost_target": (Quantity.BOOST_TARGET, by_rpm((1500, 60), (2800, 130), (6500, 55))),
    "barometric": (Quantity.BAROMETRIC_PRESSURE, steady(98.0)),
    "wastegate": (Quantity.WASTEGATE_DUTY, steady(45.0)),
    "intake": (Quantity.INTAKE_AIR_TEMPERATURE, by_rpm((1500, 30), (6500, 34))),
    "charge": (Quantity.CHARGE_AIR_TEMPERATURE, by_rpm((1500, 35), (6500, 42))),
    "ambient": (Quantity.AMBIENT_TEMPERATURE, steady(25.0)),
    "rail": (Quantity.FUEL_PRESSURE_HIGH, steady(20_000.0)),
    "rail_target": (Quantity.FUEL_PRESSURE_HIGH_TARGET, steady(20_000.0)),
    "low_side": (Quantity.FUEL_PRESSURE_LOW, steady(500.0)),
    "low_side_target": (Quantity.FUEL_PRESSURE_LOW_TARGET, steady(500.0)),
    "injector": (Quantity.INJECTOR_DUTY, by_rpm((1500, 40), (6500, 72))),
    "lambda": (Quantity.LAMBDA, by_rpm((1500, 0.92), (6500, 0.84))),
    "lambda_target": (Quantity.LAMBDA_TARGET, by_rpm((1500, 0.92), (6500, 0.84))),
    "coolant": (Quantity.COOLANT_TEMPERATURE, by_rpm((1500, 90), (6500, 94))),
    "oil": (Quantity.OIL_TEMPERATURE, by_rpm((1500, 95), (6500, 102))),
    "exhaust": (Quantity.EXHAUST_GAS_TEMPERATURE, by_rpm((1500, 700), (6500, 910))),
    "oil_pressure": (Quantity.OIL_PRESSURE, by_rpm((1500, 220), (6500, 430))),
    "roller": (Quantity.ROLLER_SPEED, lambda time_s, rpm: rpm / 32.5),
    "wheels": (Quantity.VEHICLE_SPEED, lambda time_s, rpm: rpm / 33.0),
    "retard_1": (Quantity.KNOCK_RETARD, steady(0.0)),
    "retard_2": (Quantity.KNOCK_RETARD, steady(0.0)),
    "retard_3": (Quantity.KNOCK_RETARD, steady(0.0)),
    "retard_4": (Quantity.KNOCK_RETARD, steady(0.0)),
    "misfires": (Quantity.MISFIRE_COUNT, steady(0.0)),
}
ON_THE_DYNO = {"roller", "ambient"}


def engine_pull(
    changed: Mapping[str, Shape] | None = None,
    without: tuple[str, ...] = (),
    sweep: Sweep | None = None,
    rates_hz: Mapping[str, float] | None = None,
) -> Pull:
    """The healthy pull with some channels changed, left out, or at another rate."""
    sweep, changed, rates_hz = sweep or Sweep(), changed or {}, rates_hz or {}
    chance = np.random.default_rng(sweep.seed)
    channels = {}
    for name, (quantity, healthy) in HEALTHY.items():
        if name in without:
            continue
        time_s = sweep.time_s(rates_hz.get(name))
        value = changed.get(name, healthy)(time_s, sweep.rpm(time_s))
        value = value + chance.normal(0.0, sweep.noise.get(quantity, 0.0), len(time_s))
        cylinder = int(name[-1]) if name.startswith("retard_") else None
        source = "dyno" if name in ON_THE_DYNO else "engine"
        channel = Channel(name, HOUSE_UNIT[quantity], quantity, cylinder, source)
        channels[name] = (channel, Samples(time_s, value))
    return sweep.pull(channels)


def staircase(starts_s: tuple[float, ...], step: float = 3.0, per_s: float = 1.25) -> Shape:
    """Knock control: at each time `step` degrees away, given back in steps of 0.75."""

    def shape(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        value = np.zeros(len(time_s))
        for index in range(1, len(time_s)):
            now = value[index - 1]
            waited = int(time_s[index] * per_s / 0.75) != int(time_s[index - 1] * per_s / 0.75)
            now = max(now - 0.75, 0.0) if waited else now
            knocked = any(time_s[index - 1] < s <= time_s[index] for s in starts_s)
            value[index] = now + step if knocked else now
        return value

    return shape
