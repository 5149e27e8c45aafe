"""How far a value is beyond what it is held against, sample by sample."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.alerting.rules import Excess, Rule
from analysis.model.limits import Limits
from analysis.model.oil_pressure import least_oil_pressure_kpa
from analysis.model.shared_limits import (
    BOOST_WORTH_JUDGING_KPA,
    KNOCK_FOR,
    OIL_PRESSURE_ABOVE,
    OTHER_UNIT_PERCENT,
    OVER_BOOST_AT_LEAST_KPA,
    UNDER_BOOST,
)
from analysis.physics.lag import extremes
from analysis.physics.lasting import mean_before
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

NOTHING: Final = Samples(np.empty(0), np.empty(0))
LOOK_TIMES: Final = 2.0  # a mean over so many times ignition.knock_for is worth a look
NOT_JUDGED: Final = -np.inf  # a state in which the rule does not speak: never beyond, never pending
LIFTED_SHARE: Final = 0.9  # of full demand: below it what follows a target late says nothing
LEANEST_BURNING: Final = 1.5  # no petrol engine fires at a leaner lambda: the probe is not in gas


@dataclass(frozen=True, slots=True)
class Beside:
    """What is known beside the watched channel; NOTHING where there is none.

    boost: gauge, kPa. demand: the driver's; full_demand: its value at full load. before: of the
    channel itself, what its mean reaches back to. plain_bearings: as analysis.model.oil_pressure
    has it.
    """

    limits: Limits
    target: Samples = NOTHING
    speed: Samples = NOTHING
    boost: Samples = NOTHING
    demand: Samples = NOTHING
    full_demand: float = 0.0
    before: Samples = NOTHING
    plain_bearings: bool = False


def excess_of(rule: Rule, samples: Samples, beside: Beside) -> FloatArray:
    """As the rule has it, float64[n]. NaN where nobody can say, NOT_JUDGED where the rule does not
    speak."""
    found = _OF[rule.excess](rule, samples, beside)
    if rule.quantity is Quantity.LAMBDA:
        found = np.where(samples.value > LEANEST_BURNING, np.nan, found)
    if rule.late_s > 0.0 and len(beside.demand):
        lifted = _held(beside.demand, samples.time_s) < LIFTED_SHARE * beside.full_demand
        found = np.where(lifted, NOT_JUDGED, found)
    if not (rule.stop_under_boost or rule.under_boost):
        return found
    pressed = _held(beside.boost, samples.time_s) > beside.limits[UNDER_BOOST.name].value
    if rule.under_boost:
        return np.where(pressed, found, NOT_JUDGED)
    below_stop = np.nextafter(beside.limits[rule.alarm.name].value, -np.inf)
    return np.where(pressed, found, np.minimum(found, below_stop))


def is_within(rule: Rule, samples: Samples, target: Samples) -> bool:
    """Whether no sample is beyond its target of the moment at all: then none is beyond the kindest
    of its lag, which costs more to know."""
    error = samples.value - _held(target, samples.time_s)
    short = rule.excess is Excess.PERCENT_SHORT_OF_TARGET
    return not np.any(error < 0.0 if short else error > 0.0)


def least_kpa(beside: Beside, time_s: FloatArray) -> FloatArray:
    """The oil pressure that is wanted at the engine speed of each time, float64[n]."""
    speed_rpm = np.interp(time_s, beside.speed.time_s, beside.speed.value)
    return least_oil_pressure_kpa(speed_rpm, beside.limits, beside.plain_bearings)


def _value(rule: Rule, samples: Samples, beside: Beside) -> FloatArray:
    return samples.value


def _mean(rule: Rule, samples: Samples, beside: Beside) -> FloatArray:
    """Over twice the time where it is no stop: two events that follow each other are no state."""
    over_s = beside.limits[KNOCK_FOR.name].value
    time_s = np.concatenate((beside.before.time_s, samples.time_s))
    value = np.concatenate((beside.before.value, samples.value))
    held = np.where(value == value, value, 0.0)
    short, long = (mean_before(time_s, held, over) for over in (over_s, LOOK_TIMES * over_s))
    mean = np.where(short >= beside.limits[rule.alarm.name].value, short, np.minimum(short, long))
    return mean[len(beside.before) :]


def _above(rule: Rule, samples: Samples, beside: Beside) -> FloatArray:
    return samples.value - _kindest(rule, samples.time_s, beside.target)[1]


def _percent_above(rule: Rule, samples: Samples, beside: Beside) -> FloatArray:
    target = _kindest(rule, samples.time_s, beside.target)[1]
    over = samples.value - target
    counts = (target >= BOOST_WORTH_JUDGING_KPA) & (over >= OVER_BOOST_AT_LEAST_KPA)
    percent = 100.0 * over / np.maximum(target, BOOST_WORTH_JUDGING_KPA)
    return np.where(np.isnan(over), np.nan, np.where(counts, percent, NOT_JUDGED))


def _percent_short(rule: Rule, samples: Samples, beside: Beside) -> FloatArray:
    """Nothing is short by more than an engine could run on: that is another unit."""
    target = _kindest(rule, samples.time_s, beside.target)[0]
    percent = 100.0 * (target - samples.value) / target
    return np.where(percent > OTHER_UNIT_PERCENT, NOT_JUDGED, percent)


def _short_of_least(rule: Rule, samples: Samples, beside: Beside) -> FloatArray:
    if not len(beside.speed):
        return np.full(len(samples), np.nan)
    speed_rpm = np.interp(samples.time_s, beside.speed.time_s, beside.speed.value)
    fast = speed_rpm >= beside.limits[OIL_PRESSURE_ABOVE.name].value
    return np.where(fast, least_kpa(beside, samples.time_s) - samples.value, NOT_JUDGED)


_OF: Final[Mapping[Excess, Callable[[Rule, Samples, Beside], FloatArray]]] = {
    Excess.VALUE: _value,
    Excess.MEAN: _mean,
    Excess.ABOVE_TARGET: _above,
    Excess.PERCENT_ABOVE_TARGET: _percent_above,
    Excess.PERCENT_SHORT_OF_TARGET: _percent_short,
    Excess.SHORT_OF_LEAST: _short_of_least,
}


def _kindest(rule: Rule, time_s: FloatArray, target: Samples) -> tuple[FloatArray, FloatArray]:
    """The lowest and the highest that the target was within the rule's lag, float64[n] each; NaN
    where it says nothing now."""
    known = target.value > 0.0
    if not known.any():
        nothing = np.full(len(time_s), np.nan)
        return nothing, nothing
    says = _held(target, time_s) > 0.0
    low, high = extremes(
        Samples(target.time_s[known], target.value[known]), None, rule.late_s, time_s
    )
    return np.where(says, low, np.nan), np.where(says, high, np.nan)


def _held(samples: Samples, time_s: FloatArray) -> FloatArray:
    """Its value at each time, float64[n]; NaN without any, the first before it."""
    if not len(samples):
        return np.full(len(time_s), np.nan)
    place = np.searchsorted(samples.time_s, time_s, side="right") - 1
    held: FloatArray = samples.value[np.maximum(place, 0)]
    return held
