"""Drive: engine, wheels and roller turn in proportion, or something between them slips.

The wheels falling behind the engine is the clutch, the roller falling behind the wheels the tyre.
A tyre under load creeps by a per cent or two; a torque converter starts high and locks, so only a
ratio that rises again after it has been lower at full pedal is called slip. A speed that comes late
(a filtered wheel speed) parts the two as well while they rise: its lag is measured and taken out.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.causes.symptoms import PASSING, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.check import Check, Context, healthy, note
from analysis.checks.following import EARLIER_PULLS
from analysis.checks.gear_shift import shifts
from analysis.checks.needs import not_judged
from analysis.checks.road_power import road_power
from analysis.checks.stretches import (
    at,
    is_sampled_at,
    lasting,
    place,
    smoothed,
    stretches,
)
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.phrases.say import amount, rpm, say
from analysis.physics.lag import Lag, measure
from decode.cadence import period_s
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

TYRE = Limit("drive.tyre_slip", 5.0, "%", COMMON_PRACTICE, "the roller behind the wheels")
CLUTCH = Limit("drive.clutch_slip", 4.0, "%", COMMON_PRACTICE, "the wheels behind the engine")
EITHER = Limit("drive.slip", 5.0, "%", COMMON_PRACTICE, "the roller behind the engine")
SLIP_FOR = Limit("drive.slip_for", 0.2, "s", COMMON_PRACTICE, "for at least this long")

SMOOTH_S: Final = 0.3  # wheel speed on a bus comes in steps of about 1 km/h
LONGEST_LAG_S: Final = 0.3  # of a filtered wheel speed behind the engine's
FULL_PEDAL: Final = 0.9  # of the highest reading
OPENS_S: Final = 0.7  # within which a converter that was locked opens at full pedal
ROLLING_KM_H: Final = 20.0  # below this a step of speed is several per cent
SAME_GEAR: Final = 0.1  # neighbouring gears differ by a fifth or more
SLIP_SPREAD: Final = 1.0  # per cent: what the steps of a smoothed wheel speed leave
LEAST_SAMPLES: Final = 5  # of a ratio: fewer show no course
LEAST_SLIPPING: Final = 3  # readings of it in a slip: one or two may be a reading that went wrong


@dataclass(frozen=True, slots=True)
class Pair:
    """Two speeds that turn in proportion, the driving one first."""

    driving: Samples
    driven: Samples
    symptom: Symptom
    limit: Limit

    @property
    def name(self) -> str:
        """As its phrases' keys end."""
        return self.symptom.replace("_", "-")


@dataclass(frozen=True, slots=True)
class Course:
    """A ratio of speeds over time. least: as low as the lag leaves it open, float64[n]."""

    ratio: Samples
    least: FloatArray


def course(pair: Pair, lag: Lag | None, start_s: float, end_s: float) -> Course:
    """Driving over driven speed between two times, where the driven one turns; smoothed, each
    driven speed beside what it follows. At the readings of the slower one: between two of them
    nobody knows how it went."""
    driving, driven = smoothed(pair.driving, SMOOTH_S), smoothed(pair.driven, SMOOTH_S)
    by_driven = period_s(driven.time_s) >= period_s(driving.time_s)
    slower, quicker = (driven, driving) if by_driven else (driving, driven)
    inside = slower.between(start_s, np.nextafter(end_s, np.inf))
    seen = is_sampled_at(quicker, inside.time_s, SMOOTH_S)
    time_s, value = inside.time_s[seen], inside.value[seen]
    ratios = []
    for lag_s in _lags_s(lag):
        other = at(quicker, time_s - lag_s if by_driven else time_s + lag_s)
        above, below = (other, value) if by_driven else (value, other)
        turning = below > ROLLING_KM_H
        ratios.append(np.where(turning, above / np.where(turning, below, 1.0), np.nan))
    turns = np.isfinite(ratios).all(axis=0)
    likely, least = ratios[0][turns], np.min(ratios, axis=0)[turns]
    return Course(Samples(time_s[turns], likely), least)


def _lags_s(lag: Lag | None) -> tuple[float, ...]:
    """The likely lag first, then how small and how large it may be."""
    if lag is None:
        return (0.0, LONGEST_LAG_S / 2, LONGEST_LAG_S)
    least_s, most_s = lag.total_s - 2 * lag.spread_s, lag.total_s + 2 * lag.spread_s
    return (lag.total_s, max(least_s, 0.0), most_s)


