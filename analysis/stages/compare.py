"""Two stages against each other: what the change did, and whether the runs can say so."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.model.pull import Pull
from analysis.model.setup import Setup
from analysis.phrases.say import amount, count, say
from analysis.phrases.statement import Statement
from analysis.stages.added_heat import added_heat
from analysis.stages.comparability import doubts
from analysis.stages.comparison import Comparison, Overlay
from analysis.stages.curves import WHEEL_POWER, Run, common_grid, overlaid_names, rows, run_of
from analysis.stages.gain_statements import gain_statements
from analysis.stages.gains import StageRuns, gains_of
from analysis.stages.left_out import LeftOut, left_out
from analysis.stages.statistics import simultaneous_half_width
from decode.quantities import Quantity
from decode.samples import FloatArray

SHORTEST_OVERLAP_RPM: Final = 500.0  # below this a curve says nothing
LEFT_OUT: Final = {
    LeftOut.INCOMPLETE: "left-out-incomplete",
    LeftOut.OTHER_GEAR: "left-out-other-gear",
}
FEWEST_RUNS: Final = 2  # a side; a single run is inconclusive whatever it shows (SAE J1321)


@dataclass(frozen=True, slots=True)
class _Side:
    """The runs of one stage that count, and a sentence for every one that does not."""

    name: str
    counted: StageRuns
    left_out: tuple[Statement, ...]

    @property
    def runs(self) -> Sequence[Run]:
        return self.counted.runs


def compare_stages(
    baseline: Sequence[Pull],
    changed: Sequence[Pull],
    setup: Setup,
    names: tuple[str, str] = ("baseline", "changed"),
) -> Comparison:
    """Changed minus baseline, on the engine speeds that every pull of both swept through.

    Incomplete pulls and pulls in another gear than the baseline's first are left out, and said so.
    """
    return compare_all(list(zip(names, (baseline, changed), strict=True)), setup)[0]


def compare_all(stages: Sequence[tuple[str, Sequence[Pull]]], setup: Setup) -> list[Comparison]:
    """Each (name, pulls) against the first stage and, from the third on, the one before.

    The spread is that of every stage of the job whose runs cover the same speeds.
    """
    return compare_runs([(name, [run_of(pull, setup) for pull in pulls]) for name, pulls in stages])


def compare_runs(stages: Sequence[tuple[str, Sequence[Run]]]) -> list[Comparison]:
    """As compare_all, of pulls whose sweeps and curves are known already."""
    sides = _usable_sides(stages)
    comparisons = []
    for index in range(1, len(sides)):
        for before in dict.fromkeys((0, index - 1)):
            others = [side for at, side in enumerate(sides) if at not in (before, index)]
            comparisons.append(_compare(sides[before], sides[index], others))
    return comparisons


def _compare(before: _Side, after: _Side, further: Sequence[_Side]) -> Comparison:
    first, second = before.runs, after.runs
    names = (before.name, after.name)
    grid_rpm = common_grid([*first, *second]) if first and second else np.empty(0)
    refusal = _refusal(first, second, grid_rpm, names)
    pooled = [] if refusal else [side.counted for side in further if _covers(side.runs, grid_rpm)]
    others = [stage.runs for stage in pooled]
    overlays = _overlays(first, second, grid_rpm, others) if len(grid_rpm) else {}
    gains = None if refusal else gains_of([before.counted, after.counted, *pooled], grid_rpm)
    runs = (len(first), len(second))
    said = (
        refusal if gains is None else gain_statements(gains, overlays[WHEEL_POWER], grid_rpm, runs)
    )
    return Comparison(
        names=names,
        runs=runs,
        engine_speed_rpm=grid_rpm,
        overlays=overlays,
        peak_gain=None if gains is None else gains.peak,
        area_gain=None if gains is None else gains.mean,
        corrected_peak_gain=None if gains is None else gains.corrected_peak,
        corrected_area_gain=None if gains is None else gains.corrected_mean,
        drift=None if gains is None else gains.drift_percent,
        claimed=gains is not None and gains.claimed,
        assessable=not refusal,
        statements=(*said, *_pooled(runs, others), *before.left_out, *after.left_out),
        conditions=(*doubts(first, second), *added_heat(overlays)) if first and second else (),
    )


def _usable_sides(stages: Sequence[tuple[str, Sequence[Run]]]) -> list[_Side]:
    """Every stage's runs that count in its mean."""
    reasons = left_out([[run.pull for run in runs] for _name, runs in stages])
    sides, driven = [], 0
    for (name, runs), whys in zip(stages, reasons, strict=True):
        sides.append(_side(name, runs, whys, driven))
        driven += len(runs)
    return sides


