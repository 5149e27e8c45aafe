"""One watched value: hysteresis and latching, sample by sample, nothing else."""

from dataclasses import dataclass, field
from typing import Final

from analysis.model.findings import Severity

CONSECUTIVE: Final = 2  # one sample alone may be noise or a broken frame
# One reading may be written again and again until the next comes: what does not move at all must
# last for longer than any source holds a value.
HELD_S: Final = 1.0
CALM_S: Final = 0.5  # fine for so long, it is over: a value at its limit does not chatter


@dataclass(frozen=True, slots=True)
class Change:
    """What one sample changed. severity None: it is over. is_again: it stood, unseen, from an
    earlier pull and has come back in this one."""

    severity: Severity | None
    is_new: bool
    at_s: float
    excess: float
    is_again: bool = False


@dataclass(slots=True)
class Level:
    """watch, alarm, clear: excess at which it is worth a look, a stop, and over again. worse: by so
    much more is news. latches: stays until somebody has seen it; a stop does in any case."""

    watch: float
    alarm: float
    clear: float
    worse: float
    dwell_s: float
    latches: bool
    severity: Severity | None = None
    since_s: float = 0.0
    worst: float = 0.0
    told: float = 0.0
    is_beyond: bool = False
    is_of_earlier_pull: bool = False
    _row: int = 0
    _moves: bool = False
    _last: float = 0.0
    _alarm_row: int = 0
    _row_since_s: float = 0.0
    _alarm_since_s: float = 0.0
    _calm_since_s: float | None = field(default=None)

    @property
    def is_pending(self) -> bool:
        """Whether samples below the limit still matter."""
        return self.is_beyond or self._row > 0

    @property
    def stays(self) -> bool:
        """Whether it stays until somebody has seen it: nobody misses a stop by looking away."""
        return self.latches or self.severity is Severity.STOP

    def feed(self, at_s: float, excess: float) -> Change | None:
        """Judge one sample."""
        self._count(at_s, excess)
        if excess >= self.watch:
            return self._beyond(at_s, excess)
        if excess < self.clear:
            return self._calm(at_s, excess)
        return None

    def _count(self, at_s: float, excess: float) -> None:
        if excess < self.watch:
            self._row = 0
        elif self._row == 0:
            self._row, self._row_since_s = 1, at_s
            self._moves, self._last = False, excess
        else:
            self._row += 1
            self._moves |= excess != self._last
        if excess < self.alarm:
            self._alarm_row = 0
        elif self._alarm_row == 0:
            self._alarm_row, self._alarm_since_s = 1, at_s
        else:
            self._alarm_row += 1

    def _is_sure(self, row: int, since_s: float, at_s: float) -> bool:
        held_s = HELD_S if self.dwell_s > 0.0 and not self._moves else 0.0
        return row >= CONSECUTIVE and at_s - since_s >= max(self.dwell_s, held_s)

    def _beyond(self, at_s: float, excess: float) -> Change | None:
        if not self._is_sure(self._row, self._row_since_s, at_s):
            return None
        self._calm_since_s, self.is_beyond = None, True
        alarmed = self._is_sure(self._alarm_row, self._alarm_since_s, at_s)
        severity = Severity.STOP if alarmed else Severity.LOOK_CLOSER
        return self._raise(at_s, excess, severity)

    def _raise(self, at_s: float, excess: float, severity: Severity) -> Change | None:
        """A standing alert never falls back to a lesser severity: nobody has seen it yet."""
        is_new, is_again = self.severity is None, self.is_of_earlier_pull
        if is_new or is_again:
            self.since_s, self.worst, self.told = self._row_since_s, excess, excess
        self.is_of_earlier_pull = False
        self.worst = max(self.worst, excess)
        more_serious = self.severity is Severity.LOOK_CLOSER and severity is Severity.STOP
        much_worse = self.worst - self.told >= self.worse
        if not (is_new or is_again or more_serious or much_worse):
            return None
        if is_new or more_serious:
            self.severity = severity
        self.told = self.worst
        return Change(self.severity, is_new, at_s, excess, is_again)

    def _calm(self, at_s: float, excess: float) -> Change | None:
        if not self.is_beyond:
            return None
        if self._calm_since_s is None:
            self._calm_since_s = at_s
        if at_s - self._calm_since_s < CALM_S:
            return None
        self.is_beyond, self._calm_since_s = False, None
        return None if self.stays else self._over(at_s, excess)

    def _over(self, at_s: float, excess: float) -> Change:
        self.severity, self.is_of_earlier_pull = None, False
        return Change(None, False, at_s, excess)

    def rest(self, at_s: float) -> Change | None:
        """Judged no longer: an unfinished row is forgotten, and what does not latch is over."""
        self._row = self._alarm_row = 0
        self.is_beyond, self._calm_since_s = False, None
        if self.severity is None or self.stays:
            return None
        return self._over(at_s, self.told)

    def begin_pull(self) -> None:
        """What stands unseen is told again if it comes back."""
        if self.stays and self.severity is not None:
            self._row = self._alarm_row = 0
            self.is_beyond, self.is_of_earlier_pull = False, True

    def acknowledge(self, at_s: float) -> Change | None:
        """Somebody has seen it: over, and raised again if it is still beyond the limit."""
        if self.severity is None:
            return None
        self.is_beyond = False
        return self._over(at_s, self.told)
