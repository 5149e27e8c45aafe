"""What can be wrong with one channel by itself: impossible, silent, stuck, clipped."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.causes.symptoms import SURE, Symptom
from analysis.checks.against_limit import place_phrase, sureness
from analysis.checks.plausible import ALWAYS_MOVING, POSSIBLE
from analysis.checks.stretches import Stretch, held_at, longest, place, stretches
from analysis.clocks.source_silences import SourceSilence, pauses_of
from analysis.model.findings import Where
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull, finite
from analysis.phrases.say import amount, as_given, count, say
from analysis.phrases.statement import Statement
from decode.cadence import SILENT_PERIODS, period_s
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import FloatArray, Samples

GAP = Limit(
    "data_quality.gap", 0.2, "s", COMMON_PRACTICE, "a silence this long (and five sample periods)"
)
STUCK = Limit(
    "data_quality.stuck",
    40.0,
    "%",
    COMMON_PRACTICE,
    "share of the sweep in which a channel that must move stands perfectly still",
)
CLIPPED = Limit(
    "data_quality.clipped",
    15.0,
    "%",
    COMMON_PRACTICE,
    "share of the sweep that a moving channel spends at exactly its highest value",
)
IMPOSSIBLE = Limit(
    "data_quality.impossible", 0.0, "samples", COMMON_PRACTICE, "values that cannot be"
)

CLIPPABLE: Final = ALWAYS_MOVING - {Quantity.LAMBDA}  # lambda may rest on a resolution step
LEAST_SAMPLES: Final = 10  # fewer say nothing about standing still
STILL_READINGS: Final = 5  # that are alike at least: one that did not come leaves the one before
STEPS_ACROSS: Final = 150  # a channel coarser than this may rest at its top by rounding alone
FEWEST_VALUES: Final = 6  # that a channel has shown, before its least step is its resolution
REST_STEPS: Final = 3.0  # of its own: a channel that moves no further may rest on one by rounding
# What control holds at one value rests on a step this coarse while all is well: pulsation and its
# own hunting are smaller. A finer last digit never stands still. Common practice.
COARSE_STEP: Final = {
    Quantity.LAMBDA: 0.005,
    Quantity.MANIFOLD_PRESSURE: 0.4,
    Quantity.BOOST_PRESSURE: 0.4,
    Quantity.FUEL_PRESSURE_HIGH: 50.0,
}
FOLLOWS_THROTTLE: Final = (Quantity.MANIFOLD_PRESSURE, Quantity.BOOST_PRESSURE)
DEMAND_GONE: Final = 0.5  # of fully open: what the engine holds at full load does not stay so
THROUGHOUT: Final = 90.0  # % of the sweep
WIDE_SWEEP: Final = 1.5  # end over start speed: no pressure is the same from one to the other
OVERSHOOT_STEPS: Final = 4.0  # a value that stops short of so many more has met its end
AIR_FUEL_RATIO: Final = 6.0  # no engine runs at full load with six times the air it needs
GAP_SPREAD: Final = 0.1  # of the silence allowed. Chosen, no published source
# How likely one silence is only a delayed message. Chosen, no published source.
DELAYED: Final = 0.5
ROUNDING: Final = 1e-3  # of a step: what decimal fractions in doubles leave of it


@dataclass(frozen=True, slots=True)
class ChannelFault:
    """present: how sure, 0 to 1."""

    symptom: Symptom
    limit: Limit
    statement: Statement
    value: float
    present: float
    where: Where


def _impossible(pull: Pull, name: str, inside: Samples, limits: Limits) -> ChannelFault | None:
    quantity = pull.channels[name].quantity
    if quantity is None or quantity not in POSSIBLE:
        return None
    low, high = POSSIBLE[quantity]
    wrong = np.flatnonzero((inside.value < low) | (inside.value > high))
    limit = limits[IMPOSSIBLE.name]
    if len(wrong) <= limit.value:
        return None
    worst = float(inside.value[wrong][np.abs(inside.value[wrong]).argmax()])
    where = place(pull, float(inside.time_s[wrong[0]]), float(inside.time_s[wrong[-1]]))
    turned = quantity is Quantity.KNOCK_RETARD and worst < low
    unit = HOUSE_UNIT[quantity]
    statement = say(
        "data-impossible-sign" if turned else "data-impossible",
        channel=name,
        value=as_given(worst, unit),
        least=as_given(low, unit),
        most=as_given(high, unit),
        wrong=count(len(wrong)),
        samples=count(len(inside)),
        where=place_phrase(where),
    )
    return ChannelFault(Symptom.CHANNEL_IMPOSSIBLE, limit, statement, len(wrong), SURE, where)


def _no_lambda(pull: Pull, name: str, inside: Samples, limits: Limits) -> ChannelFault | None:
    """An air-fuel ratio that the map takes for lambda would be called lean, and stop every run."""
    if pull.channels[name].quantity not in (Quantity.LAMBDA, Quantity.LAMBDA_TARGET):
        return None
    if not len(inside) or (value := float(np.median(inside.value))) < AIR_FUEL_RATIO:
        return None
    limit, where = limits[IMPOSSIBLE.name], place(pull, pull.bounds.start_s, pull.bounds.end_s)
    statement = say(
        "data-no-lambda", channel=name, value=amount(value, "1", 1), where=place_phrase(where)
    )
    return ChannelFault(Symptom.CHANNEL_IMPOSSIBLE, limit, statement, len(inside), SURE, where)


def _silent(
    pull: Pull, name: str, inside: Samples, limits: Limits, pauses: Sequence[SourceSilence]
) -> ChannelFault | None:
    times = np.concatenate(([pull.bounds.start_s], inside.time_s, [pull.bounds.end_s]))
    steps, limit = np.diff(times), limits[GAP.name]
    for pause in pauses_of(pull, name, pauses):  # of a source, which is told of itself
        shared = np.minimum(times[1:], pause.end_s) - np.maximum(times[:-1], pause.start_s)
        steps = steps - np.maximum(shared, 0.0)
    if steps.max() <= limit.value:
        return None
    allowed = max(limit.value, SILENT_PERIODS * period_s(times))
    silences = np.flatnonzero(steps > allowed)
    if len(silences) == 0:
        return None
    worst = int(steps.argmax())
    value, start_s = float(steps[worst]), float(times[worst])
    where = place(pull, start_s, start_s + value)
    silence, at = amount(value, "s", 1), place_phrase(where)
    statement = say("data-silent", channel=name, silence=silence, where=at)
    if len(silences) > 1:
        times_silent = count(len(silences))
        statement = say(
            "data-silent-often", channel=name, silence=silence, times=times_silent, where=at
        )
    sure = sureness(value, allowed, GAP_SPREAD * allowed)
    present = max(sure, 1.0 - DELAYED ** len(silences))
    return ChannelFault(Symptom.CHANNEL_GAPS, limit, statement, value, present, where)


def _share(inside: Samples, duration_s: float) -> float:
    """Of the time the channel was there, per cent."""
    return 100.0 * duration_s / float(inside.time_s[-1] - inside.time_s[0])


def _stuck(pull: Pull, name: str, inside: Samples, limits: Limits) -> ChannelFault | None:
    if pull.channels[name].quantity not in ALWAYS_MOVING or len(inside) < LEAST_SAMPLES:
        return None
    still = np.append(np.diff(inside.value) == 0.0, False)
    found, limit = longest(stretches(inside.time_s, still)), limits[STUCK.name]
    if found is None or found.last - found.first + 1 < STILL_READINGS:
        return None
    if (share := _share(inside, found.duration_s)) <= limit.value:
        return None
    value = inside.value[found.first]
    if found.first > 0 and value == inside.value.max() > inside.value.min():
        return None  # it ran up to there and stayed: clipped, not stuck
    if _may_rest(pull, name, inside, found):
        return None
    where = place(pull, found.start_s, found.end_s)
    statement = _standing("data-stuck", pull, name, float(value), share, where)
    return ChannelFault(Symptom.CHANNEL_STUCK, limit, statement, share, SURE, where)


def _standing(
    key: str, pull: Pull, name: str, value: float, share: float, where: Where
) -> Statement:
    return say(
        key,
        channel=name,
        value=as_given(value, pull.channels[name].unit),
        share=amount(share, "%"),
        where=place_phrase(where),
    )


def _may_rest(pull: Pull, name: str, inside: Samples, found: Stretch) -> bool:
    """Whether what moves may look still on this channel's own steps: it goes on moving by steps so
    few, or control holds it more closely than it is sent."""
    if _is_held_by_control(pull, name) and not _ignores_engine(pull, name, inside, found):
        return True
    step = _step(pull, name)
    moves_on = found.end_s < inside.time_s[-1]
    if step is None or not moves_on:
        return False
    return float(np.ptp(inside.value)) <= (REST_STEPS + ROUNDING) * step


def _step(pull: Pull, name: str) -> float | None:
    """The channel's resolution; None before it has shown values enough to tell."""
    distinct = np.unique(np.round(finite(pull.samples[name]).value, 6))
    return float(np.diff(distinct).min()) if len(distinct) >= FEWEST_VALUES else None


