"""What a fuel pressure is held against: its target, the pump's own pressure, or earlier pulls."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np

from analysis.checks.check import Context
from analysis.checks.following import LONGEST_S, target_lag
from analysis.checks.stretches import at, smoothed
from analysis.model.pull import Pull
from analysis.physics.lag import Lag, extremes
from decode.quantities import TARGET_OF, Quantity
from decode.samples import FloatArray, Samples

SMOOTH_S: Final = 0.2  # over the strokes of the pumps
PART_LOAD: Final = 0.6  # of the pedal or throttle: below it the engine takes much less fuel
LEAST_BEFORE: Final = 5  # samples of the pressure at part load, and at full
SAME_PRESSURE: Final = 0.03  # share: closer no regulator holds and no sensor tells
MOST_OF_IT: Final = 0.5  # share of the sweep that earlier pulls have to cover


class Basis(StrEnum):
    """What a pressure is held against; as its phrases' keys end."""

    TARGET = "target"
    BEFORE = "before"  # what stood before the sweep, of a pump that is known to hold one pressure
    EARLIER = "earlier"  # the pulls before this one, at the same engine speed


@dataclass(frozen=True, slots=True)
class Goal:
    """The least that a healthy supply shows at each sample, float64[n], and where from.

    lag: behind the target, None where it could not be told or nothing is followed.
    """

    least_kpa: FloatArray
    basis: Basis
    lag: Lag | None = None


def goals_of(pull: Pull, quantity: Quantity, inside: Samples, context: Context) -> list[Goal]:
    """What a pressure can be held against: its target, as far as it can follow; the low side
    without one, what the pump held before, and the pulls before this one. inside: its samples in
    the sweep."""
    target = pull.first(TARGET_OF[quantity])
    if target is not None:
        lag = target_lag(quantity, pull, context)
        least, _ = extremes(target, lag, LONGEST_S[quantity], inside.time_s)
        return [Goal(least, Basis.TARGET, lag)]
    if quantity is not Quantity.FUEL_PRESSURE_LOW:
        return []
    goals = []
    if (held := _one_pressure_kpa(pull, quantity)) is not None:
        goals.append(Goal(np.full(len(inside), held), Basis.BEFORE))
    if (course := _earlier_kpa(pull, quantity, inside, context)) is not None:
        goals.append(Goal(course, Basis.EARLIER))
    return goals


def _one_pressure_kpa(pull: Pull, quantity: Quantity) -> float | None:
    """What the pump held before the sweep, where that shows that it holds one pressure: the same
    at part load and at full. None where load did not change before the sweep, or pressure with it.
    """
    start_s = pull.bounds.start_s
    load = pull.first(Quantity.PEDAL_POSITION) or pull.first(Quantity.THROTTLE_POSITION)
    pressure = pull.first(quantity)
    if load is None or pressure is None:
        return None
    before = pressure.between(pressure.time_s[0], start_s)
    share = at(load, before.time_s) / float(load.value.max())
    low, high = before.value[share < PART_LOAD], before.value[share >= PART_LOAD]
    if min(len(low), len(high)) < LEAST_BEFORE:
        return None
    one, other = float(np.median(low)), float(np.median(high))
    return other if abs(other - one) <= SAME_PRESSURE * max(one, other) else None


def _earlier_kpa(
    pull: Pull, quantity: Quantity, inside: Samples, context: Context
) -> FloatArray | None:
    """The least that the pulls before this one had at the same engine speed, float64[n]; no
    number where they did not get."""
    speed = pull.engine_speed_at(inside.time_s)
    courses = []
    for each in context.earlier:
        pressure = each.first(quantity)
        if pressure is None or len(course := smoothed(each.sweep(pressure), SMOOTH_S)) < 2:
            continue
        rpm = each.engine_speed_at(course.time_s)
        order = np.argsort(rpm)
        courses.append(np.interp(speed, rpm[order], course.value[order], left=np.nan, right=np.nan))
    if not courses:
        return None
    least: FloatArray = np.fmin.reduce(courses)
    return least if np.isfinite(least).mean() > MOST_OF_IT else None
