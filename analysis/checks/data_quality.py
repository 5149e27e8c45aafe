"""Data: is what was logged good enough to say anything?

Bad data is never a healthy verdict: a channel that stands still, sits at the end of its range,
drops out, contradicts another or shows what cannot be makes every statement built on it
worthless. Such a channel is named here and kept from the other checks.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from analysis.causes.symptoms import EVEN, Observation, Symptom
from analysis.checks.against_limit import beyond, sureness
from analysis.checks.boost_pressure import barometric_kpa
from analysis.checks.channel_faults import (
    CLIPPED,
    GAP,
    IMPOSSIBLE,
    STUCK,
    ChannelFault,
    fault_of,
)
from analysis.checks.check import Check, Context, healthy, note
from analysis.checks.few_readings import RATE, READINGS, few_readings, is_too_little
from analysis.checks.paused_sources import paused_sources
from analysis.checks.plausible import POSSIBLE
from analysis.checks.power_figure import incredible_power
from analysis.checks.silent_channels import silences, spoke
from analysis.checks.stretches import at, place
from analysis.checks.throttle import throttle_open
from analysis.clocks.clock_alignment import clock_statements, is_sure, together
from analysis.clocks.clock_offset import Offset, offsets_of
from analysis.clocks.source_silences import SourceSilence, source_silences, without_silences
from analysis.model.findings import Finding, Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull, finite
from analysis.phrases.say import amount, count, say
from decode.quantities import Quantity
from decode.samples import FloatArray

NAME: Final = "data_quality"
CLOCKS = Limit(
    "data_quality.clock_offset",
    0.1,
    "s",
    COMMON_PRACTICE,
    "at 500 rpm/s this puts torque 50 rpm beside its engine speed",
)
DISAGREE = Limit(
    "data_quality.pressures_disagree",
    7.0,
    "kPa",
    "pressure sensors are good to 1 to 2 % of 300 kPa; " + COMMON_PRACTICE,
    "boost against manifold less barometric pressure, throttle open",
)
CLOCK_SPREAD_S: Final = 0.02  # at least: one sample of a usual roller
PRESSURE_SPREAD_KPA: Final = 1.5  # of the median. Chosen, no published source
NEARLY_ALL: Final = (0.1, 0.5, 0.9)  # quantiles: low, middle and high but for single samples


def _channels(
    pull: Pull, limits: Limits, context: Context, pauses: Sequence[SourceSilence]
) -> list[Observation]:
    """Every channel that means something, by itself."""
    seen = []
    for name, channel in pull.channels.items():
        if channel.quantity is None or not spoke(pull, name):
            continue
        fault = fault_of(pull, name, limits, pauses)
        if fault is None or _stands_at_ambient(pull, name, fault, context):
            continue
        finding = beyond(
            fault.limit, Severity.LOOK_CLOSER, fault.statement, fault.value, fault.where
        )
        seen.append(Observation(fault.symptom, fault.present, finding, (name,)))
    return seen  # what a channel does not show says nothing of what ails another


def _stands_at_ambient(pull: Pull, name: str, fault: ChannelFault, context: Context) -> bool:
    """Behind the open throttle of an engine that nothing calls boosted, pressure need not move."""
    if fault.symptom is not Symptom.CHANNEL_STUCK or context.kind.is_boosted:
        return False
    if pull.channels[name].quantity is not Quantity.MANIFOLD_PRESSURE:
        return False
    if pull.named(Quantity.BOOST_PRESSURE) or pull.named(Quantity.BOOST_TARGET):
        return False
    low, high = POSSIBLE[Quantity.BAROMETRIC_PRESSURE]
    return low <= float(np.median(pull.sweep(finite(pull.samples[name])).value)) <= high


def _boost_above(
    pull: Pull, other: Quantity, limits: Limits, context: Context, bad: set[str]
) -> tuple[list[str], FloatArray] | None:
    """The first channels of boost and of another pressure, and the first minus the second while
    the throttle is open: float64[n]. None where one is missing, unsound or hardly spoke."""
    names = [*pull.named(Quantity.BOOST_PRESSURE)[:1], *pull.named(other)[:1]]
    if len(names) < 2 or bad & set(names):
        return None
    boost, beside = (finite(pull.samples[name]) for name in names)
    inside = throttle_open(pull, pull.sweep(boost), limits, context)
    if len(inside) < 2 or len(beside) < 2:
        return None
    return names, inside.value - at(beside, inside.time_s)


def _pressures(pull: Pull, limits: Limits, context: Context, bad: set[str]) -> list[Observation]:
    """Boost against manifold and barometric pressure, where all of them are there and sound."""
    ambient = barometric_kpa(pull, context.setup)
    above = _boost_above(pull, Quantity.MANIFOLD_PRESSURE, limits, context, bad)
    if ambient is None or above is None:
        return []
    names, above_kpa = above
    difference = float(np.median(above_kpa + ambient))
    limit = limits[DISAGREE.name]
    present = sureness(abs(difference), limit.value, PRESSURE_SPREAD_KPA)
    if present < EVEN:
        return []
    statement = say(
        "data-pressure-above" if difference > 0 else "data-pressure-below",
        boost=names[0],
        manifold=names[1],
        difference=amount(abs(difference), "kPa", difference=True),
    )
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, abs(difference), where)
    return [Observation(Symptom.CHANNELS_DISAGREE, present, finding, tuple(names))]


def _an_atmosphere_apart(
    pull: Pull, limits: Limits, context: Context, bad: set[str]
) -> list[Observation]:
    """Boost and its target, one of them absolute: apart by the air's own pressure all the way."""
    ambient = barometric_kpa(pull, context.setup)
    above = _boost_above(pull, Quantity.BOOST_TARGET, limits, context, bad)
    if ambient is None or above is None:
        return []
    names, apart = above
    low, middle, high = (float(value) for value in np.quantile(apart, NEARLY_ALL))
    limit = limits[DISAGREE.name]
    if abs(abs(middle) - ambient) > limit.value or high - low > 2 * limit.value:
        return []
    statement = say(
        "data-atmosphere-apart",
        boost=names[0],
        target=names[1],
        difference=amount(abs(middle), "kPa", difference=True),
        absolute=names[0] if middle > 0 else names[1],
    )
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, abs(middle), where)
    return [Observation(finding=finding, distrust=tuple(names))]  # the map's fault, not a sensor's


