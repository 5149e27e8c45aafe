"""Two stages against each other: what the change did, and whether the runs can say so."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from analysis.comparability import doubts, gear_ratio
from analysis.comparison import Comparison, Overlay
from analysis.gains import Gains, gain_statements, gains_of
from analysis.pull import Pull
from analysis.setup import Setup
from analysis.stage_curves import WHEEL_POWER, Run, common_grid, overlaid_names, rows, run_of
from analysis.statistics import simultaneous_half_width
from decode.quantities import Quantity
from decode.samples import FloatArray

SAME_GEAR_SHARE: Final = 0.05  # gears are further apart than this, slip is nearer
SHORTEST_OVERLAP_RPM: Final = 500.0  # below this a curve says nothing
FEWEST_RUNS: Final = 2  # a side; a single run is inconclusive whatever it shows (SAE J1321)


def compare_stages(
    baseline: Sequence[Pull],
    changed: Sequence[Pull],
    setup: Setup,
    names: tuple[str, str] = ("baseline", "changed"),
) -> Comparison:
    """Changed minus baseline, on the engine speeds that every pull of both swept through.

    Incomplete pulls and pulls in another gear than the baseline's first are left out, and said so.
    """
    first, left_out_first = _usable(baseline, None, setup, names[0])
    gear = gear_ratio(first[0].pull) if first else None
    second, left_out_second = _usable(changed, gear, setup, names[1])
    left_out = (*left_out_first, *left_out_second)
    grid_rpm = common_grid([*first, *second]) if first and second else np.empty(0)
    refusal = _refusal(first, second, grid_rpm, names)
    overlays = _overlays(first, second, grid_rpm) if len(grid_rpm) else {}
    gains = Gains() if refusal else gains_of(first, second, grid_rpm)
    runs = (len(first), len(second))
    statements = refusal or gain_statements(gains, overlays[WHEEL_POWER], grid_rpm, runs)
    return Comparison(
        names=names,
        runs=runs,
        engine_speed_rpm=grid_rpm,
        overlays=overlays,
        peak_gain=gains.peak,
        area_gain=gains.area,
        corrected_peak_gain=gains.corrected_peak,
        corrected_area_gain=gains.corrected_area,
        assessable=not refusal,
        statements=(*statements, *left_out),
        conditions=doubts(first, second) if first and second else (),
    )


def compare_all(stages: Sequence[tuple[str, Sequence[Pull]]], setup: Setup) -> list[Comparison]:
    """Each (name, pulls) against the first stage and, from the third on, the one before."""
    comparisons = []
    for index in range(1, len(stages)):
        for before in dict.fromkeys((0, index - 1)):
            (first, baseline), (second, changed) = stages[before], stages[index]
            comparisons.append(compare_stages(baseline, changed, setup, (first, second)))
    return comparisons


def _usable(
    pulls: Sequence[Pull], gear: float | None, setup: Setup, name: str
) -> tuple[list[Run], tuple[str, ...]]:
    """The stage's complete pulls in one gear, and a sentence for every other."""
    runs: list[Run] = []
    left_out = []
    for pull in pulls:
        ratio = gear_ratio(pull)
        wanted = gear or (gear_ratio(runs[0].pull) if runs else ratio)
        if not pull.bounds.complete:
            left_out.append(f"Pull {pull.number} of {name} is incomplete and left out.")
        elif ratio and wanted and abs(ratio / wanted - 1) > SAME_GEAR_SHARE:
            left_out.append(f"Pull {pull.number} of {name} is in another gear and left out.")
        else:
            runs.append(run_of(pull, setup))
    return runs, tuple(left_out)


def _refusal(
    first: Sequence[Run], second: Sequence[Run], grid_rpm: FloatArray, names: tuple[str, str]
) -> tuple[str, ...]:
    """Why power cannot be compared, in sentences; empty where it can."""
    reasons = [
        f"{len(runs)} usable pull{'' if len(runs) == 1 else 's'} of {name}, and a spread needs "
        f"at least {FEWEST_RUNS}"
        for name, runs in zip(names, (first, second), strict=True)
        if len(runs) < FEWEST_RUNS
    ]
    if not reasons and any(run.curve is None for run in (*first, *second)):
        reasons.append("not every pull has dyno data")
    if not reasons and (len(grid_rpm) < 2 or np.ptp(grid_rpm) < SHORTEST_OVERLAP_RPM):
        reasons.append(
            f"the pulls share less than {SHORTEST_OVERLAP_RPM:.0f} rpm, and a curve is not extended"
        )
    return tuple(f"Not assessable: {reason}." for reason in reasons)


def _overlays(
    first: Sequence[Run], second: Sequence[Run], grid_rpm: FloatArray
) -> dict[str, Overlay]:
    return {
        name: _overlay(
            quantity, unit, grid_rpm, *(rows(runs, name, grid_rpm) for runs in (first, second))
        )
        for name, (quantity, unit) in overlaid_names([*first, *second]).items()
    }


def _overlay(
    quantity: str, unit: str, grid_rpm: FloatArray, before: FloatArray, after: FloatArray
) -> Overlay:
    mean_before, mean_after = before.mean(axis=0), after.mean(axis=0)
    half_width = np.full(before.shape[1], np.nan)
    known = np.isfinite(mean_before) & np.isfinite(mean_after)
    if min(len(before), len(after)) >= FEWEST_RUNS and known.sum() >= 2:
        scale = _spread_scale(quantity, grid_rpm)[known]
        half_width[known] = simultaneous_half_width(before[:, known], after[:, known], scale)
    return Overlay(quantity, unit, mean_before, mean_after, mean_after - mean_before, half_width)


def _spread_scale(quantity: str, grid_rpm: FloatArray) -> FloatArray:
    """Torque repeats about equally well at every speed; power is torque times speed."""
    return grid_rpm if quantity == Quantity.WHEEL_POWER else np.ones(len(grid_rpm))
