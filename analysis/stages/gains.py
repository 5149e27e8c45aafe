"""Peak and area gain of power at the wheel, and what may honestly be said of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.model.setup import Standard
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
) -> tuple[str, ...]:
    """What the change did to power, in sentences.

    A gain is claimed only where the band of the whole curve leaves zero: one test at 5 %, however
    many figures are then read off the curve.
    """
    assert gains.peak is not None
    assert gains.area is not None
    differing = np.abs(band.difference) > band.half_width
    if not differing.any():
        return _within_spread(gains, gains.peak, gains.area, runs)
    return (
        _gain("Peak wheel power", gains.peak),
        _gain("Mean power over the common speeds", gains.area),
        _where(band, differing, grid_rpm),
        *_edge(band, grid_rpm),
    )


def _gain(what: str, gain: Interval) -> str:
    more = "more" if gain.excludes_zero else "not more"
    return f"{what} changed by {_in_words(gain)}, {more} than run-to-run spread."


def _within_spread(
    gains: Gains, peak: Interval, area: Interval, runs: tuple[int, int]
) -> tuple[str, ...]:
    needed = runs_to_settle(peak.value, gains.peak_spread_kw)
    if needed is None:
        settle = f"{MOST_RUNS} pulls of each stage would not show a difference this small"
    else:
        more = max(needed - min(runs), 1)
        settle = f"about {more} more pull{'s' if more > 1 else ''} of each stage would settle it"
    alone: tuple[str, ...] = ()
    if peak.excludes_zero or area.excludes_zero:
        alone = (
            "An interval that leaves zero by itself claims nothing here: read off a whole curve, "
            "one of several figures does so by chance, and the curves do not differ by more than "
            "their runs do.",
        )
    return (
        f"Peak wheel power changed by {_in_words(peak)}, not more than run-to-run spread; "
        f"{settle}.",
        f"Mean power over the common speeds changed by {_in_words(area)}, not more than "
        "run-to-run spread.",
        *alone,
    )


def _in_words(gain: Interval) -> str:
    # Adding zero turns a rounded minus zero into zero.
    value, low, high = (round(number, 1) + 0.0 for number in (gain.value, gain.low, gain.high))
    return f"{value:+.1f} {gain.unit} (95 %: {low:+.1f} to {high:+.1f} {gain.unit})"


def _where(band: Overlay, differing: NDArray[np.bool_], grid_rpm: FloatArray) -> str:
    """The stretches of engine speed over which the curves differ, with the largest difference."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], differing, [False]]).astype(np.int8)))
    stretches = [
        f"{grid_rpm[first]:.0f} to {grid_rpm[last - 1]:.0f} rpm"
        for first, last in zip(edges[::2], edges[1::2], strict=True)
    ]
    largest = int(np.argmax(np.abs(np.where(differing, band.difference, 0))))
    return (
        f"The curves differ by more than run-to-run spread at {', '.join(stretches)}; most at "
        f"{grid_rpm[largest]:.0f} rpm, by {band.difference[largest]:+.1f} "
        f"± {band.half_width[largest]:.1f} {band.unit}."
    )


def _edge(band: Overlay, grid_rpm: FloatArray) -> tuple[str, ...]:
    """The peak of a curve that still rises at its end is not the engine's."""
    if max(np.argmax(band.mean_baseline), np.argmax(band.mean_changed)) < len(grid_rpm) - 1:
        return ()
    return (
        f"Power still rises at {grid_rpm[-1]:.0f} rpm, the end of the common speeds: the peaks "
        "compared are those within it.",
    )


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
