"""The pulls of one stage as functions of engine speed, one row a pull."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.model.pull import Pull, finite
from analysis.model.setup import Setup
from analysis.power.curve import PowerCurve, power_curve
from analysis.power.sweep import Sweep, sweep_of
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import FloatArray

WHEEL_POWER: Final = "wheel_power"  # the computed curves take these names in a comparison, before
WHEEL_TORQUE: Final = "wheel_torque"  # any channel of the controller's own
FIGURES: Final = {
    WHEEL_POWER: (Quantity.WHEEL_POWER, "wheel_power_kw"),
    WHEEL_TORQUE: (Quantity.WHEEL_TORQUE, "wheel_torque_nm"),
}


@dataclass(frozen=True, slots=True)
class Run:
    """One pull with its sweep and its power curve, computed once."""

    pull: Pull
    sweep: Sweep
    curve: PowerCurve | None


def run_of(pull: Pull, setup: Setup) -> Run:
    """The pull with all that a comparison needs of it."""
    return Run(pull, sweep_of(pull), power_curve(pull, setup))


def common_grid(runs: Sequence[Run]) -> FloatArray:
    """The engine speeds that every run swept through; empty where there are none."""
    grids = [_grid_of(run) for run in runs]
    if not grids or any(len(grid) == 0 for grid in grids):
        return np.empty(0)
    lowest, highest = max(grid[0] for grid in grids), min(grid[-1] for grid in grids)
    shared: FloatArray = grids[0][(grids[0] >= lowest) & (grids[0] <= highest)]
    return shared


def _grid_of(run: Run) -> FloatArray:
    """Of the sweep and the curve: one stored by another version may begin and end elsewhere."""
    sweep_rpm = run.sweep.engine_speed_rpm
    if run.curve is None:
        return sweep_rpm
    both: FloatArray = np.intersect1d(sweep_rpm, run.curve.engine_speed_rpm)
    return both


def overlaid_names(runs: Sequence[Run]) -> dict[str, tuple[str, str]]:
    """Name to (quantity, unit) of everything that every run has: figures, then channels."""
    names: dict[str, tuple[str, str]] = {}
    if all(run.curve is not None for run in runs):
        names |= {name: (str(of), HOUSE_UNIT[of]) for name, (of, _) in FIGURES.items()}
    for name, channel in runs[0].pull.channels.items():
        everywhere = all(name in run.pull.samples for run in runs)
        if channel.quantity is not None and everywhere and name not in names:
            names[name] = (str(channel.quantity), channel.unit)
    return names


def rows(runs: Sequence[Run], name: str, grid_rpm: FloatArray) -> FloatArray:
    """One row a run on the grid, float64[runs, n]; NaN where a run has no value."""
    return np.array([_row(run, name, grid_rpm) for run in runs])


def _row(run: Run, name: str, grid_rpm: FloatArray) -> FloatArray:
    if name in FIGURES and run.curve is not None:
        figure: FloatArray = getattr(run.curve, FIGURES[name][1])
        return figure[_part(run.curve.engine_speed_rpm, grid_rpm)]
    values = run.sweep.resample(finite(run.pull.samples[name]))
    return values[_part(run.sweep.engine_speed_rpm, grid_rpm)]


def _part(own_rpm: FloatArray, grid_rpm: FloatArray) -> slice:
    first = int(np.searchsorted(own_rpm, grid_rpm[0]))
    return slice(first, first + len(grid_rpm))
