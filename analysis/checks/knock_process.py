"""Knock control as a process: what it took from each cylinder, in which events, and gave back.

A knock control takes 1 to 3 degrees at each knock it hears and gives them back within a second or
two. So the retard of an engine at its knock limit is a random sequence of events: its rate, its
mean and its decay say how hard the engine knocks, its highest value is mostly chance.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.checks.stretches import held_at
from analysis.model.pull import Pull
from analysis.physics import lasting
from decode.cadence import period_s
from decode.quantities import Quantity
from decode.samples import FloatArray

EVENT_DEG: Final = 0.7  # knock controls take 1 to 3 degrees; at 10 Hz some is given back unseen
RISE_S: Final = 0.25  # ... at once: what rises more slowly is a table or hot air
RETARDED_DEG: Final = 0.5  # below one step of any knock control
# Sustained is what outlasts twice the decay of an event; a second at least, and no longer than two.
SHORTEST_SUSTAINED_S: Final = 1.0
LONGEST_SUSTAINED_S: Final = 2.0


@dataclass(frozen=True, slots=True)
class Retard:
    """Retard of every cylinder on one time base: by_cylinder float64[cylinders, n], degrees."""

    time_s: FloatArray
    cylinders: tuple[int, ...]
    by_cylinder: FloatArray

    @property
    def single_channel(self) -> bool:
        """One figure for the whole engine: which cylinder it is cannot be told."""
        return len(self.cylinders) == 1

    @property
    def duration_s(self) -> float:
        """From the first sample until the last one is replaced."""
        return float(self.time_s[-1] - self.time_s[0]) + period_s(self.time_s)


@dataclass(frozen=True, slots=True)
class KnockProcess:
    """The process of every cylinder, arrays of float64[cylinders].

    step_deg: what an event takes, the mean weighed by itself (so that events of that size have the
    spread of the true ones); None without events. decay_s: how long an event takes to be given back
    to a third (1/e); None where nothing was given back; both of all cylinders together. share: of
    the sweep in which the cylinder was retarded.
    sustained: the mean over the `sustained_s` before each sample, float64[cylinders, n].
    """

    events: FloatArray
    rate_per_s: FloatArray
    mean_deg: FloatArray
    peak_deg: FloatArray
    share: FloatArray
    step_deg: float | None
    decay_s: float | None
    sustained_s: float
    sustained: FloatArray


def retard_of(pull: Pull) -> Retard | None:
    """Every retard channel in the pull, held between its updates; None without two samples."""
    channels = pull.per_cylinder(Quantity.KNOCK_RETARD)
    overall = pull.first(Quantity.KNOCK_RETARD)
    if not channels and overall is not None:
        channels = {0: overall}
    inside = {c: s for c, every in channels.items() if len(s := pull.sweep(every)) >= 2}
    if not inside:
        return None
    time_s = max(inside.values(), key=len).time_s
    cylinders = tuple(sorted(inside))
    return Retard(time_s, cylinders, np.stack([held_at(inside[c], time_s) for c in cylinders]))


def event_steps(time_s: FloatArray, retard: FloatArray) -> FloatArray:
    """What each event took of one cylinder's retard float64[n], degrees: a rise of EVENT_DEG within
    RISE_S, or from one update to the next. Rises in a row are one event."""
    rising = np.concatenate(([False], np.diff(retard) > 0.0, [False])).astype(np.int8)
    firsts, lasts = np.flatnonzero(np.diff(rising) == 1), np.flatnonzero(np.diff(rising) == -1)
    found = [
        retard[last] - retard[first]
        for first, last in zip(firsts, lasts, strict=True)
        if _steepest(time_s[first : last + 1], retard[first : last + 1]) >= EVENT_DEG
    ]
    return np.array(found, dtype=np.float64)


def _steepest(time_s: FloatArray, rising: FloatArray) -> float:
    """The largest rise within RISE_S, or between two neighbours."""
    index = np.arange(1, len(rising))
    since = np.minimum(np.searchsorted(time_s, time_s[1:] - RISE_S), index - 1)
    return float((rising[1:] - rising[since]).max())


def process_of(retard: Retard) -> KnockProcess:
    """What knock control did over the sweep."""
    time_s, every, duration_s = retard.time_s, retard.by_cylinder, retard.duration_s
    steps = [event_steps(time_s, its) for its in every]
    events = np.array([float(len(taken)) for taken in steps])
    taken = np.concatenate(steps)
    decay_s = _decay_s(time_s, every)
    sustained_s = float(np.clip(2.0 * (decay_s or 0.0), SHORTEST_SUSTAINED_S, LONGEST_SUSTAINED_S))
    return KnockProcess(
        events=events,
        rate_per_s=events / max(duration_s, 1e-6),
        mean_deg=every.mean(axis=1),
        peak_deg=every.max(axis=1),
        share=(every > RETARDED_DEG).mean(axis=1),
        step_deg=float((taken**2).sum() / taken.sum()) if len(taken) else None,
        decay_s=decay_s,
        sustained_s=sustained_s,
        sustained=mean_before(time_s, every, sustained_s),
    )


def mean_before(time_s: FloatArray, every: FloatArray, over_s: float) -> FloatArray:
    """The mean over the over_s before each sample, float64[cylinders, n], every value held until
    the next. Nearer to the start the rest of over_s counts as nothing taken: a mean over less would
    make one event a lasting state. Where the whole is shorter, over the whole."""
    over_s = max(min(over_s, float(time_s[-1] - time_s[0])), 1e-6)
    return lasting.mean_before(time_s, every, over_s)


def _decay_s(time_s: FloatArray, every: FloatArray) -> float | None:
    """Retard times time over what was given back, of all cylinders: exact for an exponential
    decay, and for a staircase the mean time that its steps take."""
    change, before = np.diff(every, axis=1), every[:, :-1]
    falling: NDArray[np.bool_] = (change <= 0.0) & (before > 0.0)
    given_back = -float(change[falling].sum())
    waited = float((np.broadcast_to(np.diff(time_s), change.shape) * before)[falling].sum())
    return waited / given_back if given_back > EVENT_DEG else None
