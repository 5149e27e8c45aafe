"""Ready for a pull? What pullwatch can see itself, and what the operator must look at.

It guides and never holds a pull back.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any, Final

import numpy as np

from analysis.limits import COMMON_PRACTICE, Limit, Limits
from analysis.pull import finite
from decode.quantities import Quantity
from decode.samples import Channel, SampleBatch, Samples

LOOK_BACK_S: Final = 10.0  # of samples are judged: a temperature that is stable so long is settled
MOVING_RPM: Final = 1200.0  # above idle; with MOVING_KMH the car is in gear ...
MOVING_KMH: Final = 10.0  # ... and the wheels turn the roller
FEWEST: Final = 5  # samples in which a rate or a ratio can be seen


def _limit(name: str, value: float, unit: str, meaning: str) -> Limit:
    return Limit(f"readiness.{name}", value, unit, COMMON_PRACTICE, meaning)


LIMITS: Final[tuple[Limit, ...]] = (
    _limit("coolant_low", 75.0, "degC", "Below it the engine is cold."),
    _limit("coolant_high", 100.0, "degC", "Above it, cool down first."),
    _limit("oil_low", 70.0, "degC", "Below it the oil is thick."),
    _limit("oil_high", 120.0, "degC", "Above it, cool down first."),
    _limit("intake_drift", 3.0, "degC", "More change in ten seconds: the intake air still moves."),
    _limit("charge_air_over_ambient", 20.0, "degC", "Above it the charge cooler is heat-soaked."),
    _limit("battery_low", 12.5, "V", "Below it the alternator is off or weak."),
    _limit("rate_share", 0.8, "1", "Share of its wanted rate a channel must come at."),
    _limit("ratio_spread", 0.03, "1", "More scatter of engine over roller speed: slip or clocks."),
)

CHECKLIST: Final[tuple[str, ...]] = (  # the station file may name others
    "Oil, coolant and fuel levels looked at, no leaks",
    "Car strapped down, straps tight, wheels straight",
    "Tyres: pressure, condition, no stones, rated for the speed",
    "Exhaust extraction on, cell aired",
    "Cooling fan on and in front of the cooler",
    "Fire extinguisher at hand, nobody beside the rollers",
)


class State(StrEnum):
    """One line of the list."""

    READY = "ready"
    WAIT = "wait"
    UNKNOWN = "unknown"  # no channel says; look yourself


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that was looked at."""

    name: str
    state: State
    words: str
    value: float | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Readiness:
    """ready: nothing has to be waited for; what no channel says does not hinder."""

    ready: bool
    reasons: tuple[str, ...]
    items: tuple[Item, ...]
    checklist: tuple[str, ...] = CHECKLIST

    def to_json(self) -> dict[str, Any]:
        """Plain data; recorded with the job."""
        return asdict(self)


@dataclass(frozen=True, slots=True)
class Recent:
    """The samples of the last LOOK_BACK_S by channel. wanted_hz: the rate each must come at."""

    channels: Mapping[str, Channel]
    samples: SampleBatch
    now_s: float
    wanted_hz: Mapping[str, float]

    def of(self, quantity: Quantity) -> Samples | None:
        """The first channel of a quantity with known values."""
        for name, channel in self.channels.items():
            if channel.quantity is quantity and name in self.samples:
                samples = finite(self.samples[name])
                samples = samples.between(self.now_s - LOOK_BACK_S, np.inf)
                if len(samples):
                    return samples
        return None

    def last(self, quantity: Quantity) -> float | None:
        """Its newest value."""
        samples = self.of(quantity)
        return None if samples is None else float(samples.value[-1])


def assess(recent: Recent, limits: Limits, checklist: Sequence[str] = CHECKLIST) -> Readiness:
    """Judge everything. limits must contain LIMITS by name."""
    items = tuple(judge(recent, limits) for judge in _JUDGES)
    reasons = tuple(f"{i.name}: {i.words}" for i in items if i.state is State.WAIT)
    return Readiness(not reasons, reasons, items, tuple(checklist))


