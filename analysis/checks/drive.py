"""Drive: engine, wheels and roller turn in proportion, or something between them slips.

The wheels falling behind the engine is the clutch, the roller falling behind the wheels the tyre.
A tyre under load creeps by a per cent or two; a torque converter starts high and locks, so only a
ratio that rises again after it has been lower is called slip.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.causes.symptoms import PASSING, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.check import Check, Context, healthy, note
from analysis.checks.needs import not_judged
from analysis.checks.road_power import road_power
from analysis.checks.stretches import at, is_sampled_at, place, smoothed, stretches
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.phrases.say import amount, rpm, say
from decode.cadence import period_s
from decode.quantities import Quantity
from decode.samples import Samples

TYRE = Limit("drive.tyre_slip", 5.0, "%", COMMON_PRACTICE, "the roller behind the wheels")
CLUTCH = Limit("drive.clutch_slip", 4.0, "%", COMMON_PRACTICE, "the wheels behind the engine")
EITHER = Limit("drive.slip", 5.0, "%", COMMON_PRACTICE, "the roller behind the engine")
SLIP_FOR = Limit("drive.slip_for", 0.2, "s", COMMON_PRACTICE, "for at least this long")

SMOOTH_S: Final = 0.3  # wheel speed on a bus comes in steps of about 1 km/h
ROLLING_KM_H: Final = 20.0  # below this a step of speed is several per cent
SAME_GEAR: Final = 0.1  # neighbouring gears differ by a fifth or more
SLIP_SPREAD: Final = 1.0  # per cent: what the steps of a smoothed wheel speed leave
LEAST_SAMPLES: Final = 5  # of a ratio: fewer show no course


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


def ratio(pair: Pair, start_s: float, end_s: float) -> Samples:
    """Driving over driven speed between two times, where the driven one turns; smoothed."""
    driven = smoothed(pair.driven, SMOOTH_S).between(start_s, np.nextafter(end_s, np.inf))
    turning = (driven.value > ROLLING_KM_H) & is_sampled_at(pair.driving, driven.time_s, SMOOTH_S)
    time_s = driven.time_s[turning]
    driving = at(smoothed(pair.driving, SMOOTH_S), time_s)
    return Samples(time_s, driving / driven.value[turning])


def slip_percent(pull: Pull, pair: Pair) -> Samples:
    """How far the ratio in the pull lies over the lowest it was, per cent.

    Lowest so far, from the hold on; between wheels and roller also after the lift, for there no
    clutch parts them. Times outside the pull count only where the same gear was in: within a tenth.
    Of a speed that is polled slowly the knees at both ends of the sweep are left out: a straight
    line between two readings cuts them off.
    """
    knee_s = _knee_s(pair)
    start_s, end_s = pull.bounds.start_s + knee_s, pull.bounds.end_s - knee_s
    inside = ratio(pair, start_s, end_s)
    if len(inside) < LEAST_SAMPLES:
        return Samples(inside.time_s[:0], inside.value[:0])
    around = ratio(pair, float(pair.driven.time_s[0]), float(pair.driven.time_s[-1]))
    same_gear = around.value > (1.0 - SAME_GEAR) * inside.value.min()
    before = around.value[same_gear & (around.time_s < pull.bounds.start_s - knee_s)]
    after = around.value[same_gear & (around.time_s > pull.bounds.end_s + knee_s)]
    lowest = np.minimum.accumulate(inside.value)
    unloaded = before if pair.symptom is not Symptom.ROLLER_LAGS else np.append(before, after)
    lowest = np.minimum(lowest, unloaded.min(initial=np.inf))
    return Samples(inside.time_s, 100.0 * (inside.value / lowest - 1.0))


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


def _slip(pull: Pull, pair: Pair, limits: Limits) -> Observation:
    slip, limit = slip_percent(pull, pair), limits[pair.limit.name]
    if len(slip) == 0:
        return Observation()
    found = stretches(slip.time_s, slip.value > limit.value, limits[SLIP_FOR.name].value)
    value = float(slip.value.max())
    if not found:
        return Observation(pair.symptom, min(PASSING, sureness(value, limit.value, SLIP_SPREAD)))
    where = place(pull, found[0].start_s, found[-1].end_s)
    statement = say(f"drive-{pair.name}", slip=amount(value, "%"), where=place_phrase(where))
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, value, where)
    return Observation(pair.symptom, sureness(value, limit.value, SLIP_SPREAD), finding)


def _fell_percent(pull: Pull, pair: Pair) -> float:
    """How far the ratio fell in the pull, knees of slowly polled speeds left out."""
    knee_s = _knee_s(pair)
    inside = ratio(pair, pull.bounds.start_s + knee_s, pull.bounds.end_s - knee_s)
    if len(inside) < LEAST_SAMPLES:
        return 0.0
    return 100.0 * float((1.0 - inside.value / np.maximum.accumulate(inside.value)).max())


def _held(pull: Pull, pairs: list[Pair], limits: Limits) -> Observation:
    pair = pairs[-1]
    if (fell := max(_fell_percent(pull, each) for each in pairs)) > limits[pair.limit.name].value:
        return note("drive", say("drive-ratio-fell", fell=amount(fell, "%")))
    worst = max(float(slip_percent(pull, each).value.max(initial=0.0)) for each in pairs)
    statement = say(
        f"drive-held-{pair.name}",
        low=rpm(pull.bounds.start_rpm),
        high=rpm(pull.bounds.end_rpm),
        slip=amount(worst, "%", 1),
    )
    return healthy("drive", statement, round(worst, 2), limits[pair.limit.name])


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Slip between engine, wheels and roller; without a roller, what the car's mass says."""
    pairs = _pairs(pull)
    if not pairs:
        return [not_judged("drive", [[Quantity.VEHICLE_SPEED, Quantity.ROLLER_SPEED]])]
    seen = [_slip(pull, pair, limits) for pair in pairs]
    if not any(o.finding for o in seen):
        seen.append(_held(pull, pairs, limits))
    return seen + road_power(pull, context)


CHECK: Final = Check(
    name="drive",
    needs=((Quantity.ROLLER_SPEED, Quantity.VEHICLE_SPEED),),
    limits=(TYRE, CLUTCH, EITHER, SLIP_FOR),
    judge=judge,
)
