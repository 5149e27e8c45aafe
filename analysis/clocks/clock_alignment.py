"""The clocks of a session's sources brought together, pull by pull.

Each pull measures the offset of every source that sees a speed; what earlier pulls measured counts
too, the less the longer ago, because clocks drift. A source is moved only where its offset is
surely not zero, and the pull says so.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from analysis.clocks.clock_offset import Offset, offsets_of
from analysis.clocks.source_silences import source_silences, without_silences
from analysis.model.pull import Pull
from analysis.phrases.say import amount, say
from analysis.phrases.statement import Statement
from decode.clocks import LARGEST_DRIFT_PPM
from decode.samples import Samples

SURE: Final = 2.0  # an offset beyond so many uncertainties is corrected
STEP: Final = 4.0  # a change beyond so many is a clock set anew, not drift
LEAST_DRIFT_S: Final = 0.005  # less is not worth a word
MOVED_LATE: Final = "clocks-moved-late"  # keys of what a pull says of its clocks
MOVED_EARLY: Final = "clocks-moved-early"
DRIFTED: Final = "clocks-drifted"


@dataclass(frozen=True, slots=True)
class ClockTrack:
    """What a session knows of one source's clock: `known` at session time at_s, and the first."""

    known: Offset
    at_s: float
    first: Offset


@dataclass(frozen=True, slots=True)
class Aligned:
    """pull: with its sources' clocks brought together, a note in its bounds for each that moved.

    tracks: for the next pull of the session.
    """

    pull: Pull
    tracks: Mapping[str, ClockTrack]
    moved: tuple[Offset, ...]


def align(pull: Pull, tracks: Mapping[str, ClockTrack]) -> Aligned:
    """Measure, weigh with what the session knows, move what is surely off."""
    at_s = pull.bounds.start_s
    now = dict(tracks)
    for offset in offsets_of(without_silences(pull, source_silences(pull))):
        now[offset.source] = _tracked(tracks.get(offset.source), offset, at_s)
    off = {
        source: track.known
        for source, track in now.items()
        if abs(track.known.offset_s) > SURE * _uncertainty_s(track, at_s)
    }
    moved = moved_by(pull, off.values())
    if moved is pull:
        return Aligned(pull, now, ())
    said = [each for source in off for each in statements(now[source], at_s)]
    bounds = replace(pull.bounds, notes=(*pull.bounds.notes, *said))
    return Aligned(replace(moved, bounds=bounds), now, tuple(off.values()))


def together(pull: Pull, offsets: Iterable[Offset]) -> Pull:
    """The pull with the sources moved whose offset, as measured in it, is surely not zero."""
    return moved_by(pull, [offset for offset in offsets if is_sure(offset)])


def is_sure(offset: Offset) -> bool:
    """Whether a measured offset is surely not zero."""
    return abs(offset.offset_s) > SURE * offset.uncertainty_s


def moved_by(pull: Pull, offsets: Iterable[Offset]) -> Pull:
    """The pull with the channels of these sources earlier by their offsets; the same pull where it
    has no such channel."""
    late_s = {offset.source: offset.offset_s for offset in offsets}
    by_channel = {
        name: late_s[channel.source]
        for name, channel in pull.channels.items()
        if channel.source in late_s
    }
    if not by_channel:
        return pull
    samples = {
        name: _earlier(samples, by_channel[name]) if name in by_channel else samples
        for name, samples in pull.samples.items()
    }
    return replace(pull, samples=samples)


def clock_statements(pull: Pull) -> list[Statement]:
    """What was corrected in a pull's clocks."""
    ours = (MOVED_LATE, MOVED_EARLY, DRIFTED)
    return [note for note in pull.bounds.notes if note.key in ours]


def statements(track: ClockTrack, at_s: float) -> list[Statement]:
    """What was found and done."""
    source, offset_s = track.known.source, track.known.offset_s
    said = [
        say(
            MOVED_LATE if offset_s > 0 else MOVED_EARLY,
            source=source,
            offset=amount(1e3 * abs(offset_s), "ms"),
            uncertainty=amount(1e3 * SURE * _uncertainty_s(track, at_s), "ms"),
        )
    ]
    drift_s = offset_s - track.first.offset_s
    spread_s = np.hypot(track.known.scatter_s, track.first.scatter_s)
    if abs(drift_s) > max(SURE * spread_s, LEAST_DRIFT_S):
        said.append(say(DRIFTED, source=source, drift=amount(1e3 * drift_s, "ms", signed=True)))
    return said


def _tracked(track: ClockTrack | None, seen: Offset, at_s: float) -> ClockTrack:
    """The measured offset weighed with the known one, whose certainty drift wears off."""
    if track is None:
        return ClockTrack(seen, at_s, seen)
    worn_s = _scatter_s(track, at_s)
    if abs(seen.offset_s - track.known.offset_s) > STEP * np.hypot(worn_s, seen.uncertainty_s):
        return ClockTrack(seen, at_s, seen)
    weight = worn_s**2 / (worn_s**2 + seen.scatter_s**2) if worn_s > 0.0 else 0.0
    offset_s = track.known.offset_s + weight * (seen.offset_s - track.known.offset_s)
    scatter_s = float(np.sqrt(weight) * seen.scatter_s)
    known = replace(seen, offset_s=offset_s, scatter_s=scatter_s)
    return ClockTrack(known, at_s, track.first)


def _scatter_s(track: ClockTrack, at_s: float) -> float:
    drift_s = LARGEST_DRIFT_PPM * 1e-6 * abs(at_s - track.at_s)
    return float(np.hypot(track.known.scatter_s, drift_s))


def _uncertainty_s(track: ClockTrack, at_s: float) -> float:
    return float(np.hypot(_scatter_s(track, at_s), track.known.bias_s))


def _earlier(samples: Samples, by_s: float) -> Samples:
    return Samples(samples.time_s - by_s, samples.value)
