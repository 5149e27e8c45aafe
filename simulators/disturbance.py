"""What happens to good signals on their way: scale, noise, gaps, stamps out of order, cut ends."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from analysis.model.pull import EndReason
from decode.quantities import Quantity
from decode.samples import Channel, FloatArray, Samples
from simulators.truth import TruePull

SPIKE_RPM: Final = 6000.0  # a broken reading, far from anything an engine can do
FULL_PERCENT: Final = 100.0


@dataclass(frozen=True, slots=True)
class Disturbance:
    """pedal_top: what the pedal sends when fully down, percent. dropout_s: of every channel at
    once. starts_in_pull, ends_in_pull: the session is cut at this share of its first pull."""

    pedal_top: float = FULL_PERCENT
    pedal_noise: float = 0.0
    spikes_per_s: float = 0.0
    dropouts_per_s: float = 0.0
    dropout_s: float = 0.0
    duplicate_share: float = 0.0
    swapped_share: float = 0.0
    starts_in_pull: float | None = None
    ends_in_pull: float | None = None


def disturb(
    samples: Mapping[str, Samples],
    channels: Mapping[str, Channel],
    how: Disturbance,
    random: np.random.Generator,
) -> dict[str, Samples]:
    """The samples as they arrive; where stamps are swapped or repeated, times do not ascend."""
    gaps = _gaps(samples, how, random)
    return {
        name: _disordered(_without(_valued(found, channels[name], how, random), gaps), how, random)
        for name, found in samples.items()
    }


def _valued(
    samples: Samples, channel: Channel, how: Disturbance, random: np.random.Generator
) -> Samples:
    value = samples.value
    if channel.quantity is Quantity.PEDAL_POSITION:
        scatter = random.normal(0.0, 1.0, len(value)) * how.pedal_noise
        value = value * how.pedal_top / FULL_PERCENT + scatter
    if channel.quantity is Quantity.ENGINE_SPEED and how.spikes_per_s > 0.0 and len(value) > 1:
        usual_s = float(np.median(np.diff(samples.time_s)))
        spike = random.random(len(value)) < how.spikes_per_s * usual_s
        value = np.where(spike, value + SPIKE_RPM, value)
    return Samples(samples.time_s, value)


def _gaps(
    samples: Mapping[str, Samples], how: Disturbance, random: np.random.Generator
) -> list[tuple[float, float]]:
    end_s = max((s.time_s[-1] for s in samples.values() if len(s)), default=0.0)
    count = random.poisson(how.dropouts_per_s * end_s) if how.dropouts_per_s > 0.0 else 0
    return [(at, at + how.dropout_s) for at in random.uniform(0.0, end_s, count).tolist()]


def _without(samples: Samples, gaps: list[tuple[float, float]]) -> Samples:
    keep = np.ones(len(samples), dtype=bool)
    for start_s, end_s in gaps:
        keep &= (samples.time_s < start_s) | (samples.time_s > end_s)
    return Samples(samples.time_s[keep], samples.value[keep])


def _disordered(samples: Samples, how: Disturbance, random: np.random.Generator) -> Samples:
    """Some samples twice, some neighbours swapped."""
    order = np.arange(len(samples))
    if how.duplicate_share > 0.0:
        order = np.repeat(order, 1 + (random.random(len(order)) < how.duplicate_share))
    if how.swapped_share > 0.0:
        for index in np.flatnonzero(random.random(max(len(order) - 1, 0)) < how.swapped_share):
            order[[index, index + 1]] = order[[index + 1, index]]
    return Samples(samples.time_s[order], samples.value[order])


def cut_window(pulls: tuple[TruePull, ...], how: Disturbance) -> tuple[float, float]:
    """From when to when the session is recorded."""
    if not pulls:
        return -np.inf, np.inf
    first = pulls[0]
    length_s = first.end_s - first.start_s
    start_s = -np.inf if how.starts_in_pull is None else how.starts_in_pull
    end_s = np.inf if how.ends_in_pull is None else how.ends_in_pull
    return first.start_s + start_s * length_s, first.start_s + end_s * length_s


def cut_pulls(
    pulls: tuple[TruePull, ...], start_s: float, end_s: float, trace: Mapping[str, FloatArray]
) -> tuple[TruePull, ...]:
    """The true pulls as far as they lie in the window; what is cut is not complete. trace: the
    physics, for the speed at the cut."""
    found = []
    for pull in pulls:
        if pull.end_s <= start_s or pull.start_s >= end_s:
            continue
        if pull.start_s < start_s:
            rpm = float(np.interp(start_s, trace["time"], trace["engine_speed"]))
            pull = replace(pull, start_s=start_s, start_rpm=rpm, complete=False)
        if pull.end_s > end_s:
            rpm = float(np.interp(end_s, trace["time"], trace["engine_speed"]))
            reason = EndReason.SESSION_END
            pull = replace(pull, end_s=end_s, end_rpm=rpm, complete=False, end_reason=reason)
        found.append(pull)
    return tuple(found)
