"""The pulls of a stage taken together: their mean, and from the lowest to the highest of them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.publish.page.curves import Chart, Line
from decode.samples import FloatArray

FEWEST: Final = 2  # a single pull is its own mean
SHORTEST: Final = 2  # grid points that make a line


@dataclass(frozen=True, slots=True)
class StageBand:
    """float64[n] each, in the house unit, on the speeds that every pull of the stage swept."""

    stage_id: int
    x: FloatArray
    mean: FloatArray
    low: FloatArray
    high: FloatArray


def stage_bands(chart: Chart, stage_ids: Sequence[int]) -> Iterator[StageBand]:
    """One band for each stage with several pulls in a chart of resampled lines, of the line that
    each pull is named by: the first."""
    for stage_id in dict.fromkeys(stage_ids):
        lines = [
            lines[0]
            for lines, of in zip(chart.lines, stage_ids, strict=True)
            if of == stage_id and lines
        ]
        if len(lines) >= FEWEST and (band := _band(stage_id, lines)) is not None:
            yield band


def _band(stage_id: int, lines: Sequence[Line]) -> StageBand | None:
    shared = lines[0].x
    for line in lines[1:]:
        shared = np.intersect1d(shared, line.x)  # all on multiples of the same step
    if len(shared) < SHORTEST:
        return None
    rows = np.array([line.y[np.searchsorted(line.x, shared)] for line in lines])
    known = np.isfinite(rows).all(axis=0)
    if known.sum() < SHORTEST:
        return None
    rows = rows[:, known]
    return StageBand(stage_id, shared[known], rows.mean(axis=0), rows.min(axis=0), rows.max(axis=0))
