"""Data: is what was logged good enough to say anything?

Bad data is never a healthy verdict: a channel that stands still, sits at the end of its range,
drops out or shows what cannot be makes every statement built on it worthless.
"""

from typing import Final

import numpy as np

from analysis.causes.symptoms import Observation, Symptom
from analysis.checks.check import Check, Context, healthy
from analysis.checks.clock_offset import of_pull
from analysis.checks.plausible import ALWAYS_MOVING, POSSIBLE, SLOW
from analysis.checks.stretches import longest, place, stretches
from analysis.checks.words import beyond, listed, span, sureness
from analysis.findings import Severity
from analysis.limits import COMMON_PRACTICE, Limit, Limits
from analysis.pull import Pull, finite
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Samples

RATE = Limit(
    "data_quality.rate",
    4.0,
    "samples per 1000 rpm",
    COMMON_PRACTICE,
    "fewer and a knock event or a closure falls between two samples",
)
GAP = Limit(
    "data_quality.gap", 0.5, "s", COMMON_PRACTICE, "a silence this long (or five sample periods)"
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
CLOCKS = Limit(
    "data_quality.clock_offset",
    0.1,
    "s",
    COMMON_PRACTICE,
    "at 500 rpm/s this puts torque 50 rpm beside its engine speed",
)

CLIPPABLE: Final = ALWAYS_MOVING - {Quantity.LAMBDA}  # lambda may rest on a resolution step
LEAST_SAMPLES: Final = 10  # fewer say nothing about standing still
TELLING_GAIN: Final = 1.5  # the misfit must fall by a third before clocks are blamed


def _sensor(
    symptom: Symptom,
    limit: Limit,
    statement: str,
    value: float,
    present: float,
    pull: Pull,
    start_s: float,
    end_s: float,
) -> Observation:
    where = place(pull, start_s, end_s)
    finding = beyond(limit, Severity.LOOK_CLOSER, f"{statement} {span(where)}.", value, where)
    return Observation(symptom, present, finding)


def _impossible(pull: Pull, name: str, inside: Samples, limits: Limits) -> Observation | None:
    quantity = pull.channels[name].quantity
    if quantity is None or quantity not in POSSIBLE:
        return None
    low, high = POSSIBLE[quantity]
    wrong = (inside.value < low) | (inside.value > high)
    count = int(np.count_nonzero(wrong))
    if count <= limits[IMPOSSIBLE.name].value:
        return None
    worst = float(inside.value[wrong][np.abs(inside.value[wrong]).argmax()])
    times = inside.time_s[wrong]
    statement = (
        f"{name} showed {worst:g} {HOUSE_UNIT[quantity]}, which cannot be "
        f"({low:g} to {high:g} can), in {count} of {len(inside)} samples"
    )
    return _sensor(
        Symptom.CHANNEL_IMPOSSIBLE,
        limits[IMPOSSIBLE.name],
        statement,
        count,
        0.95,
        pull,
        float(times[0]),
        float(times[-1]),
    )


def _stuck(pull: Pull, name: str, inside: Samples, limits: Limits) -> Observation | None:
    if pull.channels[name].quantity not in ALWAYS_MOVING or len(inside) < LEAST_SAMPLES:
        return None
    still = np.append(np.diff(inside.value) == 0.0, False)
    found = longest(stretches(inside.time_s, still))
    share = 100 * found.duration_s / (inside.time_s[-1] - inside.time_s[0]) if found else 0.0
    limit = limits[STUCK.name]
    if found is None or share <= limit.value:
        return None
    at_top = inside.value[found.first] == inside.value.max() > inside.value[0]
    if at_top and found.first > 0:
        return None  # that is clipping
    statement = f"{name} stood perfectly still for {share:.0f} % of the sweep,"
    return _sensor(
        Symptom.CHANNEL_STUCK, limit, statement, share, 0.95, pull, found.start_s, found.end_s
    )


def _clipped(pull: Pull, name: str, inside: Samples, limits: Limits) -> Observation | None:
    if pull.channels[name].quantity not in CLIPPABLE or len(inside) < LEAST_SAMPLES:
        return None
    top = float(inside.value.max())
    found = longest(stretches(inside.time_s, inside.value == top))
    share = 100 * found.duration_s / (inside.time_s[-1] - inside.time_s[0]) if found else 0.0
    limit = limits[CLIPPED.name]
    if found is None or found.first == 0 or share <= limit.value:
        return None
    statement = f"{name} sat at exactly {top:g} for {share:.0f} % of the sweep: clipped,"
    return _sensor(
        Symptom.CHANNEL_CLIPPED, limit, statement, share, 0.9, pull, found.start_s, found.end_s
    )


def _gaps(pull: Pull, name: str, inside: Samples, limits: Limits) -> Observation | None:
    times = np.concatenate(([pull.bounds.start_s], inside.time_s, [pull.bounds.end_s]))
    steps, limit = np.diff(times), limits[GAP.name]
    allowed = max(limit.value, 5 * float(np.median(steps)))
    worst = int(steps.argmax())
    if steps[worst] <= allowed:
        return None
    statement = f"{name} was silent for {steps[worst]:.1f} s"
    present = sureness(float(steps[worst]), allowed, 0.1 * allowed)
    return _sensor(
        Symptom.CHANNEL_GAPS,
        limit,
        statement,
        float(steps[worst]),
        present,
        pull,
        float(times[worst]),
        float(times[worst + 1]),
    )


def _rates(pull: Pull, limits: Limits) -> list[Observation]:
    """One finding for every channel that is too slow for this sweep."""
    swept = max(pull.bounds.end_rpm - pull.bounds.start_rpm, 1.0) / 1000
    limit, slow = limits[RATE.name], {}
    for name, channel in pull.channels.items():
        if channel.quantity is None or channel.quantity in SLOW:
            continue
        count = len(pull.sweep(finite(pull.samples[name])))
        if 0 < count / swept < limit.value:
            slow[name] = count / swept
    if not slow:
        return []
    words = listed([f"{name} ({rate:.1f})" for name, rate in slow.items()])
    statement = (
        f"Too few samples to judge by: {words} per 1,000 rpm where {limit.value:g} are needed; "
        "log faster or sweep slower."
    )
    return [Observation(finding=beyond(limit, Severity.LOOK_CLOSER, statement, min(slow.values())))]


def _clocks(pull: Pull, limits: Limits) -> Observation | None:
    found, limit = of_pull(pull), limits[CLOCKS.name]
    if found is None:
        return None
    present = sureness(abs(found.offset_s), limit.value, 0.02)
    if found.gain < TELLING_GAIN:
        return Observation(Symptom.CLOCKS_APART, min(present, 0.3))
    if present < 0.5:
        return Observation(Symptom.CLOCKS_APART, present)
    late = "late" if found.offset_s > 0 else "early"
    statement = (
        f"The roller's speed comes {abs(found.offset_s):.2f} s {late} against engine speed: the "
        "two sources' clocks are apart, so torque stands at the wrong engine speed."
    )
    finding = beyond(
        limit,
        Severity.LOOK_CLOSER,
        statement,
        abs(found.offset_s),
        place(pull, pull.bounds.start_s, pull.bounds.end_s),
    )
    return Observation(Symptom.CLOCKS_APART, present, finding)


def _channel(pull: Pull, name: str, limits: Limits) -> list[Observation]:
    """What is wrong with one channel; the first of the list that holds, for they overlap."""
    inside = pull.sweep(finite(pull.samples[name]))
    if pull.channels[name].quantity is None:
        return []
    for look in (_impossible, _gaps, _stuck, _clipped):
        seen = look(pull, name, inside, limits)
        if seen is not None:
            return [seen]
    return []


def _good(pull: Pull) -> Observation:
    counts = {
        name: len(pull.sweep(s)) for name, s in pull.samples.items() if pull.channels[name].quantity
    }
    span_s = pull.bounds.end_s - pull.bounds.start_s
    slowest = min(counts, key=lambda n: counts[n]) if counts else ""
    statement = (
        f"{len(counts)} channels without gaps, none stuck or clipped; the slowest, {slowest}, has "
        f"{counts.get(slowest, 0) / span_s:.0f} samples a second."
    )
    return healthy("data_quality", statement)


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Every channel for itself, then the clocks between sources."""
    seen = [o for name in pull.channels for o in _channel(pull, name, limits)]
    looked_for = {o.symptom for o in seen}
    seen += [
        Observation(symptom, 0.02)
        for symptom in (
            Symptom.CHANNEL_IMPOSSIBLE,
            Symptom.CHANNEL_GAPS,
            Symptom.CHANNEL_STUCK,
            Symptom.CHANNEL_CLIPPED,
        )
        if symptom not in looked_for
    ]
    seen += _rates(pull, limits)
    if (clocks := _clocks(pull, limits)) is not None:
        seen.append(clocks)
    if not any(o.finding for o in seen):
        seen.append(_good(pull))
    return seen


CHECK: Final = Check(
    name="data_quality",
    title="Data",
    needs=((Quantity.ENGINE_SPEED,),),
    limits=(RATE, GAP, STUCK, CLIPPED, IMPOSSIBLE, CLOCKS),
    judge=judge,
)
