"""One pull: its place in the session and every channel around it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

import numpy as np

from analysis.phrases.statement import Statement
from decode.quantities import Quantity
from decode.readings import readings_of_columns
from decode.samples import Channel, FloatArray, Samples

BEFORE_S: Final = 3.0  # channels are kept from this long before the sweep ...
AFTER_S: Final = 1.0  # ... until at most this long after its end: what has come when it is told


class SectionKind(StrEnum):
    """What happens in one stretch of a pull."""

    HOLD = "hold"  # full pedal, held at speed by the brake
    SWEEP = "sweep"  # engine speed rises at full pedal
    CLOSURE = "closure"  # the throttle closes while the driver still asks for everything
    LIMITER = "limiter"  # bouncing at the speed limiter
    LIFT = "lift"  # the driver lets go


class EndReason(StrEnum):
    """Why a pull is over."""

    LIFT = "lift"
    LIMITER = "limiter"
    GEAR_CHANGE = "gear_change"
    STALLED = "stalled"  # speed no longer rises though the pedal is down
    SESSION_END = "session_end"
    SOURCE_LOST = "source_lost"


@dataclass(frozen=True, slots=True)
class Section:
    """Part of a pull, on the session clock."""

    kind: SectionKind
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class PullBounds:
    """What the segmenter decides.

    start_s: the sweep leaves its hold speed. end_s: the lift, or the limiter. intent: the quantity
    that was taken as the driver's wish. full_open: its value that was taken as fully open.
    """

    start_s: float
    end_s: float
    start_rpm: float
    end_rpm: float
    complete: bool
    end_reason: EndReason
    intent: Quantity
    full_open: float
    sections: tuple[Section, ...] = ()
    notes: tuple[Statement, ...] = ()


@dataclass(frozen=True, slots=True)
class Refused:
    """A candidate that is not a pull, and why."""

    start_s: float
    end_s: float
    reason: Statement


@dataclass(frozen=True, slots=True)
class Pull:
    """A pull and its channels from BEFORE_S before the sweep to a moment after its end.

    The pull is cut when it is told, so that nobody waits for it: channels end with what has come
    by then, some tenths of a second after the end and AFTER_S at most. A recording is
    replayed in the same pieces and cut at the same point; a table, read in large pieces, has the
    whole of AFTER_S where the session goes on.
    number: from 1 in the session. channels and samples share their keys, the channel names.
    """

    number: int
    bounds: PullBounds
    channels: Mapping[str, Channel]
    samples: Mapping[str, Samples]

    def named(self, quantity: Quantity) -> list[str]:
        """The names of the channels that carry the quantity, in the map's order."""
        return [name for name, channel in self.channels.items() if channel.quantity is quantity]

    def first(self, quantity: Quantity) -> Samples | None:
        """The samples of the first channel with the quantity, NaN left out; None where there is
        none with at least two samples."""
        for name in self.named(quantity):
            samples = finite(self.samples[name])
            if len(samples) >= 2:
                return samples
        return None

    def per_cylinder(self, quantity: Quantity) -> dict[int, Samples]:
        """The samples of each cylinder's own channel, NaN left out."""
        return {
            cylinder: finite(self.samples[name])
            for name in self.named(quantity)
            if (cylinder := self.channels[name].cylinder) is not None
        }

    def sweep(self, samples: Samples) -> Samples:
        """The part of a channel inside the pull's bounds, both ends included."""
        return samples.between(self.bounds.start_s, np.nextafter(self.bounds.end_s, np.inf))

    def engine_speed_at(self, time_s: FloatArray) -> FloatArray:
        """Engine speed in rpm at the given times, linear between samples, float64[n].

        Raises LookupError for a pull without engine speed (the segmenter never makes one).
        """
        speed = self.first(Quantity.ENGINE_SPEED)
        if speed is None:
            raise LookupError("a pull without engine speed")
        return np.interp(time_s, speed.time_s, speed.value)


def finite(samples: Samples) -> Samples:
    """Without the samples whose value is not available."""
    known = np.isfinite(samples.value)
    return samples if known.all() else Samples(samples.time_s[known], samples.value[known])


def as_read(pull: Pull) -> Pull:
    """The pull with the samples that were read anew: a held value, written again and again, is one
    reading. The same pull where nothing is held."""
    known = {name: finite(samples) for name, samples in pull.samples.items()}
    read = readings_of_columns(known)
    held = {name: samples for name, samples in read.items() if len(samples) < len(known[name])}
    return replace(pull, samples={**pull.samples, **held}) if held else pull
