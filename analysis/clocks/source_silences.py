"""When a source said nothing: its adapter, cable or device, or the computer that stood still.

That is one event of the source and no fault of the channels it carries. What arrives behind such a
pause may have waited somewhere, so that its times are those of its coming: the pause lasts until
the source is back in its rhythm. Of the pull nothing can be said while it lasts.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from analysis.model.pull import Pull
from decode.cadence import SILENT_PERIODS, period_s
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

SHORTEST_S: Final = 0.2  # a busy computer's hiccup is shorter
IN_RHYTHM: Final = 0.5  # of the usual interval: what comes quicker has waited
OFTEN_S: Final = 0.1  # a channel that comes more seldom shows no rhythm behind a pause
LEAST_TOGETHER: Final = 3  # channels of one source that pause alike: not their sensors
ALIKE: Final = 0.8  # of the longer pause lies in both


@dataclass(frozen=True, slots=True)
class SourceSilence:
    """channels: those that were silent. whole: all that the source carries."""

    source: str
    start_s: float
    end_s: float
    channels: tuple[str, ...]
    whole: bool

    @property
    def duration_s(self) -> float:
        """How long nothing of it can be judged."""
        return self.end_s - self.start_s


def source_silences(pull: Pull, at_least_s: float = SHORTEST_S) -> tuple[SourceSilence, ...]:
    """Every pause of a source, or of several channels of one, inside the pull; by time."""
    by_source: dict[str, list[str]] = {}
    for name, channel in pull.channels.items():
        if channel.source and len(pull.samples[name]):
            by_source.setdefault(channel.source, []).append(name)
    found = [
        silence
        for source, names in by_source.items()
        for silence in _of_source(pull, source, names, at_least_s)
    ]
    return tuple(sorted(found, key=lambda silence: silence.start_s))


def without_silences(pull: Pull, silences: Sequence[SourceSilence]) -> Pull:
    """The pull without what came in its sources' pauses; where engine speed paused, nothing that
    came meanwhile has a place in the sweep."""
    if not silences:
        return pull
    samples = {
        name: _without(each, pauses_of(pull, name, silences)) for name, each in pull.samples.items()
    }
    return replace(pull, samples=samples)


def pauses_of(pull: Pull, name: str, silences: Sequence[SourceSilence]) -> list[SourceSilence]:
    """Those in which a channel says nothing: its own, and those of engine speed."""
    speed = next(iter(pull.named(Quantity.ENGINE_SPEED)), name)
    return [s for s in silences if name in s.channels or speed in s.channels]


def _of_source(
    pull: Pull, source: str, names: list[str], at_least_s: float
) -> Iterable[SourceSilence]:
    columns = {name: pull.samples[name].time_s for name in names}
    heard_s = np.unique(np.concatenate(list(columns.values())))
    whole = [
        SourceSilence(source, start_s, _in_rhythm_s(columns.values(), end_s), tuple(names), True)
        for start_s, end_s in _pauses(pull, heard_s, at_least_s)
    ]
    alone = [
        (name, start_s, end_s)
        for name, time_s in columns.items()
        for start_s, end_s in _pauses(pull, time_s, at_least_s)
        if not any(s.start_s < end_s and start_s < s.end_s for s in whole)
    ]
    together = []
    while alone:
        _, start_s, end_s = alone[0]
        alike = [each for each in alone if _overlap(each[1:], (start_s, end_s)) >= ALIKE]
        alone = [each for each in alone if each not in alike]
        if len(alike) >= LEAST_TOGETHER and len(alike) < len(names):
            paused = tuple(name for name, *_ in alike)
            first_s, last_s = min(a[1] for a in alike), max(a[2] for a in alike)
            last_s = _in_rhythm_s([columns[name] for name in paused], last_s)
            together.append(SourceSilence(source, first_s, last_s, paused, False))
    return [*whole, *together]


def _pauses(pull: Pull, time_s: FloatArray, at_least_s: float) -> list[tuple[float, float]]:
    """The pauses that reach into the sweep, its own ends counted as heard."""
    bounds = pull.bounds
    allowed_s = max(at_least_s, SILENT_PERIODS * period_s(time_s))
    before, after = time_s < bounds.start_s, time_s > bounds.end_s
    inside = not (before | after).all()
    heard = [
        (bounds.start_s, inside or not before.any()),
        (bounds.end_s, inside or not after.any()),
    ]
    known = np.union1d(time_s, [at_s for at_s, counts in heard if counts])
    longest = np.flatnonzero(np.diff(known) > allowed_s)
    return [
        (float(known[i]), float(known[i + 1]))
        for i in longest
        if known[i] < bounds.end_s and known[i + 1] > bounds.start_s
    ]


def _overlap(one: tuple[float, float], other: tuple[float, float]) -> float:
    """How much of the longer of two pauses lies in both."""
    shared_s = min(one[1], other[1]) - max(one[0], other[0])
    return shared_s / max(one[1] - one[0], other[1] - other[0])


def _in_rhythm_s(columns: Iterable[FloatArray], resumed_s: float) -> float:
    """From when on every channel comes as usual again: the first value of each may be of a
    damaged record, and what comes quicker than usual has waited."""
    latest_s = resumed_s
    for time_s in columns:
        after = time_s[time_s >= resumed_s]
        usual_s = period_s(time_s)
        if not 0.0 < usual_s <= OFTEN_S:
            continue
        usual = np.flatnonzero(np.diff(after) >= IN_RHYTHM * usual_s)
        if len(usual):
            latest_s = max(latest_s, float(after[usual[0]]))
    return latest_s


def _without(samples: Samples, silences: Sequence[SourceSilence]) -> Samples:
    kept = np.ones(len(samples), dtype=bool)
    for silence in silences:
        kept &= (samples.time_s < silence.start_s) | (samples.time_s > silence.end_s)
    return samples if kept.all() else Samples(samples.time_s[kept], samples.value[kept])