def slip_percent(pull: Pull, pair: Pair, lag: Lag | None = None) -> Samples:
    """How far the ratio in the pull lies over the lowest it was, per cent.

    Lowest so far in the same gear, from the hold at full pedal on; between wheels and roller from
    before that, and also after the lift, for there neither clutch nor converter parts them. Times
    outside the pull count only where the same gear was in: within a tenth. Of a speed that is
    polled slowly the knees at both ends of the sweep are left out: a straight line between two
    readings cuts them off.
    """
    knee_s, bounds = _knee_s(pair), pull.bounds
    inside = course(pair, lag, bounds.start_s + knee_s, bounds.end_s - knee_s)
    time_s, value = inside.ratio.time_s, inside.ratio.value
    if len(time_s) < LEAST_SAMPLES:
        return Samples(time_s[:0], value[:0])
    around = course(pair, lag, float(pair.driven.time_s[0]), float(pair.driven.time_s[-1])).ratio
    same_gear = around.value > (1.0 - SAME_GEAR) * value.min()
    counts = around.time_s < bounds.start_s - knee_s
    if pair.symptom is Symptom.ROLLER_LAGS:
        counts |= around.time_s > bounds.end_s + knee_s
    else:
        counts &= _at_full_pedal(pull, around.time_s)
    lowest = np.minimum.accumulate(value)
    lowest = np.minimum(lowest, around.value[same_gear & counts].min(initial=np.inf))
    slip = np.maximum(100.0 * (inside.least / lowest - 1.0), 0.0)
    steady = np.ones(len(time_s), dtype=bool)
    for shift in shifts(pull):
        # the next gear has a ratio of its own
        after = time_s > shift.end_s
        steady &= (time_s < shift.start_s) | after
        if after.any():
            lowest = np.minimum.accumulate(value[after])
            slip[after] = np.maximum(100.0 * (inside.least[after] / lowest - 1.0), 0.0)
    return Samples(time_s[steady], slip[steady])


def _at_full_pedal(pull: Pull, time_s: FloatArray) -> NDArray[np.bool_]:
    """Where the driver has asked for everything for a while: a converter has opened by then."""
    pedal = pull.first(Quantity.PEDAL_POSITION) or pull.first(Quantity.THROTTLE_POSITION)
    if pedal is None:
        return np.ones(len(time_s), dtype=bool)
    partly_s = pedal.time_s[pedal.value < FULL_PEDAL * float(pedal.value.max())]
    before = np.searchsorted(partly_s, time_s, side="right") - 1
    since_s = time_s - np.append(partly_s, -np.inf)[before]
    settled: NDArray[np.bool_] = since_s > OPENS_S
    return settled


def _lag(pull: Pull, pair: Pair, context: Context) -> Lag | None:
    """Of the driven speed behind the driving one, brought to its scale: of this pull and those
    before it together."""
    runs = []
    for each in (pull, *context.earlier[-EARLIER_PULLS:]):
        end_s = each.bounds.end_s
        for same in _pairs(each):
            inside = each.sweep(same.driven)
            if same.symptom is not pair.symptom or len(inside) < LEAST_SAMPLES:
                continue
            driving = np.maximum(at(same.driving, inside.time_s), 1.0)
            scale = float(np.median(inside.value / driving))
            scaled = Samples(same.driving.time_s, same.driving.value * scale)
            driven = same.driven.between(same.driven.time_s[0], end_s)
            runs.append((driven, scaled.between(scaled.time_s[0], end_s)))
    return measure(runs, LONGEST_LAG_S)


def _knee_s(pair: Pair) -> float:
    """How far from a knee a speed between two readings is wrong: nothing where both come often."""
    slower_s = max(period_s(samples.time_s) for samples in (pair.driving, pair.driven))
    return slower_s if slower_s > SMOOTH_S / 2 else 0.0


def _pairs(pull: Pull) -> list[Pair]:
    engine, wheels = pull.first(Quantity.ENGINE_SPEED), pull.first(Quantity.VEHICLE_SPEED)
    roller = pull.first(Quantity.ROLLER_SPEED)
    if engine is None:
        return []
    pairs = []
    if wheels is not None:
        pairs.append(Pair(engine, wheels, Symptom.WHEELS_LAG, CLUTCH))
    if wheels is not None and roller is not None:
        pairs.append(Pair(wheels, roller, Symptom.ROLLER_LAGS, TYRE))
    if wheels is None and roller is not None:
        pairs.append(Pair(engine, roller, Symptom.SPEEDS_PART, EITHER))
    return pairs


