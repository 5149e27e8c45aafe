"""Peak and mean gain of power at the wheel, and whether the runs let anything be claimed.

Two tests, together wrong in at most 5 % of comparisons where nothing changed (the second takes
what the allowance for drift leaves of the first): the mean over the shared speeds first, because
everything that all pulls of a stage have in common is in it; then the shape of the curve, each run
over its own mean, for changes that give at one end and take at the other. Figures read off the
curve are claimed only behind one of the two.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.model.setup import Standard
from analysis.stages.curves import WHEEL_POWER, Run, rows
from analysis.stages.drift import Drift, Driven, difference, drift_of
from analysis.stages.statistics import (
    Interval,
    pooled_difference,
    pooled_spread,
    simultaneous_half_width,
)
from decode.samples import FloatArray

UNIT: Final = "kW"
SHAPE_CONFIDENCE: Final = 0.99


@dataclass(frozen=True, slots=True)
class StageRuns:
    """The runs of a stage that count. position: of each among all pulls of the job."""

    runs: Sequence[Run]
    position: Sequence[int]


@dataclass(frozen=True, slots=True)
class ShapeBand:
    """float64[n]: what the curve over its own mean gained at each speed, in per cent of the mean,
    and the half-width of its band at SHAPE_CONFIDENCE."""

    difference: FloatArray
    half_width: FloatArray

    @property
    def differs(self) -> bool:
        """The band leaves zero somewhere."""
        return bool(np.any(np.abs(self.difference) > self.half_width))


@dataclass(frozen=True, slots=True)
class Gains:
    """peak, mean: as measured; corrected where the station names a standard. mean_spread_kw: of
    single runs, pooled. drift_percent: of mean power, a pull. beyond_spread: the mean differs by
    more than the runs do, were there no drift."""

    peak: Interval
    mean: Interval
    corrected_peak: Interval | None
    corrected_mean: Interval | None
    mean_spread_kw: float
    shape: ShapeBand
    drift: Drift
    drift_percent: Interval
    beyond_spread: bool

    @property
    def claimed(self) -> bool:
        """The change did something to power."""
        return self.mean.excludes_zero or self.shape.differs


def gains_of(stages: Sequence[StageRuns], grid_rpm: FloatArray) -> Gains:
    """The second stage's over the first's, each of at least two runs with a power curve; from
    further stages only spread and drift are taken."""
    power = [rows(stage.runs, WHEEL_POWER, grid_rpm) for stage in stages]
    position = [np.array(stage.position, dtype=np.float64) for stage in stages]
    peaks = [peak_of_each(stage) for stage in power]
    means = [stage.mean(axis=1) for stage in power]
    factors = _factors([stage.runs for stage in stages])
    drift = drift_of(_driven(position, means))

    def gain(values: Sequence[FloatArray]) -> Interval:
        return difference(_driven(position, values), UNIT, drift)

    def corrected(values: Sequence[FloatArray]) -> Interval | None:
        if factors is None:
            return None
        return gain([value * factor for value, factor in zip(values, factors, strict=True)])

    return Gains(
        peak=gain(peaks),
        mean=gain(means),
        corrected_peak=corrected(peaks),
        corrected_mean=corrected(means),
        mean_spread_kw=pooled_spread(*means),
        shape=_shape(power, grid_rpm),
        drift=drift,
        drift_percent=drift.share_of(float(means[0].mean())),
        beyond_spread=pooled_difference(means[0], means[1], UNIT, means[2:]).excludes_zero,
    )


def _driven(position: Sequence[FloatArray], values: Sequence[FloatArray]) -> list[Driven]:
    return [Driven(at, value) for at, value in zip(position, values, strict=True)]


def _shape(power_kw: Sequence[FloatArray], grid_rpm: FloatArray) -> ShapeBand:
    """Torque repeats about equally well at every speed, so power's spread goes with speed."""
    before, after, *others = (100 * stage / stage.mean(axis=1, keepdims=True) for stage in power_kw)
    half_width = simultaneous_half_width(before, after, grid_rpm, others, SHAPE_CONFIDENCE)
    return ShapeBand(after.mean(axis=0) - before.mean(axis=0), half_width)


def peak_of_each(power_kw: FloatArray) -> FloatArray:
    """Every run's power at the stage's peak, float64[runs], without the bias of a noisy maximum.

    The highest point of a mean of n noisy curves lies too high by s^2/(2 n k) (s the spread of the
    slope, k the curvature); a run read where the others peak lies too low by s^2/(2 (n-1) k). With
    weights n and n-1 the two cancel. Rows are runs; needs two.
    """
    runs = len(power_kw)
    total = power_kw.sum(axis=0)
    at_own = power_kw[:, np.argmax(total)]
    at_others = power_kw[np.arange(runs), np.argmax(total - power_kw, axis=1)]
    unbiased: FloatArray = (runs * at_own + (runs - 1) * at_others) / (2 * runs - 1)
    return unbiased


def _factors(stages: Sequence[Sequence[Run]]) -> list[FloatArray] | None:
    """Each run's factor by stage; None where no standard is chosen, where the runs were corrected
    by more than one, or where one run has no factor to give: such a gain would be the air's."""
    every = [[run.curve.correction for run in runs if run.curve is not None] for runs in stages]
    standards = {one.standard for stage in every for one in stage}
    if standards == {Standard.NONE} or len(standards) != 1:
        return None
    if not all(one.has_factor for stage in every for one in stage):
        return None
    return [np.array([one.factor for one in stage]) for stage in every]
