"""Silence is a fault: a source that stops delivering leaves the calibrator blind."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

# Ten missed deliveries are no accident; a source that sends rarely is granted its own rhythm.
MISSED_DELIVERIES: Final = 10.0
SHORTEST_SILENCE_S: Final = 1.0  # below it a busy machine's hiccup would count as a fault
LONGEST_SILENCE_S: Final = 30.0
START_GRACE_S: Final = 5.0  # opening a port, an adapter's start-up, the ignition key
RHYTHM_WEIGHT: Final = 0.1  # of the newest interval in the running mean: about ten of them count


@dataclass(frozen=True, slots=True)
class SilenceChange:
    """A source has fallen silent, or is heard again. silent_s: since it was last heard."""

    source: str
    silent: bool
    silent_s: float


@dataclass(slots=True)
class _SourceRhythm:
    last_s: float
    interval_s: float | None = None
    spoke: bool = False
    silent: bool = False
    in_rhythm: bool = False  # the last delivery was no return from a silence

    def limit_s(self) -> float:
        if not self.spoke:
            return START_GRACE_S
        missed_s = MISSED_DELIVERIES * (self.interval_s or 0.0)
        return min(max(missed_s, SHORTEST_SILENCE_S), LONGEST_SILENCE_S)


class Watchdog:
    """Watches named sources; all times are seconds of one real clock, never of a fast demo's."""

    def __init__(self, sources: Iterable[str], now_s: float) -> None:
        self._heard = {name: _SourceRhythm(now_s) for name in sources}

    def note_arrival(self, source: str, now_s: float) -> None:
        """The source has delivered something."""
        entry = self._heard[source]
        if entry.in_rhythm:
            interval_s = now_s - entry.last_s
            known_s = interval_s if entry.interval_s is None else entry.interval_s
            entry.interval_s = known_s + RHYTHM_WEIGHT * (interval_s - known_s)
        entry.last_s = now_s
        entry.spoke = entry.in_rhythm = True

    def quiet_s(self, now_s: float) -> float:
        """Since any source has delivered something, or since the watch began."""
        return now_s - max(entry.last_s for entry in self._heard.values())

    def check(self, now_s: float) -> list[SilenceChange]:
        """What has changed since the last check."""
        changes = []
        for name, entry in self._heard.items():
            silent_s = now_s - entry.last_s
            silent = silent_s > entry.limit_s()
            if silent != entry.silent:
                entry.silent = silent
                entry.in_rhythm = not silent
                changes.append(SilenceChange(name, silent, silent_s))
        return changes
