"""The pulls of a stage taken together: their mean, and the band that holds the true mean."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from typing import Final

import numpy as np

from analysis.publish.page.curves import Chart
from analysis.stages.statistics import band_of_one_run
from decode.samples import FloatArray

FEWEST: Final = 2  # a single pull is its own mean
SHORTEST: Final = 2  # grid points that make a line
FEWEST_FREEDOM: Final = 2  # degrees, without which a curve's band is not known at all


@dataclass(frozen=True, slots=True)
class StageBand:
    """float64[n] each, in the house unit, on the speeds that every pull of every stage swept.

    half_width: of the simultaneous 95 % band of the mean, None where too few pulls are shown. The
    band of the difference of two means is the root of the sum of both squares, which is what a
    comparison of the stages says.
    """

    stage_id: int
    pulls: int
    x: FloatArray
    mean: FloatArray
    half_width: FloatArray | None


def stage_bands(chart: Chart, stage_ids: Sequence[int | None]) -> list[StageBand]:
    """One for each stage with several pulls in a chart of resampled lines, of the line that each
    pull is named by: the first. stage_ids: of the pulls, None for one that does not count."""
    stages: dict[int, list[int]] = {}
    for index, stage_id in enumerate(stage_ids):
        if stage_id is not None and chart.lines[index]:
            stages.setdefault(stage_id, []).append(index)
    stages = {stage_id: pulls for stage_id, pulls in stages.items() if len(pulls) >= FEWEST}
    lines = [chart.lines[index][0] for pulls in stages.values() for index in pulls]
    if not lines:
        return []
    x = reduce(np.intersect1d, (line.x for line in lines))  # all on multiples of the same step
    rows = np.array([line.y[np.searchsorted(line.x, x)] for line in lines])
    known = np.isfinite(rows).all(axis=0)
    if known.sum() < SHORTEST:
        return []
    x, rows = x[known], rows[:, known]
    sides = np.split(rows, np.cumsum([len(pulls) for pulls in stages.values()])[:-1])
    one_run = _of_one_run(sides, x if chart.key == "power" else np.ones(len(x)))
    return [
        StageBand(
            stage_id=stage_id,
            pulls=len(side),
            x=x,
            mean=side.mean(axis=0),
            half_width=None if one_run is None else one_run / np.sqrt(len(side)),
        )
        for stage_id, side in zip(stages, sides, strict=True)
    ]


def _of_one_run(sides: Sequence[FloatArray], scale: FloatArray) -> FloatArray | None:
    if sum(len(side) - 1 for side in sides) < FEWEST_FREEDOM:
        return None
    return band_of_one_run(sides, scale)