def _within(
    name: str, value: float | None, low: Limit | None, high: Limit | None, unit: str
) -> Item:
    if value is None:
        return Item(name, State.UNKNOWN, "no channel")
    if low is not None and value < low.value:
        words = f"{value:.4g} {unit}, below {low.value:.4g} {unit}"
        return Item(name, State.WAIT, words, value, unit)
    if high is not None and value > high.value:
        words = f"{value:.4g} {unit}, above {high.value:.4g} {unit}"
        return Item(name, State.WAIT, words, value, unit)
    return Item(name, State.READY, f"{value:.4g} {unit}", value, unit)


def _coolant(recent: Recent, limits: Limits) -> Item:
    low, high = limits["readiness.coolant_low"], limits["readiness.coolant_high"]
    return _within("Coolant", recent.last(Quantity.COOLANT_TEMPERATURE), low, high, "degC")


def _oil(recent: Recent, limits: Limits) -> Item:
    low, high = limits["readiness.oil_low"], limits["readiness.oil_high"]
    return _within("Oil", recent.last(Quantity.OIL_TEMPERATURE), low, high, "degC")


def _battery(recent: Recent, limits: Limits) -> Item:
    value = recent.last(Quantity.BATTERY_VOLTAGE)
    return _within("Battery", value, limits["readiness.battery_low"], None, "V")


def _intake_stable(recent: Recent, limits: Limits) -> Item:
    samples = recent.of(Quantity.INTAKE_AIR_TEMPERATURE)
    drift = None if samples is None else float(np.ptp(samples.value))
    return _within("Intake air drift", drift, None, limits["readiness.intake_drift"], "degC")


def _heat_soak(recent: Recent, limits: Limits) -> Item:
    """Charge air against ambient, or against the intake where ambient is unknown."""
    charge = recent.last(Quantity.CHARGE_AIR_TEMPERATURE)
    ambient = recent.last(Quantity.AMBIENT_TEMPERATURE)
    if ambient is None:
        ambient = recent.last(Quantity.INTAKE_AIR_TEMPERATURE)
    over = None if charge is None or ambient is None else charge - ambient
    limit = limits["readiness.charge_air_over_ambient"]
    return _within("Charge air over ambient", over, None, limit, "degC")


def _channels_alive(recent: Recent, limits: Limits) -> Item:
    """Every wanted channel speaks at its rate."""
    share = limits["readiness.rate_share"].value
    bad = [
        f"{name} at {rate:.3g} instead of {wanted:.3g} Hz"
        for name, wanted in recent.wanted_hz.items()
        if (rate := _rate_hz(recent.samples.get(name), recent.now_s)) < share * wanted
    ]
    if not recent.wanted_hz:
        return Item("Channels", State.UNKNOWN, "no rates are wanted")
    if bad:
        return Item("Channels", State.WAIT, ", ".join(bad))
    return Item("Channels", State.READY, f"all {len(recent.wanted_hz)} at their rates")


def _rate_hz(samples: Samples | None, now_s: float) -> float:
    if samples is None:
        return 0.0
    heard = samples.between(now_s - LOOK_BACK_S, np.inf).time_s
    if not len(heard):
        return 0.0
    return len(heard) / min(LOOK_BACK_S, max(now_s - float(heard[0]), 1e-3))


def _roller_follows(recent: Recent, limits: Limits) -> Item:
    """In gear the engine turns the roller at one ratio."""
    name = "Roller and engine speed"
    engine, roller = recent.of(Quantity.ENGINE_SPEED), recent.of(Quantity.ROLLER_SPEED)
    if engine is None or roller is None:
        return Item(name, State.UNKNOWN, "no channel")
    rpm = np.interp(roller.time_s, engine.time_s, engine.value)
    moving = (rpm > MOVING_RPM) & (roller.value > MOVING_KMH)
    if np.count_nonzero(moving) < FEWEST:
        return Item(name, State.UNKNOWN, "not moving in gear")
    ratio = rpm[moving] / roller.value[moving]
    spread = float(np.std(ratio) / np.mean(ratio))
    item = _within(name, spread, None, limits["readiness.ratio_spread"], "")
    words = f"ratio scatters by {100.0 * spread:.1f} %"
    return Item(name, item.state, words, spread, "1")


_JUDGES: Final[tuple[Callable[[Recent, Limits], Item], ...]] = (
    _coolant,
    _oil,
    _intake_stable,
    _heat_soak,
    _battery,
    _channels_alive,
    _roller_follows,
)
