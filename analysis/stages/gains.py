"""Peak and area gain of power at the wheel, and what may honestly be said of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.model.setup import Standard
from analysis.phrases.say import amount, count, in_line, say
from analysis.phrases.statement import Amount, Statement
from analysis.stages.comparison import Overlay
from analysis.stages.curves import WHEEL_POWER, Run, rows
from analysis.stages.statistics import (
    MOST_RUNS,
    Interval,
    pooled_difference,
    pooled_spread,
    runs_to_settle,
)
from decode.samples import FloatArray

UNIT: Final = "kW"


@dataclass(frozen=True, slots=True)
class Gains:
    """peak, area: as measured; corrected where the station names a standard. peak_spread_kw: of
    single runs, pooled."""

    peak: Interval | None = None
    area: Interval | None = None
    corrected_peak: Interval | None = None
    corrected_area: Interval | None = None
    peak_spread_kw: float = 0.0


def gains_of(
    baseline: Sequence[Run],
    changed: Sequence[Run],
    grid_rpm: FloatArray,
    others: Sequence[Sequence[Run]] = (),
) -> Gains:
    """Both gains of two stages of at least two runs each, every run with a power curve.

    others: further stages like these, from which only the spread is taken.
    """
    stages = (baseline, changed, *others)
    power = [rows(runs, WHEEL_POWER, grid_rpm) for runs in stages]
    peaks = [peak_of_each(stage) for stage in power]
    areas = [stage.mean(axis=1) for stage in power]
    factors = _factors(stages)
    return Gains(
        peak=_gain_of(peaks),
        area=_gain_of(areas),
        corrected_peak=None if factors is None else _corrected(peaks, factors),
        corrected_area=None if factors is None else _corrected(areas, factors),
        peak_spread_kw=pooled_spread(*peaks),
    )


def _gain_of(values: Sequence[FloatArray]) -> Interval:
    """The second stage's over the first's, the spread of all."""
    return pooled_difference(values[0], values[1], UNIT, values[2:])


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


def gain_statements(
    gains: Gains, band: Overlay, grid_rpm: FloatArray, runs: tuple[int, int]
) -> tuple[Statement, ...]:
    """What the change did to power; a gain is claimed only where the band is beyond the spread."""
    assert gains.peak is not None
    assert gains.area is not None
    if not band.is_beyond_spread:
        return _within_spread(gains, gains.peak, gains.area, runs)
    return (
        _gain(gains.peak, "gain-peak-more-than-spread", "gain-peak-within-spread"),
        _gain(gains.area, "gain-mean-more-than-spread", "gain-mean-within-spread"),
        _where(band, grid_rpm),
        *_edge(band, grid_rpm),
    )


def _gain(gain: Interval, more: str, not_more: str) -> Statement:
    return say(more if gain.excludes_zero else not_more, **_interval(gain))


def _within_spread(
    gains: Gains, peak: Interval, area: Interval, runs: tuple[int, int]
) -> tuple[Statement, ...]:
    needed = runs_to_settle(peak.value, gains.peak_spread_kw)
    if needed is None:
        settle = say("gain-too-small-to-settle", pulls=count(MOST_RUNS))
    else:
        settle = say("gain-settled-by-more-pulls", pulls=count(max(needed - min(runs), 1)))
    alone = peak.excludes_zero or area.excludes_zero
    return (
        say("gain-peak-unsettled", settle=settle, **_interval(peak)),
        say("gain-mean-within-spread", **_interval(area)),
        *([say("gain-interval-alone-claims-nothing")] if alone else []),
    )


def _interval(gain: Interval) -> dict[str, Amount]:
    return {
        "change": _change(gain.value, gain.unit),
        "low": _change(gain.low, gain.unit),
        "high": _change(gain.high, gain.unit),
    }


def _change(value: float, unit: str) -> Amount:
    return amount(value, unit, 1, signed=True, difference=True)


def _where(band: Overlay, grid_rpm: FloatArray) -> Statement:
    """The stretches of engine speed over which the curves differ, with the largest difference."""
    differing = band.differs
    edges = np.flatnonzero(np.diff(np.concatenate([[False], differing, [False]]).astype(np.int8)))
    stretches = [
        say(
            "gain-stretch",
            low=amount(grid_rpm[first], "rpm"),
            high=amount(grid_rpm[last - 1], "rpm"),
        )
        for first, last in zip(edges[::2], edges[1::2], strict=True)
    ]
    largest = int(np.argmax(np.abs(np.where(differing, band.difference, 0))))
    return say(
        "gain-where",
        stretches=in_line(stretches),
        speed=amount(grid_rpm[largest], "rpm"),
        change=_change(band.difference[largest], band.unit),
        half_width=amount(band.half_width[largest], band.unit, 1, difference=True),
    )


def _edge(band: Overlay, grid_rpm: FloatArray) -> tuple[Statement, ...]:
    """The peak of a curve that still rises at its end is not the engine's."""
    if max(np.argmax(band.mean_baseline), np.argmax(band.mean_changed)) < len(grid_rpm) - 1:
        return ()
    return (say("gain-still-rises", speed=amount(grid_rpm[-1], "rpm")),)


def _corrected(values: Sequence[FloatArray], factors: Sequence[FloatArray]) -> Interval:
    return _gain_of([value * factor for value, factor in zip(values, factors, strict=True)])


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
