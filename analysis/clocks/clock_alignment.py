"""The clocks of a session's sources brought together, pull by pull.

Each pull measures the offset of every source that sees a speed; what earlier pulls measured counts
too, the less the longer ago, because clocks drift. A source is moved only where its offset is
surely not zero, and the pull says so.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from analysis.clocks.clock_offset import Offset, offsets_of
from analysis.model.pull import Pull
from analysis.phrases.say import as_written
from decode.clocks import LARGEST_DRIFT_PPM
from decode.samples import Samples

SURE: Final = 2.0  # an offset beyond so many uncertainties is corrected
STEP: Final = 4.0  # a change beyond so many is a clock set anew, not drift
TOLD_DRIFT_S: Final = 0.005  # less is not worth a word
CLOCK_NOTE: Final = "Clocks: "  # begins what a pull says of its clocks


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
    for offset in offsets_of(pull):
        now[offset.source] = _tracked(tracks.get(offset.source), offset, at_s)
    off = {
        source: track.known
        for source, track in now.items()
        if abs(track.known.offset_s) > SURE * _uncertainty_s(track, at_s)
    }
    shifted = {n for n, channel in pull.channels.items() if channel.source in off}
    if not shifted:
        return Aligned(pull, now, ())
    samples = {
        name: _earlier(samples, off[pull.channels[name].source].offset_s)
        if name in shifted
        else samples
        for name, samples in pull.samples.items()
    }
    said = tuple(as_written(statement(now[source], at_s)) for source in off)
    bounds = replace(pull.bounds, notes=(*pull.bounds.notes, *said))
    return Aligned(replace(pull, bounds=bounds, samples=samples), now, tuple(off.values()))


def clock_statements(pull: Pull) -> Sequence[str]:
    """What was corrected in a pull's clocks, in words."""
    notes = pull.bounds.notes
    return [
        note.text.removeprefix(CLOCK_NOTE) for note in notes if note.text.startswith(CLOCK_NOTE)
    ]


def statement(track: ClockTrack, at_s: float) -> str:
    """What was found and done, in words."""
    offset_s = track.known.offset_s
    late = "late" if offset_s > 0 else "early"
    uncertainty_ms = 1e3 * SURE * _uncertainty_s(track, at_s)
    words = (
        f"{CLOCK_NOTE}{track.known.source} came {1e3 * abs(offset_s):.0f} ms {late} against engine "
        f"speed (+-{uncertainty_ms:.0f} ms at 95 %); its channels were moved by that."
    )
    drift_s = offset_s - track.first.offset_s
    spread_s = np.hypot(track.known.scatter_s, track.first.scatter_s)
    if abs(drift_s) > max(SURE * spread_s, TOLD_DRIFT_S):
        words += f" It has drifted by {1e3 * drift_s:+.0f} ms since the session's first pull."
    return words


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