def _is_held_by_control(pull: Pull, name: str) -> bool:
    """Whether the channel's quantity is, and in steps too coarse to see control at work."""
    quantity, step = pull.channels[name].quantity, _step(pull, name)
    coarse = None if quantity is None else COARSE_STEP.get(quantity)
    return coarse is not None and (step is None or step >= (1.0 - ROUNDING) * coarse)


def _ignores_engine(pull: Pull, name: str, inside: Samples, found: Stretch) -> bool:
    """Whether it stands on although the demand has gone, or all the way through a wide sweep."""
    quantity, bounds = pull.channels[name].quantity, pull.bounds
    if quantity not in FOLLOWS_THROTTLE:
        return False
    value = inside.value[found.first]
    throughout = _share(inside, found.duration_s) > THROUGHOUT
    if throughout and bounds.end_rpm > WIDE_SWEEP * bounds.start_rpm:
        return True
    demand = pull.first(bounds.intent)
    after = finite(pull.samples[name]).between(found.start_s, np.inf)
    moved = np.flatnonzero(after.value != value)
    stood_s = after.time_s[: moved[0]] if len(moved) else after.time_s
    if demand is None:
        return False
    gone = held_at(demand, stood_s) < DEMAND_GONE * bounds.full_open
    return int(np.count_nonzero(gone)) > 1


