"""What can be wrong with one channel by itself: impossible, silent, stuck, clipped."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.causes.symptoms import Symptom
from analysis.checks.plausible import ALWAYS_MOVING, POSSIBLE
from analysis.checks.stretches import Stretch, longest, stretches
from analysis.checks.words import sureness
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull, finite
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
PERIODS: Final = 5.0  # a busy bus delays a message by two or three periods, not five
STEPS_ACROSS: Final = 150  # a channel coarser than this may rest at its top by rounding alone
FEWEST_VALUES: Final = 6  # that a channel has shown, before its least step is its resolution
REST_STEPS: Final = 3.0  # of its own: a channel that moves no further may rest on one by rounding
LAMBDA_STEP: Final = 0.005  # control holds lambda this well: coarser steps rest while it works
AIR_FUEL_RATIO: Final = 6.0  # no engine runs at full load with six times the air it needs
SURE: Final = 0.995  # of what is counted, not estimated


@dataclass(frozen=True, slots=True)
class ChannelFault:
    """words: completed by where it was. present: how sure, 0 to 1."""

    symptom: Symptom
    limit: Limit
    words: str
    value: float
    present: float
    start_s: float
    end_s: float


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
    words = (
        f"{name} showed {_amount(worst, HOUSE_UNIT[quantity])}, which cannot be "
        f"({low:g} to {high:g} can), in {len(wrong)} of {len(inside)} samples"
    )
    if quantity is Quantity.KNOCK_RETARD and worst < low:
        words += " (retard counts positive: turn the sign in the map)"
    first_s, last_s = inside.time_s[wrong[0]], inside.time_s[wrong[-1]]
    return ChannelFault(
        Symptom.CHANNEL_IMPOSSIBLE, limit, words, len(wrong), SURE, float(first_s), float(last_s)
    )


def _amount(value: float, unit: str) -> str:
    return f"{value:g}" if unit == "1" else f"{value:g} {unit}"


def _no_lambda(pull: Pull, name: str, inside: Samples, limits: Limits) -> ChannelFault | None:
    """An air-fuel ratio that the map takes for lambda would be called lean, and stop every run."""
    if pull.channels[name].quantity not in (Quantity.LAMBDA, Quantity.LAMBDA_TARGET):
        return None
    if not len(inside) or (value := float(np.median(inside.value))) < AIR_FUEL_RATIO:
        return None
    words = (
        f"{name} read about {value:.1f}, which no engine runs with at full load: an air-fuel ratio "
        "that the map takes for lambda, or a sensor in air,"
    )
    limit, start_s, end_s = limits[IMPOSSIBLE.name], pull.bounds.start_s, pull.bounds.end_s
    return ChannelFault(Symptom.CHANNEL_IMPOSSIBLE, limit, words, len(inside), SURE, start_s, end_s)


def _silent(pull: Pull, name: str, inside: Samples, limits: Limits) -> ChannelFault | None:
    times = np.concatenate(([pull.bounds.start_s], inside.time_s, [pull.bounds.end_s]))
    steps, limit = np.diff(times), limits[GAP.name]
    if steps.max() <= limit.value:
        return None
    allowed = max(limit.value, PERIODS * float(np.median(steps)))
    silences = np.flatnonzero(steps > allowed)
    if len(silences) == 0:
        return None
    worst = int(steps.argmax())
    often = f" ({len(silences)} times)" if len(silences) > 1 else ""
    words = f"{name} was silent for {steps[worst]:.1f} s{often}"
    value, start_s = float(steps[worst]), float(times[worst])
    present = max(sureness(value, allowed, 0.1 * allowed), 1.0 - 0.5 ** len(silences))
    return ChannelFault(
        Symptom.CHANNEL_GAPS, limit, words, value, present, start_s, start_s + value
    )


def _share(inside: Samples, duration_s: float) -> float:
    """Of the time the channel was there, per cent."""
    return 100.0 * duration_s / float(inside.time_s[-1] - inside.time_s[0])


def _stuck(pull: Pull, name: str, inside: Samples, limits: Limits) -> ChannelFault | None:
    if pull.channels[name].quantity not in ALWAYS_MOVING or len(inside) < LEAST_SAMPLES:
        return None
    still = np.append(np.diff(inside.value) == 0.0, False)
    found, limit = longest(stretches(inside.time_s, still)), limits[STUCK.name]
    if found is None or (share := _share(inside, found.duration_s)) <= limit.value:
        return None
    value = inside.value[found.first]
    if found.first > 0 and value == inside.value.max() > inside.value.min():
        return None  # it ran up to there and stayed: clipped, not stuck
    if _may_rest(pull, name, inside, found):
        return None
    amount = _amount(value, pull.channels[name].unit)
    words = f"{name} stood perfectly still at {amount} for {share:.0f} % of the sweep,"
    return ChannelFault(
        Symptom.CHANNEL_STUCK, limit, words, share, SURE, found.start_s, found.end_s
    )


def _may_rest(pull: Pull, name: str, inside: Samples, found: Stretch) -> bool:
    """Whether what moves may look still on this channel's own steps: it goes on moving by steps so
    few, or it is a lambda that is sent more coarsely than control holds it."""
    distinct = np.unique(np.round(finite(pull.samples[name]).value, 6))
    if len(distinct) < FEWEST_VALUES:
        return False
    step = float(np.diff(distinct).min())
    if pull.channels[name].quantity is Quantity.LAMBDA and step >= 0.999 * LAMBDA_STEP:
        return True
    moves_on = found.end_s < inside.time_s[-1]
    return moves_on and float(np.ptp(inside.value)) <= (REST_STEPS + 1e-3) * step


def is_coarse(values: FloatArray) -> bool:
    """Whether the channel's steps are so large that its top can be a resting place."""
    distinct = np.unique(values)
    return len(distinct) < 2 or bool(np.diff(distinct).min() * STEPS_ACROSS > np.ptp(distinct))


def _clipped(pull: Pull, name: str, inside: Samples, limits: Limits) -> ChannelFault | None:
    if pull.channels[name].quantity not in CLIPPABLE or len(inside) < LEAST_SAMPLES:
        return None
    top = float(inside.value.max())
    found = longest(stretches(inside.time_s, inside.value == top))
    limit = limits[CLIPPED.name]
    if found is None or (share := _share(inside, found.duration_s)) <= limit.value:
        return None
    if found.first == 0 or is_coarse(inside.value):
        return None
    words = f"{name} sat at exactly {top:g} for {share:.0f} % of the sweep: clipped,"
    return ChannelFault(
        Symptom.CHANNEL_CLIPPED, limit, words, share, SURE, found.start_s, found.end_s
    )


LOOKS: Final[tuple[Callable[[Pull, str, Samples, Limits], ChannelFault | None], ...]] = (
    _impossible,
    _no_lambda,
    _silent,
    _stuck,
    _clipped,
)


def fault_of(pull: Pull, name: str, limits: Limits) -> ChannelFault | None:
    """The first thing found wrong with a channel, in the order of LOOKS: they overlap."""
    inside = pull.sweep(finite(pull.samples[name]))
    found = (look(pull, name, inside, limits) for look in LOOKS)
    return next((fault for fault in found if fault is not None), None)
