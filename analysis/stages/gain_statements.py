"""What may honestly be said of a gain: how much, where, and what would settle what is open."""

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.phrases.say import Several, amount, count, in_line, say
from analysis.phrases.statement import Amount, Statement
from analysis.stages.comparison import Overlay
from analysis.stages.gains import Gains
from analysis.stages.statistics import MOST_RUNS, Interval, runs_to_settle
from decode.samples import FloatArray

CHANCE_TO_SETTLE: Final = 0.8  # that the pulls which are asked for are enough


def gain_statements(
    gains: Gains, band: Overlay, grid_rpm: FloatArray, runs: tuple[int, int]
) -> tuple[Statement, ...]:
    """What the change did to power, and what the pulls' drift leaves of it."""
    found = _claimed(gains, band, grid_rpm) if gains.claimed else _unsettled(gains, runs)
    return (*found, *_drift(gains), *_edge(band, grid_rpm))


def _claimed(gains: Gains, band: Overlay, grid_rpm: FloatArray) -> tuple[Statement, ...]:
    return (
        _gain(gains.mean, "gain-mean-more-than-spread", "gain-mean-within-spread"),
        _gain(gains.peak, "gain-peak-more-than-spread", "gain-peak-within-spread"),
        *([_shape(gains, grid_rpm)] if gains.shape.differs else []),
        *([_where(band, grid_rpm)] if gains.mean.excludes_zero else []),
    )


def _unsettled(gains: Gains, runs: tuple[int, int]) -> tuple[Statement, ...]:
    needed = runs_to_settle(gains.mean.value, gains.mean_spread_kw, CHANCE_TO_SETTLE)
    if gains.beyond_spread:
        settle = say("gain-settled-by-baseline-again")
    elif needed is None:
        settle = say("gain-too-small-to-settle", pulls=count(MOST_RUNS))
    else:
        settle = say("gain-settled-by-more-pulls", pulls=count(max(needed - min(runs), 1)))
    if gains.beyond_spread:
        mean, peak = "gain-mean-perhaps-drift", "gain-peak-with-drift"
    else:
        mean, peak = "gain-mean-unsettled", "gain-peak-within-spread"
    if gains.peak.excludes_zero:
        peak = "gain-peak-alone-claims-nothing"
    return (
        say(mean, settle=settle, **_interval(gains.mean)),
        say(peak, **_interval(gains.peak)),
    )


def _drift(gains: Gains) -> Iterator[Statement]:
    """The drift that the pulls show."""
    if gains.drift.fell or gains.drift.rose:
        low, middle, high = (
            amount(value, "%", 1, signed=True)
            for value in (
                gains.drift_percent.low,
                gains.drift_percent.value,
                gains.drift_percent.high,
            )
        )
        key = "gain-drift-fell" if gains.drift.fell else "gain-drift-rose"
        yield say(key, change=middle, low=low, high=high)


def _gain(gain: Interval, more: str, not_more: str) -> Statement:
    return say(more if gain.excludes_zero else not_more, **_interval(gain))


def _interval(gain: Interval) -> dict[str, Amount]:
    return {
        "change": _change(gain.value, gain.unit),
        "low": _change(gain.low, gain.unit),
        "high": _change(gain.high, gain.unit),
    }


def _change(value: float, unit: str) -> Amount:
    return amount(value, unit, 1, signed=True, difference=True)


def _shape(gains: Gains, grid_rpm: FloatArray) -> Statement:
    shape = gains.shape
    differing = np.abs(shape.difference) > shape.half_width
    largest = int(np.argmax(np.abs(np.where(differing, shape.difference, 0))))
    return say(
        "gain-shape",
        stretches=_stretches(differing, grid_rpm),
        speed=amount(grid_rpm[largest], "rpm"),
        change=amount(shape.difference[largest], "%", 1, signed=True),
        half_width=amount(shape.half_width[largest], "%", 1),
    )


def _where(band: Overlay, grid_rpm: FloatArray) -> Statement:
    """The stretches of engine speed over which the curves differ, with the largest difference."""
    differing = band.differs
    if not differing.any():
        return say("gain-at-no-single-speed")
    largest = int(np.argmax(np.abs(np.where(differing, band.difference, 0))))
    return say(
        "gain-where",
        stretches=_stretches(differing, grid_rpm),
        speed=amount(grid_rpm[largest], "rpm"),
        change=_change(band.difference[largest], band.unit),
        half_width=amount(band.half_width[largest], band.unit, 1, difference=True),
    )


def _stretches(differing: NDArray[np.bool_], grid_rpm: FloatArray) -> Several:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], differing, [False]]).astype(np.int8)))
    return in_line(
        [
            say(
                "gain-stretch",
                low=amount(grid_rpm[first], "rpm"),
                high=amount(grid_rpm[last - 1], "rpm"),
            )
            for first, last in zip(edges[::2], edges[1::2], strict=True)
        ]
    )


def _edge(band: Overlay, grid_rpm: FloatArray) -> tuple[Statement, ...]:
    """The peak of a curve that still rises at its end is not the engine's."""
    if max(np.argmax(band.mean_baseline), np.argmax(band.mean_changed)) < len(grid_rpm) - 1:
        return ()
    return (say("gain-still-rises", speed=amount(grid_rpm[-1], "rpm")),)
