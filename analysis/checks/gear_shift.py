"""Where the gear changes: torque, timing, throttle and boost dip there, and mean nothing.

An automatic gearbox asks for less torque while its clutches change over. What a pull shows in those
tenths of a second is no closure, no intervention, no misfire and no slip.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from analysis.checks.stretches import at, held_at
from analysis.model.pull import EndReason, Pull
from decode.cadence import period_s
from decode.quantities import Quantity
from decode.samples import Samples

BEFORE_S: Final = 0.3  # torque is taken back before the speed shows it, and channels come late
AFTER_S: Final = 0.5  # until boost and timing are where they were
LOOK_BACK_S: Final = 1.5  # before a sweep: a shift further back touches nothing in it
FALL_SHARE: Final = 0.08  # of the engine's speed: the closest gears part it by more
FALL_S: Final = 0.6  # within which a shift under load is done
STEP_SHARE: Final = 0.12  # of engine over wheel speed: a converter that locks changes it by less
STEP_WITHIN_S: Final = 1.2  # be it between two readings
ROLLING_KM_H: Final = 20.0  # below this a step of the speed is several per cent
FULL_PEDAL: Final = 0.9  # of the highest reading: a lift lets the speed fall too
STEP_S: Final = 0.05

# What goes on through a shift: speeds, the driver's foot, and what changes over minutes.
GOES_ON: Final = frozenset(
    {
        Quantity.ENGINE_SPEED,
        Quantity.VEHICLE_SPEED,
        Quantity.ROLLER_SPEED,
        Quantity.PEDAL_POSITION,
        Quantity.GEAR,
        Quantity.BAROMETRIC_PRESSURE,
        Quantity.AMBIENT_TEMPERATURE,
        Quantity.RELATIVE_HUMIDITY,
        Quantity.COOLANT_TEMPERATURE,
        Quantity.OIL_TEMPERATURE,
        Quantity.BATTERY_VOLTAGE,
        Quantity.MISFIRE_COUNT,
    }
)


@dataclass(frozen=True, slots=True)
class Shift:
    """A change of gear, with the moments around it that are not the engine's own."""

    start_s: float
    end_s: float

    def without(self, samples: Samples) -> Samples:
        """The samples outside it."""
        outside = (samples.time_s < self.start_s) | (samples.time_s > self.end_s)
        return Samples(samples.time_s[outside], samples.value[outside])


def shifts(pull: Pull) -> list[Shift]:
    """Every change of gear in the sweep or just before it, joined where they touch."""
    bounds = pull.bounds
    moments = [(t, t) for t in _changes_of_gear(pull)]
    moments += _falls_of_speed(pull) + _steps_of_ratio(pull)
    if bounds.end_reason is EndReason.GEAR_CHANGE:
        moments.append((bounds.end_s, bounds.end_s + FALL_S))
    found: list[Shift] = []
    for first_s, last_s in sorted(moments):
        shift = Shift(first_s - BEFORE_S, last_s + AFTER_S)
        if shift.end_s <= bounds.start_s or shift.start_s >= bounds.end_s:
            continue
        if found and shift.start_s <= found[-1].end_s:
            before = found.pop()
            shift = Shift(before.start_s, max(before.end_s, shift.end_s))
        found.append(shift)
    return found


def without_shifts(pull: Pull) -> Pull:
    """The pull without what its channels showed while the gear changed; speeds stay."""
    found = shifts(pull)
    if not found:
        return pull
    samples = dict(pull.samples)
    for name, channel in pull.channels.items():
        if channel.quantity in GOES_ON:
            continue
        for shift in found:
            samples[name] = shift.without(samples[name])
    return replace(pull, samples=samples)


def _changes_of_gear(pull: Pull) -> list[float]:
    """When the gear channel takes another gear; neutral between two gears is no gear."""
    gear = pull.first(Quantity.GEAR)
    if gear is None:
        return []
    engaged = gear.value >= 1.0
    time_s, value = gear.time_s[engaged], np.round(gear.value[engaged])
    return [float(t) for t in time_s[1:][np.diff(value) != 0.0]]


def _falls_of_speed(pull: Pull) -> list[tuple[float, float]]:
    """From when to when engine speed falls by a gear's step at full pedal."""
    speed = pull.first(Quantity.ENGINE_SPEED)
    if speed is None:
        return []
    first_s = max(float(speed.time_s[0]), pull.bounds.start_s - LOOK_BACK_S)
    time_s = np.arange(first_s, pull.bounds.end_s, STEP_S)
    pedal = pull.first(Quantity.PEDAL_POSITION)
    if pedal is not None:
        time_s = time_s[held_at(pedal, time_s) >= FULL_PEDAL * float(pedal.value.max())]
    time_s = time_s[time_s + FALL_S <= pull.bounds.end_s]
    falls = at(speed, time_s + FALL_S) < (1.0 - FALL_SHARE) * at(speed, time_s)
    return [(float(t), float(t) + FALL_S) for t in time_s[falls]]


def _steps_of_ratio(pull: Pull) -> list[tuple[float, float]]:
    """Where engine over wheel or roller speed steps down and stays there: the next gear, also
    between readings too far apart to show how engine speed fell."""
    engine = pull.first(Quantity.ENGINE_SPEED)
    wheels = pull.first(Quantity.VEHICLE_SPEED) or pull.first(Quantity.ROLLER_SPEED)
    if engine is None or wheels is None:
        return []
    slower, _ = sorted((engine, wheels), key=lambda each: -period_s(each.time_s))
    first_s = pull.bounds.start_s - LOOK_BACK_S
    inside = slower.between(first_s, np.nextafter(pull.bounds.end_s, np.inf))
    speed, road = at(engine, inside.time_s), at(wheels, inside.time_s)
    ratio = speed[road > ROLLING_KM_H] / road[road > ROLLING_KM_H]
    time_s = inside.time_s[road > ROLLING_KM_H]
    moments = []
    for index in range(1, len(ratio) - 2):
        within = np.flatnonzero(time_s[index + 1 :] - time_s[index] <= STEP_WITHIN_S) + index + 1
        before = ratio[: index + 1].min()  # a slip that ends comes back to it
        if not len(within) or within[-1] + 1 >= len(ratio):
            continue
        if ratio[within[-1] :].max() < (1.0 - STEP_SHARE) * before:
            moments.append((float(time_s[index]), float(time_s[within[-1]])))
    return moments
