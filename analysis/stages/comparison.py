"""What a comparison of two stages says, for the page, the report and `--json`."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.model.plain_arrays import PlainArray
from analysis.phrases.statement import Statement
from analysis.stages.statistics import Interval


@dataclass(frozen=True, slots=True)
class Overlay:
    """One quantity of both stages on the comparison's grid, float64[n] each.

    half_width: of the simultaneous 95 % band of the difference, NaN where a side has one pull.
    difference is changed minus baseline. NaN where a channel has no value in some pull.
    """

    quantity: str
    unit: str
    mean_baseline: PlainArray
    mean_changed: PlainArray
    difference: PlainArray
    half_width: PlainArray

    @property
    def differs(self) -> NDArray[np.bool_]:
        """Where the band of the difference leaves zero, bool[n]."""
        return np.abs(self.difference) > self.half_width


@dataclass(frozen=True, slots=True)
class Comparison:
    """names: (baseline, changed). Gains are changed minus baseline, of power at the wheel.

    peak_gain: between the two peaks. area_gain: mean over the grid. Both as measured; the
    corrected ones are given too where the station names a standard. Their intervals allow for drift
    from pull to pull, so they need not be symmetrical. drift: of mean power within the stages, in
    per cent a pull. claimed: the change did something to power, by the mean or by the shape of the
    curve. assessable: the runs allow a statement about power. statements answer "what did the
    change do?", conditions say what else differed.
    """

    names: tuple[str, str]
    runs: tuple[int, int]
    engine_speed_rpm: PlainArray
    overlays: dict[str, Overlay]
    peak_gain: Interval | None
    area_gain: Interval | None
    corrected_peak_gain: Interval | None
    corrected_area_gain: Interval | None
    drift: Interval | None
    claimed: bool
    assessable: bool
    statements: tuple[Statement, ...]
    conditions: tuple[Statement, ...]
