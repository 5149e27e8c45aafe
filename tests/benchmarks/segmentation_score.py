"""Scores of found against true pulls: overlap, boundary errors, announcement."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Final

OVERLAP: Final = 0.9  # intersection over union from which a pull counts as found


@dataclass(frozen=True, slots=True)
class Span:
    """A pull as a scorer sees it. announced_s: of a found pull, None where nothing is announced.
    shown_s: of a true pull, when the first reading came that shows its end."""

    start_s: float
    end_s: float
    start_rpm: float
    end_rpm: float
    announced_s: float | None = None
    shown_s: float | None = None


def overlap(one: Span, other: Span) -> float:
    """Intersection over union in time."""
    shared = min(one.end_s, other.end_s) - max(one.start_s, other.start_s)
    whole = max(one.end_s, other.end_s) - min(one.start_s, other.start_s)
    return max(shared, 0.0) / whole if whole > 0.0 else 0.0


@dataclass(slots=True)
class Score:
    """Counts and errors, added up over sessions. Errors are of pulls that overlap at all by half,
    so that a badly placed bound is not left out."""

    true_found: int = 0
    missed: int = 0
    false: int = 0
    start_ms: list[float] = field(default_factory=list)
    end_ms: list[float] = field(default_factory=list)
    start_rpm: list[float] = field(default_factory=list)
    end_rpm: list[float] = field(default_factory=list)
    announced_ms: list[float] = field(default_factory=list)  # from the end
    after_shown_ms: list[float] = field(default_factory=list)  # from the reading that shows it

    @property
    def precision(self) -> float:
        """1 where nothing was found."""
        found = self.true_found + self.false
        return self.true_found / found if found else 1.0

    @property
    def recall(self) -> float:
        """1 where there was nothing to find."""
        there = self.true_found + self.missed
        return self.true_found / there if there else 1.0

    @property
    def f1(self) -> float:
        """Harmonic mean of precision and recall."""
        both = self.precision + self.recall
        return 2.0 * self.precision * self.recall / both if both else 0.0

    def add(self, truth: Sequence[Span], found: Sequence[Span]) -> float:
        """Add one session; returns how bad it is: 1 per wrong pull, plus the worst error in s."""
        left = list(found)
        badness = 0.0
        for true in truth:
            best = max(left, key=partial(overlap, true), default=None)
            share = 0.0 if best is None else overlap(best, true)
            if best is not None and share >= 0.5:
                left.remove(best)
                badness += self._add_errors(true, best)
            if share >= OVERLAP:
                self.true_found += 1
            else:
                self.missed += 1
                self.false += share >= 0.5
                badness += 1.0
        self.false += len(left)
        return badness + len(left)

    def _add_errors(self, true: Span, found: Span) -> float:
        start_s, end_s = found.start_s - true.start_s, found.end_s - true.end_s
        self.start_ms.append(1000.0 * start_s)
        self.end_ms.append(1000.0 * end_s)
        self.start_rpm.append(found.start_rpm - true.start_rpm)
        self.end_rpm.append(found.end_rpm - true.end_rpm)
        if found.announced_s is not None:
            self.announced_ms.append(1000.0 * (found.announced_s - true.end_s))
            if true.shown_s is not None:
                self.after_shown_ms.append(1000.0 * (found.announced_s - true.shown_s))
        return min(max(abs(start_s), abs(end_s)), 0.9)

    def merge(self, other: "Score") -> None:
        """Add another score."""
        self.true_found += other.true_found
        self.missed += other.missed
        self.false += other.false
        for name in (
            *("start_ms", "end_ms", "start_rpm", "end_rpm"),
            *("announced_ms", "after_shown_ms"),
        ):
            getattr(self, name).extend(getattr(other, name))
