"""Throttle: does it stay open while the driver asks for everything?

An electronic throttle that closes under full pedal is the engine protecting itself; the half
second before says from what. One that opens step by step as speed rises is led by the controller (a
motorcycle's second flap, a torque model): only what had been open can close. Fully open is what
this throttle reads when fully open (88 % raw is common), never 100 % by assumption. A diesel's flap
sets no torque: it is told and not judged.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.causes.symptoms import NOT_SEEN, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.boost_pressure import gauge_boost
from analysis.checks.check import Check, Context, healthy, note
from analysis.checks.stretches import Stretch, at, held_at, lasting, place, stretches
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import EndReason, Pull, finite
from analysis.phrases.say import amount, count, listed, rpm, say
from analysis.phrases.statement import Amount, Statement
from decode.quantities import TARGET_OF, Quantity
from decode.samples import FloatArray, Samples

BEFORE_CLOSURE_S: Final = 0.5  # protection reacts within a few control periods of 10 to 100 ms
SETTLE_S: Final = 0.7  # boost control settles within this after the throttle has opened again
END_MARGIN_S: Final = 0.3  # before a lift, the limiter, a change of gear: no protection there
OPENS_LATE_S: Final = 0.3  # into the sweep: a throttle that is not open by then is led
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
    # a lift between two readings is known only by the second
    following = np.minimum(np.searchsorted(pedal.time_s, time_s, side="right"), len(pedal) - 1)
    least = np.minimum(held_at(pedal, time_s), pedal.value[following])
    asked: NDArray[np.bool_] = least >= FULL_PEDAL * top
    return asked


def under_full_pedal(pull: Pull, throttle: Samples) -> Samples:
    """The throttle where the driver asks for everything, from the hold before the sweep on, until
    shortly before what ends the pull: a lift, the limiter and a change of gear close it too."""
    bounds = pull.bounds
    closes_too = bounds.end_reason in (EndReason.LIFT, EndReason.LIMITER, EndReason.GEAR_CHANGE)
    end_s = bounds.end_s - (END_MARGIN_S if closes_too else 0.0)
    before = throttle.between(throttle.time_s[0], np.nextafter(end_s, np.inf))
    asked = _full_pedal(pull, before.time_s)
    return Samples(before.time_s[asked], before.value[asked])


def opened_from_s(asked: Samples, opened: float, limits: Limits) -> float | None:
    """When the throttle was first open under full pedal; None where it never was."""
    is_open = asked.value >= limits[CLOSED.name].value / 100 * opened
    return float(asked.time_s[int(is_open.argmax())]) if is_open.any() else None


def closures(pull: Pull, throttle: Samples, opened: float, limits: Limits) -> list[Stretch]:
    """Where the throttle was closed under full pedal after it had been open; throttle: its samples
    in the pull."""
    everything = pull.first(Quantity.THROTTLE_POSITION)
    asked_for = under_full_pedal(pull, throttle if everything is None else everything)
    from_s, last_s = opened_from_s(asked_for, opened, limits), asked_for.time_s.max(initial=0.0)
    asked = _full_pedal(pull, throttle.time_s)
    closed = throttle.value < limits[CLOSED.name].value / 100 * opened
    found = stretches(throttle.time_s, asked & closed, limits[CLOSED_FOR.name].value)
    return [s for s in found if s.start_s <= last_s and (from_s is None or s.start_s >= from_s)]


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
    pedal = pull.first(Quantity.PEDAL_POSITION) is not None
    statements = [
        say(
            "throttle-closed" if pedal else "throttle-closed-no-pedal",
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
    if found and context.kind.is_diesel:
        least = min(float(throttle.value[s.indices].min()) for s in found)
        return [note("throttle", say("throttle-diesel-flap-moved", least=amount(least, "%")))]
    if found:
        return [_closure(pull, throttle, found, opened, limits, context)]
    return [Observation(Symptom.THROTTLE_CLOSED, NOT_SEEN), _well(pull, everything, opened, limits)]


def _well(pull: Pull, throttle: Samples, opened: float, limits: Limits) -> Observation:
    """That it stayed open, from where on; value: the lowest that it stayed at for as long as a
    closure lasts."""
    asked = under_full_pedal(pull, throttle)
    start_s = max(opened_from_s(asked, opened, limits) or 0.0, pull.bounds.start_s)
    asked = asked.between(start_s, np.inf)
    if len(asked) == 0:
        return note("throttle", say("throttle-not-asked"))
    least = -lasting(asked.time_s, -asked.value, limits[CLOSED_FOR.name].value)
    start_rpm, reached_rpm = pull.engine_speed_at(np.array([pull.bounds.start_s, start_s]))
    later = start_s - pull.bounds.start_s > OPENS_LATE_S
    from_rpm = rpm(reached_rpm) if later else rpm(pull.bounds.start_rpm)
    statements = [_stayed_open(opened, from_rpm, rpm(pull.bounds.end_rpm))]
    if later:
        first = float(at(throttle, np.array([pull.bounds.start_s]))[0])
        share = amount(100.0 * first / opened, "%")
        statements.append(say("throttle-opened-late", share=share, start=rpm(start_rpm)))
    value = round(100.0 * least / opened, 1)
    return healthy("throttle", tuple(statements), value, limits[CLOSED.name])


def _stayed_open(opened: float, start: Amount, end: Amount) -> Statement:
    if opened > WHOLE_PERCENT:
        return say("throttle-stayed-open", start=start, end=end)
    return say("throttle-stayed-open-raw", opened=amount(opened, "%"), start=start, end=end)


CHECK: Final = Check(
    name="throttle",
    needs=((Quantity.THROTTLE_POSITION,),),
    limits=(CLOSED, CLOSED_FOR, NEVER_OPEN),
    judge=judge,
)
