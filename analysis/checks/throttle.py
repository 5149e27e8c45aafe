"""Throttle: does it stay open while the driver asks for everything?

An electronic throttle that closes under full pedal is the engine protecting itself; the half
second before says from what. Fully open is what this throttle reads when fully open (88 % raw is
common), never 100 % by assumption.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.causes.symptoms import NOT_SEEN, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.boost_pressure import gauge_boost
from analysis.checks.check import Check, Context, healthy, note
from analysis.checks.stretches import Stretch, at, held_at, place, stretches
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import EndReason, Pull, finite
from analysis.phrases.say import amount, count, listed, rpm, say
from analysis.phrases.statement import Statement
from decode.quantities import TARGET_OF, Quantity
from decode.samples import FloatArray, Samples

BEFORE_CLOSURE_S: Final = 0.5  # protection reacts within a few control periods of 10 to 100 ms
SETTLE_S: Final = 0.7  # boost control settles within this after the throttle has opened again
END_MARGIN_S: Final = 0.3  # a lift or the limiter closes the throttle too; no protection there
FULL_PEDAL: Final = 0.95  # of full: pedals rarely read their last per cent
# What counts as standing out before a closure: less than any alarm, for a controller acts early.
OVER_BOOST_KPA: Final = 8.0  # twice what steady boost control strays
SHORT_FUEL_PERCENT: Final = 7.0
KNOCK_DEG: Final = 5.0  # more than one step of knock control
REQUEST_LATE_S: Final = 0.1  # a request that is sent ten times a second may show its fall late
REQUEST_FALLS_TO: Final = 0.9  # of the torque asked for before
OPEN_QUANTILE: Final = 0.98  # of what was seen, as fully open: one high sample decides nothing
WHOLE_PERCENT: Final = 98.0  # a throttle that reads more when fully open reads what people expect
CLOSED_SPREAD_PERCENT: Final = 2.0  # throttle sensors agree within 2 %
# How sure a throttle that never opened was held shut: a map without its full scale reads like it.
# Chosen, no published source.
NEVER_OPEN_SURE: Final = 0.8

CLOSED = Limit(
    "throttle.closed", 90.0, "%", COMMON_PRACTICE, "below this share of fully open it has closed"
)
CLOSED_FOR = Limit(
    "throttle.closed_for", 0.15, "s", COMMON_PRACTICE, "a closure lasts at least this long"
)
NEVER_OPEN = Limit(
    "throttle.never_open",
    70.0,
    "%",
    COMMON_PRACTICE,
    "a throttle that never reads more than this under full pedal was held shut all the way",
)


def full_open(pull: Pull, context: Context) -> float:
    """What this throttle reads when fully open: the map's word, the segmenter's, or the highest
    seen in this stage."""
    name = pull.named(Quantity.THROTTLE_POSITION)[0]
    if (full_scale := pull.channels[name].full_scale) is not None:
        return full_scale
    if pull.bounds.intent is Quantity.THROTTLE_POSITION:
        return pull.bounds.full_open
    seen = [p.first(Quantity.THROTTLE_POSITION) for p in (pull, *context.earlier)]
    return max(float(np.quantile(s.value, OPEN_QUANTILE)) for s in seen if s is not None)


def throttle_open(pull: Pull, samples: Samples, limits: Limits, context: Context) -> Samples:
    """The samples of a channel taken while the throttle was open, and had been for a while: a
    closed throttle parts boost from manifold pressure and upsets boost control. All of them where
    no throttle is logged."""
    throttle = pull.first(Quantity.THROTTLE_POSITION)
    if throttle is None:
        return samples
    below = limits[CLOSED.name].value / 100 * full_open(pull, context)
    closed_s = throttle.time_s[throttle.value < below]
    if len(closed_s) == 0:
        return samples
    before = np.searchsorted(closed_s, samples.time_s, side="right") - 1
    since_s = samples.time_s - closed_s[np.maximum(before, 0)]
    settled = (before < 0) | (since_s > SETTLE_S)
    return Samples(samples.time_s[settled], samples.value[settled])


def _full_pedal(pull: Pull, time_s: FloatArray) -> NDArray[np.bool_]:
    """True where the driver asks for everything; inside the pull without a pedal."""
    pedal = pull.first(Quantity.PEDAL_POSITION)
    if pedal is None:
        return np.ones(len(time_s), dtype=bool)
    top = (
        pull.bounds.full_open
        if pull.bounds.intent is Quantity.PEDAL_POSITION
        else float(np.quantile(pedal.value, OPEN_QUANTILE))
    )
    return held_at(pedal, time_s) >= FULL_PEDAL * top


def closures(pull: Pull, throttle: Samples, opened: float, limits: Limits) -> list[Stretch]:
    """Where the throttle was closed under full pedal; throttle: its samples in the pull."""
    time_s = throttle.time_s
    asked = _full_pedal(pull, time_s)
    ends_alone = pull.bounds.end_reason in (EndReason.LIFT, EndReason.LIMITER)
    inside = time_s <= pull.bounds.end_s - (END_MARGIN_S if ends_alone else 0.0)
    closed = throttle.value < limits[CLOSED.name].value / 100 * opened
    found = stretches(time_s, asked & closed, limits[CLOSED_FOR.name].value)
    return [s for s in found if inside[s.first]]


def _peak_before(samples: Samples | None, start_s: float) -> float | None:
    """The highest value in the half second before a time; None without samples there."""
    if samples is None:
        return None
    near = samples.between(start_s - BEFORE_CLOSURE_S, start_s)
    return float(near.value.max()) if len(near) else None


def _over_boost(pull: Pull, context: Context, start_s: float) -> Statement | None:
    boost, target = gauge_boost(pull, context.setup), pull.first(Quantity.BOOST_TARGET)
    if boost is None or target is None:
        return None
    over = Samples(boost.time_s, boost.value - at(target, boost.time_s))
    worst = _peak_before(over, start_s)
    if worst is None or worst < OVER_BOOST_KPA:
        return None
    return say("throttle-before-over-boost", over=amount(worst, "kPa"))


def _short_fuel(pull: Pull, start_s: float) -> Statement | None:
    for quantity, key in (
        (Quantity.FUEL_PRESSURE_HIGH, "throttle-before-short-rail"),
        (Quantity.FUEL_PRESSURE_LOW, "throttle-before-short-low-side"),
    ):
        pressure, target = pull.first(quantity), pull.first(TARGET_OF[quantity])
        if pressure is None or target is None:
            continue
        goal = np.maximum(at(target, pressure.time_s), 1.0)
        worst = _peak_before(Samples(pressure.time_s, 100 * (1 - pressure.value / goal)), start_s)
        if worst is not None and worst > SHORT_FUEL_PERCENT:
            return say(key, short=amount(worst, "%"))
    return None


def _knocking(pull: Pull, start_s: float) -> Statement | None:
    peaks = [
        peak
        for name in pull.named(Quantity.KNOCK_RETARD)
        if (peak := _peak_before(finite(pull.samples[name]), start_s)) is not None
    ]
    if not peaks or max(peaks) <= KNOCK_DEG:
        return None
    return say("throttle-before-knock", retard=amount(max(peaks), "deg", 1))


def _torque_cut(pull: Pull, start_s: float) -> Statement | None:
    request = pull.first(Quantity.TORQUE_REQUEST)
    if request is None:
        return None
    near = request.between(start_s - BEFORE_CLOSURE_S, start_s + REQUEST_LATE_S)
    if len(near) < 2 or near.value[-1] > REQUEST_FALLS_TO * near.value.max():
        return None
    first, last = amount(float(near.value.max()), "Nm"), amount(float(near.value[-1]), "Nm")
    return say("throttle-before-torque-cut", first=first, last=last)


def triggers(pull: Pull, context: Context, start_s: float) -> list[Statement]:
    """What stood out in the half second before a closure, most telling first."""
    seen = (
        _over_boost(pull, context, start_s),
        _short_fuel(pull, start_s),
        _knocking(pull, start_s),
        _torque_cut(pull, start_s),
    )
    return [statement for statement in seen if statement is not None]


def _closure(
    pull: Pull, throttle: Samples, found: list[Stretch], opened: float, limits: Limits, ctx: Context
) -> Observation:
    worst = min(found, key=lambda s: float(throttle.value[s.indices].min()))
    least = float(throttle.value[worst.indices].min()) / opened * 100
    where = place(pull, worst.start_s, worst.end_s)
    before = triggers(pull, ctx, worst.start_s)
    statements = [
        say(
            "throttle-closed",
            least=amount(least, "%"),
            where=place_phrase(where),
            duration=amount(worst.duration_s, "s", 1),
        ),
        say("throttle-just-before", seen=listed(before)) if before else say("throttle-no-reason"),
    ]
    if len(found) > 1:
        statements.append(say("throttle-often", times=count(len(found))))
    limit = limits[CLOSED.name]
    sure = sureness(limit.value - least, 0.0, CLOSED_SPREAD_PERCENT)
    finding = beyond(limit, Severity.LOOK_CLOSER, tuple(statements), least, where)
    return Observation(Symptom.THROTTLE_CLOSED, sure, finding)


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Closures under full pedal, and what led to them."""
    everything = pull.first(Quantity.THROTTLE_POSITION)
    if everything is None:
        return []
    throttle, opened = pull.sweep(everything), full_open(pull, context)
    never = limits[NEVER_OPEN.name]
    if opened < never.value and context.kind.is_diesel:
        # Its flap helps exhaust recirculation, and many controllers count it from open to shut.
        return [note("throttle", say("throttle-diesel-flap", opened=amount(opened, "%")))]
    if opened < never.value:
        where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
        statement = say(
            "throttle-never-open", opened=amount(opened, "%"), limit=amount(never.value, "%")
        )
        finding = beyond(never, Severity.LOOK_CLOSER, statement, opened, where)
        return [Observation(Symptom.THROTTLE_CLOSED, NEVER_OPEN_SURE, finding)]
    found = closures(pull, throttle, opened, limits)
    if found:
        return [_closure(pull, throttle, found, opened, limits, context)]
    least = 100 * float(throttle.value.min()) / opened if len(throttle) else 100.0
    return [
        Observation(Symptom.THROTTLE_CLOSED, NOT_SEEN),
        healthy("throttle", _stayed_open(pull, opened), round(least, 1), limits[CLOSED.name]),
    ]


def _stayed_open(pull: Pull, opened: float) -> Statement:
    start, end = rpm(pull.bounds.start_rpm), rpm(pull.bounds.end_rpm)
    if opened > WHOLE_PERCENT:
        return say("throttle-stayed-open", start=start, end=end)
    return say("throttle-stayed-open-raw", opened=amount(opened, "%"), start=start, end=end)


CHECK: Final = Check(
    name="throttle",
    needs=((Quantity.THROTTLE_POSITION,),),
    limits=(CLOSED, CLOSED_FOR, NEVER_OPEN),
    judge=judge,
)