def _slip(pull: Pull, pair: Pair, slip: Samples, limits: Limits) -> Observation:
    limit, for_s = limits[pair.limit.name], limits[SLIP_FOR.name].value
    if len(slip) == 0:
        return Observation()
    found = [
        stretch
        for stretch in stretches(slip.time_s, slip.value > limit.value, for_s)
        if stretch.last - stretch.first + 1 >= LEAST_SLIPPING
    ]
    value = float(slip.value.max())
    if not found:
        return Observation(pair.symptom, min(PASSING, sureness(value, limit.value, SLIP_SPREAD)))
    value = max(float(slip.value[stretch.indices].max()) for stretch in found)
    where = place(pull, found[0].start_s, found[-1].end_s)
    statement = say(f"drive-{pair.name}", slip=amount(value, "%"), where=place_phrase(where))
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    return Observation(pair.symptom, sureness(value, limit.value, SLIP_SPREAD), finding)


def _fell_percent(pull: Pull, pair: Pair, lag: Lag | None) -> float:
    """How far the ratio fell in the pull, knees of slowly polled speeds and changes of gear left
    out."""
    knee_s = _knee_s(pair)
    inside = course(pair, lag, pull.bounds.start_s + knee_s, pull.bounds.end_s - knee_s).ratio
    if len(inside) < LEAST_SAMPLES or shifts(pull):
        return 0.0
    return 100.0 * float((1.0 - inside.value / np.maximum.accumulate(inside.value)).max())


def _left_open_percent(pull: Pull, pair: Pair, lag: Lag | None) -> float:
    """How much of a slip the lag could hide, in half of the sweep."""
    inside = course(pair, lag, pull.bounds.start_s, pull.bounds.end_s)
    if not len(inside.ratio):
        return 0.0
    return 100.0 * float(np.median(1.0 - inside.least / inside.ratio.value))


def _held(
    pull: Pull, pairs: list[tuple[Pair, Lag | None]], slips: list[Samples], limits: Limits
) -> Observation:
    pair = pairs[-1][0]
    fell = max(_fell_percent(pull, each, lag) for each, lag in pairs)
    left_open = max(_left_open_percent(pull, each, lag) for each, lag in pairs)
    limit, for_s = limits[pair.limit.name], limits[SLIP_FOR.name].value
    if not all(len(slip) for slip in slips):
        return note("drive", say("drive-too-few"))
    if fell > limit.value:
        return note("drive", say("drive-ratio-fell", fell=amount(fell, "%")))
    worst = max(lasting(slip.time_s, slip.value, for_s) for slip in slips)
    if worst > limit.value or left_open > limit.value:
        return note("drive", say("drive-too-few"))
    statement = say(
        f"drive-held-{pair.name}",
        low=rpm(pull.bounds.start_rpm),
        high=rpm(pull.bounds.end_rpm),
        slip=amount(worst, "%", 1),
    )
    return healthy("drive", statement, round(worst, 2), limit)


def _shifted(pull: Pull) -> list[Observation]:
    """That the gear changed in the sweep, and that nothing else is judged there."""
    bounds = pull.bounds
    inside = [s for s in shifts(pull) if s.end_s > bounds.start_s and s.start_s < bounds.end_s]
    if not inside:
        return []
    start_s, end_s = max(inside[0].start_s, bounds.start_s), min(inside[-1].end_s, bounds.end_s)
    where = place_phrase(place(pull, start_s, end_s))
    return [note("drive", say("drive-gear-changed", where=where))]


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Slip between engine, wheels and roller; without a roller, what the car's mass says."""
    pairs = _pairs(pull)
    if not pairs:
        return [not_judged("drive", [[Quantity.VEHICLE_SPEED, Quantity.ROLLER_SPEED]])]
    lags = [_lag(pull, pair, context) for pair in pairs]
    both = list(zip(pairs, lags, strict=True))
    slips = [slip_percent(pull, pair, lag) for pair, lag in both]
    seen = [_slip(pull, pair, slip, limits) for pair, slip in zip(pairs, slips, strict=True)]
    if not any(o.finding for o in seen):
        seen.append(_held(pull, both, slips, limits))
    if not any(o.finding and o.finding.severity.is_trouble for o in seen):
        seen += _shifted(pull)
    return seen + road_power(pull, context)


CHECK: Final = Check(
    name="drive",
    needs=((Quantity.ROLLER_SPEED, Quantity.VEHICLE_SPEED),),
    limits=(TYRE, CLUTCH, EITHER, SLIP_FOR),
    judge=judge,
)
