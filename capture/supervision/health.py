"""What is counted of every source, and shown: records, losses, errors, rate."""

from collections import deque
from dataclasses import dataclass
from typing import Final

import numpy as np

from decode.records import Flag, RecordBatch, SourceInfo

RATE_WINDOW_NS: Final = 2_000_000_000  # long enough for a steady figure, short enough to see a drop
_GAP: Final = int(Flag.GAP)  # numpy takes three times as long with a Flag
_ERROR: Final = int(Flag.ERROR)
_SENT: Final = int(Flag.SENT)


@dataclass(frozen=True, slots=True)
class ReaderHealth:
    """One source's reader at one instant. age_s: since the last record, None before the first."""

    name: str
    kind: str
    state: str
    trouble: str | None
    records: int
    lost: int
    errors: int
    gaps: int
    rate_hz: float
    age_s: float | None


class SourceCounts:
    """Counts of one source since the session began, fed with its batches."""

    def __init__(self) -> None:
        self.records = 0
        self.lost = 0
        self.errors = 0
        self.gaps = 0
        self._recent: deque[tuple[int, int]] = deque()  # (arrived_ns, records) within the window
        self._in_window = 0

    def add(self, batch: RecordBatch) -> None:
        """Count one batch; gaps and errors by themselves, our own requests not at all."""
        self.lost += batch.dropped_before
        gaps = int(np.count_nonzero(batch.flags & _GAP))
        errors = int(np.count_nonzero(batch.flags & _ERROR))
        data = len(batch) - gaps - errors - int(np.count_nonzero(batch.flags & _SENT))
        self.gaps += gaps
        self.errors += errors
        self.records += data
        if data:
            self._remember(int(batch.arrived_ns[-1]), data)

    def _remember(self, arrived_ns: int, count: int) -> None:
        self._recent.append((arrived_ns, count))
        self._in_window += count
        while self._recent[0][0] < arrived_ns - RATE_WINDOW_NS:
            self._in_window -= self._recent.popleft()[1]

    def rate_hz(self, now_ns: int) -> float:
        """Records a second over the last RATE_WINDOW_NS."""
        recent = sum(count for at_ns, count in self._recent if at_ns >= now_ns - RATE_WINDOW_NS)
        return recent * 1e9 / RATE_WINDOW_NS

    def age_s(self, now_ns: int) -> float | None:
        """Seconds since the last record."""
        return (now_ns - self._recent[-1][0]) / 1e9 if self._recent else None

    def health(
        self, info: SourceInfo, state: str, trouble: str | None, now_ns: int
    ) -> ReaderHealth:
        """Everything counted, as one value."""
        return ReaderHealth(
            name=info.name,
            kind=info.kind.value,
            state=state,
            trouble=trouble,
            records=self.records,
            lost=self.lost,
            errors=self.errors,
            gaps=self.gaps,
            rate_hz=self.rate_hz(now_ns),
            age_s=self.age_s(now_ns),
        )
