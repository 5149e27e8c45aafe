"""What happened inside a pull, stretch by stretch."""

from typing import Final

import numpy as np

from analysis.model.pull import EndReason, Section, SectionKind
from decode.samples import FloatArray

CLOSED_SHARE: Final = 0.90  # of full opening; less, under full demand, is a closure (design 5.3)
SHORTEST_CLOSURE_S: Final = 0.1  # shorter is noise or one sample (design 5.3)


def closures(
    time_s: FloatArray, share: FloatArray, start_s: float, end_s: float
) -> tuple[Section, ...]:
    """Stretches inside the pull where the throttle closes and later opens again or the pull ends.

    share: opening as a share of full. What is not yet open at the start is no closure.
    """
    inside = (time_s >= start_s) & (time_s <= end_s)
    time_s, share = time_s[inside], share[inside]
    opened = np.flatnonzero(share >= CLOSED_SHARE)
    if not len(opened):
        return ()
    time_s, share = time_s[opened[0] :], share[opened[0] :]
    closed = np.concatenate(([False], share < CLOSED_SHARE, [False]))
    edges = np.flatnonzero(np.diff(closed.astype(np.int8)))
    found = []
    for first, last in zip(edges[::2], edges[1::2], strict=True):
        closes_s = float(time_s[first])
        opens_s = float(time_s[last]) if last < len(time_s) else end_s
        if opens_s - closes_s >= SHORTEST_CLOSURE_S:
            found.append(Section(SectionKind.CLOSURE, closes_s, opens_s))
    return tuple(found)


def sections(
    open_s: float,
    start_s: float,
    end_s: float,
    seen_s: float,
    reason: EndReason,
    closed: tuple[Section, ...],
) -> tuple[Section, ...]:
    """Hold, sweep and what came after, in order of time; closures lie inside the sweep."""
    found = []
    if start_s - open_s > SHORTEST_CLOSURE_S:
        found.append(Section(SectionKind.HOLD, open_s, start_s))
    found.append(Section(SectionKind.SWEEP, start_s, end_s))
    found.extend(closed)
    after = {EndReason.LIFT: SectionKind.LIFT, EndReason.LIMITER: SectionKind.LIMITER}.get(reason)
    if after is not None and seen_s > end_s:
        found.append(Section(after, end_s, seen_s))
    return tuple(found)