def is_coarse(values: FloatArray) -> bool:
    """Whether the channel's steps are so large that its top can be a resting place."""
    distinct = np.unique(values)
    return len(distinct) < 2 or bool(np.diff(distinct).min() * STEPS_ACROSS > np.ptp(distinct))


def _stops_short(inside: Samples, found: Stretch) -> bool:
    """Whether the value ran up to its top and stopped at once; a smooth maximum slows down."""
    before = inside.between(found.start_s - found.duration_s / 2, found.start_s + 1e-9)
    if len(before) < 2:
        before = Samples(
            *(a[found.first - 1 : found.first + 1] for a in (inside.time_s, inside.value))
        )
    passed_s = float(before.time_s[-1] - before.time_s[0])
    rise = float(before.value[-1] - before.value[0]) / passed_s * found.duration_s / 2
    step = float(np.diff(np.unique(inside.value)).min())
    return rise > OVERSHOOT_STEPS * step


def _clipped(pull: Pull, name: str, inside: Samples, limits: Limits) -> ChannelFault | None:
    if pull.channels[name].quantity not in CLIPPABLE or len(inside) < LEAST_SAMPLES:
        return None
    top = float(inside.value.max())
    found = longest(stretches(inside.time_s, inside.value == top))
    limit = limits[CLIPPED.name]
    if found is None or found.last - found.first + 1 < STILL_READINGS:
        return None
    if (share := _share(inside, found.duration_s)) <= limit.value:
        return None
    if found.first == 0 or is_coarse(inside.value) or _is_held_by_control(pull, name):
        return None
    if not _stops_short(inside, found):
        return None
    where = place(pull, found.start_s, found.end_s)
    statement = _standing("data-clipped", pull, name, top, share, where)
    return ChannelFault(Symptom.CHANNEL_CLIPPED, limit, statement, share, SURE, where)


def fault_of(
    pull: Pull, name: str, limits: Limits, pauses: Sequence[SourceSilence] = ()
) -> ChannelFault | None:
    """The first thing found wrong with a channel by itself: impossible, silent, stuck or clipped;
    they overlap. pauses: of sources."""
    inside = pull.sweep(finite(pull.samples[name]))
    return (
        _impossible(pull, name, inside, limits)
        or _no_lambda(pull, name, inside, limits)
        or _silent(pull, name, inside, limits, pauses)
        or _stuck(pull, name, inside, limits)
        or _clipped(pull, name, inside, limits)
    )
