"""What was read anew, told from what was only written again.

A table often writes every column in every row, though a column is read anew only every tenth: the
rows between repeat what was read last. Such a held value is one reading, however often written.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from decode.cadence import silences
from decode.samples import FloatArray, SampleBatch, Samples

LEAST_CHANGES: Final = 6  # fewer may be far apart by chance
ODD_ONES: Final = 0.05  # of the spacings, one at least: a row lost, or a reading late
SURELY_EVERY_ROW: Final = 0.3  # of the changes come one row after another: no more to look at
ONE_REFRESH: Final = 1.5  # times the shortest spacing: longer ones span several refreshes
BY_CHANCE: Final = 1e-3  # how rarely changes that know no refresh would keep time like that
COARSE_STEPS: Final = 2.5  # what rests on a coarse step moves on by one or two of them
MOSTLY: Final = 0.6  # of the changes
SAME: Final = 1e-6  # of the largest: what decimal fractions in doubles leave of a difference
EVERY_ROW: Final = 1.0


def readings(samples: Samples) -> Samples:
    """The samples that were read anew: of a held value its first row, and the rows at which it was
    read again unchanged. As they are, where nothing is held or it cannot be told.

    Held is what changes only every few rows and either keeps time in that, or jumps by more than a
    value that rests on a coarse step does. A regulated pressure in whole kPa changes from one row
    to the next too: it is not held. samples: without NaN.
    """
    return _read_every(samples, rows_a_reading(samples) or EVERY_ROW)


def readings_of_columns(columns: SampleBatch) -> dict[str, Samples]:
    """The readings of several channels. One that hardly changes tells nothing by itself: it is
    taken as read as often as the quickest channel written in the same rows. Samples without NaN."""
    rows = {name: rows_a_reading(samples) for name, samples in columns.items()}
    quickest: dict[tuple[int, float, float], float] = {}
    for name, known in rows.items():
        if known is not None:
            table = _table(columns[name])
            quickest[table] = min(known, quickest.get(table, known))
    found = {}
    for name, samples in columns.items():
        known = rows[name]
        if known is None and len(samples):
            known = quickest.get(_table(samples))
            if known is not None and not _may_be_read_every(samples.value, known):
                known = None
        found[name] = _read_every(samples, known or EVERY_ROW)
    return found


def _table(samples: Samples) -> tuple[int, float, float]:
    """Channels of the same rows have this in common."""
    return len(samples), float(samples.time_s[0]), float(samples.time_s[-1])


def rows_a_reading(samples: Samples) -> float | None:
    """How many rows one reading fills, on average: 1 for what is read in every row, None where it
    cannot be told."""
    changes = _changes(samples.value)
    if len(changes) < LEAST_CHANGES:
        return None
    if np.count_nonzero(np.diff(changes) == 1) > SURELY_EVERY_ROW * len(changes):
        return EVERY_ROW
    resumes = silences(samples.time_s) + 1
    seen = changes[~np.isin(changes, resumes)]  # over a silence it is not seen when
    same_run = np.diff(np.searchsorted(resumes, seen, side="right")) == 0
    spacing = np.diff(seen)[same_run].astype(np.float64)
    if len(spacing) < LEAST_CHANGES - 1:
        return None
    shortest = float(np.sort(spacing)[_odd_ones(spacing)])
    if shortest < 2.0:
        return EVERY_ROW
    rows = float(np.median(spacing[spacing <= ONE_REFRESH * shortest]))
    refreshes = np.maximum(np.round(spacing / rows), 1.0)
    rows = float(spacing.sum() / refreshes.sum())
    jumps = np.diff(samples.value)[changes - 1]
    if _jump_far(samples.value, jumps) or (_keep_time(spacing, rows) and not _climb_stairs(jumps)):
        return rows
    return None


def _changes(value: FloatArray) -> NDArray[np.intp]:
    """The rows that differ from the row before."""
    return np.flatnonzero(np.diff(value) != 0.0) + 1


def _jump_far(value: FloatArray, jumps: FloatArray) -> bool:
    """Whether most changes pass over values that the channel can take: it moved meanwhile."""
    size = np.abs(jumps)
    apart = np.concatenate((np.diff(np.unique(value)), np.diff(np.unique(size))))
    step = apart[apart > SAME * size.max()].min(initial=np.inf)
    return float(np.mean(size > COARSE_STEPS * step)) >= MOSTLY


def _keep_time(spacing: FloatArray, rows: float) -> bool:
    """Whether changes come at whole numbers of refreshes, to the row, more than chance would."""
    kept = np.count_nonzero(np.abs(spacing - np.round(spacing / rows) * rows) < 1.0)
    by_chance = min(2.0 / rows, 1.0) ** (kept - 1)
    return bool(kept >= len(spacing) - _odd_ones(spacing) and by_chance < BY_CHANCE)


def _odd_ones(spacing: FloatArray) -> int:
    """How many spacings may be otherwise."""
    return max(1, int(ODD_ONES * len(spacing)))


def _climb_stairs(jumps: FloatArray) -> bool:
    """Whether a value goes one way by equal steps: slow and coarse, it keeps time by itself."""
    size = np.abs(jumps)
    one_way = abs(np.sign(jumps).sum()) == len(jumps)
    return bool(one_way and np.ptp(size) <= SAME * size.max())


def _may_be_read_every(value: FloatArray, rows: float) -> bool:
    """Whether nothing changes sooner than one reading after the change before."""
    changes = _changes(value)
    return len(changes) < 2 or float(np.diff(changes).min()) > rows / ONE_REFRESH


def _read_every(samples: Samples, rows: float) -> Samples:
    """Every change, and between two of them each row at which an unchanged value was read again."""
    if rows < ONE_REFRESH or not len(samples):
        return samples
    starts = np.concatenate(([0], _changes(samples.value)))
    ends = np.append(starts[1:], len(samples))
    again = [
        np.arange(start, end - rows / 2, rows) for start, end in zip(starts, ends, strict=True)
    ]
    index = np.unique(np.round(np.concatenate([starts, *again])).astype(np.intp))
    return Samples(samples.time_s[index], samples.value[index])
