"""Do the 95 % intervals of a comparison hold the truth in 95 % of jobs?

Every job is two stages of pulls on an inertia roller through the whole path from roller speed to
compare_all. Pulls of a stage differ by a common factor, by a smooth error over engine speed and
by sensor noise; the two stages differ in level and in shape. Run:
    python tests/benchmarks/coverage.py [jobs]
"peak" and "band" (the truth is held) should be 93 to 97 %, "claims" at most 5 % where the true gain
is zero.
"""

import sys
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "analysis"))

from roller_pulls import FINE_RPM, Bay, Torque, roller_pull, wobble

from analysis.stages.compare import compare_all
from analysis.stages.comparison import Comparison
from analysis.stages.curves import WHEEL_POWER


@dataclass(frozen=True)
class Case:
    """runs: of each stage; the first two are compared, further ones only add to the spread.
    spread: of the common factor. rough: of the smooth error, over length_rpm."""

    name: str
    runs: tuple[int, ...]
    spread: float
    rough: float
    length_rpm: float
    changed: Torque


SAME = Torque()
STRONGER = Torque(plateau_nm=318.0)
ANOTHER_SHAPE = Torque(plateau_nm=309.0, spool_rpm=2450.0, fall_from_rpm=4200.0, fall=0.7)

CASES = (
    Case("zero gain, common factor", (3, 3), 0.006, 0.002, 400, SAME),
    Case("zero gain, mixed", (3, 3), 0.004, 0.004, 300, SAME),
    Case("zero gain, smooth error only", (3, 3), 0.0, 0.005, 300, SAME),
    Case("stronger, mixed", (3, 3), 0.004, 0.004, 300, STRONGER),
    Case("another shape, mixed", (3, 3), 0.004, 0.004, 300, ANOTHER_SHAPE),
    Case("another shape, 5 runs", (5, 5), 0.005, 0.003, 300, ANOTHER_SHAPE),
    Case("another shape, 3 and 6 runs", (3, 6), 0.005, 0.003, 300, ANOTHER_SHAPE),
    Case("another shape, 2 runs", (2, 2), 0.005, 0.003, 300, ANOTHER_SHAPE),
    Case("another shape, 2 of 4 stages", (2, 2, 2, 2), 0.005, 0.003, 300, ANOTHER_SHAPE),
    Case("zero gain, 2 of 3 stages", (3, 3, 3), 0.004, 0.004, 300, SAME),
)


@dataclass(frozen=True)
class Outcome:
    """What one job's comparison said against its truth."""

    peak_error_kw: float
    peak_half_width_kw: float
    peak_held: bool
    area_held: bool
    band_held: bool
    claimed: bool


def job(case: Case, bay: Bay, rng: np.random.Generator) -> Outcome:
    """Drive one job and compare."""
    torques = (SAME, case.changed, *(STRONGER for _ in case.runs[2:]))
    stages = [
        (
            str(position),
            [
                roller_pull(
                    torque,
                    bay,
                    rng,
                    number,
                    1 + case.spread * rng.standard_normal(),
                    wobble(rng, case.rough, case.length_rpm),
                )
                for number in range(runs)
            ],
        )
        for position, (torque, runs) in enumerate(zip(torques, case.runs, strict=True))
    ]
    return outcome(compare_all(stages, bay.setup)[0], case)


def outcome(comparison: Comparison, case: Case) -> Outcome:
    """Score one comparison."""
    grid = comparison.engine_speed_rpm
    fine = np.arange(grid[0], grid[-1] + 1)
    peak = case.changed.power_kw(fine).max() - SAME.power_kw(fine).max()
    difference = case.changed.power_kw(grid) - SAME.power_kw(grid)
    gain, area = comparison.peak_gain, comparison.area_gain
    assert gain is not None
    assert area is not None
    band = comparison.overlays[WHEEL_POWER]
    return Outcome(
        peak_error_kw=gain.value - peak,
        peak_half_width_kw=(gain.high - gain.low) / 2,
        peak_held=gain.low <= peak <= gain.high,
        area_held=area.low <= difference.mean() <= area.high,
        band_held=bool(np.all(np.abs(band.difference - difference) <= band.half_width)),
        claimed=comparison.claimed,
    )


def score(case: Case, jobs: int, seed: int = 1, bay: Bay | None = None) -> dict[str, float]:
    """Percentages over so many jobs, and the bias of the peak gain in kW."""
    rng = np.random.default_rng(seed)
    bay = bay or Bay()
    outcomes = [job(case, bay, rng) for _ in range(jobs)]
    shares = ("peak_held", "area_held", "band_held", "claimed")
    return {
        **{name: 100 * float(np.mean([getattr(o, name) for o in outcomes])) for name in shares},
        "peak_bias_kw": float(np.mean([o.peak_error_kw for o in outcomes])),
        "half_width_kw": float(np.median([o.peak_half_width_kw for o in outcomes])),
    }


if __name__ == "__main__":
    jobs = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    print(f"{jobs} jobs a row; peak power {SAME.power_kw(FINE_RPM).max():.1f} kW at the wheel")
    print(
        f"{'case':32} {'peak':>6} {'area':>6} {'band':>6} {'claims':>7} {'bias':>7} {'± peak':>7}"
    )
    for case in CASES:
        row = score(replace(case), jobs)
        print(
            f"{case.name:32} {row['peak_held']:6.1f} {row['area_held']:6.1f} "
            f"{row['band_held']:6.1f} {row['claimed']:7.1f} {row['peak_bias_kw']:+7.3f} "
            f"{row['half_width_kw']:7.2f}",
            flush=True,
        )
