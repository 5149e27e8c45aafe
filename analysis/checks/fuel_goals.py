"""What a fuel pressure is held against: its target, the pump's own pressure, or earlier pulls."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np

from analysis.checks.check import Context
from analysis.checks.earlier_pulls import at_same_speed
from analysis.checks.following import LONGEST_S, target_lag
from analysis.checks.stretches import at
from analysis.model.pull import Pull
from analysis.physics.lag import Lag, extremes
from decode.quantities import TARGET_OF, Quantity
from decode.samples import FloatArray, Samples

PART_LOAD: Final = 0.6  # of the pedal or throttle: below it the engine takes much less fuel
LEAST_BEFORE: Final = 5  # samples of the pressure at part load, and at full
SAME_PRESSURE: Final = 0.03  # share: closer no regulator holds and no sensor tells


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
    courses = [course.value for course in at_same_speed(pull, quantity, inside, context)]
    if courses:
        lowest: FloatArray = np.fmin.reduce(courses)
        goals.append(Goal(lowest, Basis.EARLIER))
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