def _side(name: str, runs: Sequence[Run], whys: Sequence[LeftOut | None], driven: int) -> _Side:
    """driven: how many pulls of the job came before this stage. A pull that is left out has heated
    the car too."""
    counted = [at for at, why in enumerate(whys) if why is None]
    return _Side(
        name,
        StageRuns([runs[at] for at in counted], [driven + at for at in counted]),
        tuple(
            say(LEFT_OUT[why], pull=count(run.pull.number), stage=name)
            for run, why in zip(runs, whys, strict=True)
            if why is not None
        ),
    )


def _covers(runs: Sequence[Run], grid_rpm: FloatArray) -> bool:
    """Whether a further stage has something to say of the spread over these speeds."""
    if len(runs) < FEWEST_RUNS or any(run.curve is None for run in runs):
        return False
    own_rpm = common_grid(runs)
    return len(own_rpm) > 0 and own_rpm[0] <= grid_rpm[0] and own_rpm[-1] >= grid_rpm[-1]


def _pooled(runs: tuple[int, int], others: Sequence[Sequence[Run]]) -> tuple[Statement, ...]:
    if not others:
        return ()
    pulls = sum(runs) + sum(len(stage) for stage in others)
    return (say("spread-pooled", stages=count(len(others) + 2), pulls=count(pulls)),)


def _refusal(
    first: Sequence[Run], second: Sequence[Run], grid_rpm: FloatArray, names: tuple[str, str]
) -> tuple[Statement, ...]:
    """Why power cannot be compared; empty where it can."""
    reasons = [
        say(
            "not-assessable-few-pulls",
            pulls=count(len(runs)),
            stage=name,
            fewest=count(FEWEST_RUNS),
        )
        for name, runs in zip(names, (first, second), strict=True)
        if len(runs) < FEWEST_RUNS
    ]
    if not reasons and any(run.curve is None for run in (*first, *second)):
        reasons.append(say("not-assessable-without-dyno"))
    if not reasons and (len(grid_rpm) < 2 or np.ptp(grid_rpm) < SHORTEST_OVERLAP_RPM):
        shortest = amount(SHORTEST_OVERLAP_RPM, "rpm")
        reasons.append(say("not-assessable-short-overlap", shortest=shortest))
    return tuple(reasons)


def _overlays(
    first: Sequence[Run],
    second: Sequence[Run],
    grid_rpm: FloatArray,
    others: Sequence[Sequence[Run]],
) -> dict[str, Overlay]:
    overlays = {}
    for name, (quantity, unit) in overlaid_names([*first, *second]).items():
        have_it = [runs for runs in others if name in overlaid_names(runs)]
        sides = [rows(runs, name, grid_rpm) for runs in (first, second, *have_it)]
        overlays[name] = _overlay(quantity, unit, grid_rpm, sides)
    return overlays


def _overlay(quantity: str, unit: str, grid_rpm: FloatArray, sides: list[FloatArray]) -> Overlay:
    """sides: rows of the two stages, then of those that only add to the spread."""
    before, after, *others = sides
    mean_before, mean_after = before.mean(axis=0), after.mean(axis=0)
    half_width = np.full(before.shape[1], np.nan)
    known = np.isfinite(mean_before) & np.isfinite(mean_after)
    if min(len(before), len(after)) >= FEWEST_RUNS and known.sum() >= 2:
        scale = _spread_scale(quantity, grid_rpm)[known]
        whole = [side[:, known] for side in others if np.isfinite(side[:, known]).all()]
        half_width[known] = simultaneous_half_width(before[:, known], after[:, known], scale, whole)
    return Overlay(quantity, unit, mean_before, mean_after, mean_after - mean_before, half_width)


def _spread_scale(quantity: str, grid_rpm: FloatArray) -> FloatArray:
    """Torque repeats about equally well at every speed; power is torque times speed."""
    return grid_rpm if quantity == Quantity.WHEEL_POWER else np.ones(len(grid_rpm))