def _clocks(pull: Pull, offsets: list[Offset], limits: Limits) -> list[Observation]:
    """What was corrected, and what still is apart."""
    statements = clock_statements(pull)
    corrected = [note(NAME, *statements)] if statements else []
    if not offsets:
        return corrected
    worst, limit = max(offsets, key=lambda o: abs(o.offset_s)), limits[CLOCKS.name]
    apart_s = abs(worst.offset_s)
    present = sureness(apart_s, limit.value, max(CLOCK_SPREAD_S, worst.uncertainty_s))
    if present < EVEN:
        return [*corrected, Observation(Symptom.CLOCKS_APART, present)]
    statement = say(
        "data-clock-late" if worst.offset_s > 0 else "data-clock-early",
        source=worst.source,
        offset=amount(apart_s, "s", 2),
    )
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    finding = beyond(limit, Severity.LOOK_CLOSER, statement, apart_s, where)
    # A sure offset is taken out before the other checks judge; an unsure one leaves slip unknown.
    rollers = () if is_sure(worst) else tuple(pull.named(Quantity.ROLLER_SPEED))
    return [*corrected, Observation(Symptom.CLOCKS_APART, present, finding, rollers)]


def _are_apart(seen: list[Observation]) -> bool:
    return any(o.symptom is Symptom.CLOCKS_APART and o.finding is not None for o in seen)


def _good(pull: Pull) -> Observation:
    counts = {
        name: len(pull.sweep(samples))
        for name, samples in pull.samples.items()
        if pull.channels[name].quantity is not None and spoke(pull, name)
    }
    slowest = min(counts, key=lambda name: counts[name])
    statement = say(
        "data-good",
        channels=count(len(counts)),
        slowest=slowest,
        times=count(counts[slowest]),
        lasted=amount(pull.bounds.end_s - pull.bounds.start_s, "s", 1),
    )
    return healthy(NAME, statement)


def _spoils(finding: Finding) -> bool:
    """Whether the data cannot be called good beside it."""
    return finding.severity is not Severity.NOTE or is_too_little(finding)


def judge_data(pull: Pull, limits: Limits, context: Context) -> tuple[list[Observation], Pull]:
    """What is seen of the data; and the pull by which the other checks judge: without what came
    while a source paused, and with clocks that are apart brought together."""
    pauses = source_silences(pull, limits[GAP.name].value)
    pull = without_silences(pull, pauses)
    offsets = offsets_of(pull)
    seen = [
        *paused_sources(pull, pauses, limits),
        *_channels(pull, limits, context, pauses),
        *silences(pull, limits, context, pauses),
    ]
    bad = {name for o in seen for name in o.distrust}
    seen += _pressures(pull, limits, context, bad)
    seen += _an_atmosphere_apart(pull, limits, context, bad)
    clocks = _clocks(pull, offsets, limits)
    seen += [*few_readings(pull, limits), *clocks, *incredible_power(pull, context)]
    if not any(o.finding is not None and _spoils(o.finding) for o in seen):
        seen.append(_good(pull))
    return seen, together(pull, offsets) if _are_apart(clocks) else pull


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Every channel for itself, then one against another, then the clocks between sources."""
    return judge_data(pull, limits, context)[0]


CHECK: Final = Check(
    name=NAME,
    needs=((Quantity.ENGINE_SPEED,),),
    limits=(RATE, READINGS, GAP, STUCK, CLIPPED, IMPOSSIBLE, DISAGREE, CLOCKS),
    judge=judge,
)
