"""Drift from pull to pull: what it may not be taken for, and what is asked for because of it."""

import numpy as np
import pytest
from roller_pulls import Bay, Torque, roller_pull

from analysis.model.pull import Pull
from analysis.stages.compare import compare_stages
from analysis.stages.comparison import Comparison
from analysis.stages.drift import Driven, difference, drift_of
from analysis.stages.statistics import Interval, pooled_difference

JOBS = 2000
SPREAD = 0.7  # per cent of power, of single runs
BAY = Bay(noise_kmh=0.005)


def job(random: np.random.Generator, gain: float, drift: float) -> tuple[Interval, Interval]:
    """Three pulls against three of 100 kW: the interval, and the one that knows of no drift."""
    position = np.arange(6.0)
    value = 100 + gain * (position >= 3) + drift * position + SPREAD * random.standard_normal(6)
    stages = [Driven(position[:3], value[:3]), Driven(position[3:], value[3:])]
    plain = pooled_difference(value[:3], value[3:], "kW")
    return difference(stages, "kW", drift_of(stages)), plain


@pytest.mark.parametrize("drift", [0.0, -0.2, -0.4, -1.0])
def test_a_fade_is_no_loss_and_its_interval_holds_the_truth(drift: float) -> None:
    """Of 2000 jobs at 95 %, at most 130 are missed with 99.9 % probability."""
    random = np.random.default_rng(3)
    found = [job(random, 0.0, drift)[0] for _ in range(JOBS)]
    assert sum(one.excludes_zero for one in found) <= 130


def test_without_the_allowance_a_fade_would_be_taken_for_a_loss() -> None:
    random = np.random.default_rng(3)
    assert sum(job(random, 0.0, -0.4)[1].excludes_zero for _ in range(JOBS)) > 400


def test_a_true_gain_is_still_found() -> None:
    random = np.random.default_rng(4)
    found = [job(random, 2.0, 0.0)[0] for _ in range(JOBS)]
    assert sum(one.low > 0 for one in found) > 0.65 * JOBS
    assert sum(one.low <= 2.0 <= one.high for one in found) > 0.94 * JOBS


def test_the_slope_is_that_of_a_straight_line_in_each_stage() -> None:
    stages = [
        Driven(np.array([0.0, 1.0, 2.0]), np.array([10.0, 9.0, 8.0])),
        Driven(np.array([3.0, 5.0]), np.array([20.0, 18.0])),
    ]
    drift = drift_of(stages)
    assert drift.per_pull == pytest.approx(-1.0)
    assert drift.error == pytest.approx(0.0, abs=1e-12)
    assert drift.fell
    assert drift.share_of(10.0).value == pytest.approx(-10.0)


def test_runs_that_repeat_exactly_have_no_drift() -> None:
    flat = Driven(np.array([0.0, 1.0]), np.array([10.0, 10.0]))
    drift = drift_of([flat, flat])
    assert not drift.fell
    assert not drift.rose


def faded(torque: Torque, first: int, per_pull: float, seed: int) -> list[Pull]:
    random = np.random.default_rng(seed)
    return [
        roller_pull(
            torque,
            BAY,
            random,
            at + 1,
            1 + per_pull * at + 0.001 * random.standard_normal(),
        )
        for at in range(first, first + 3)
    ]


def compared(per_pull: float) -> Comparison:
    same = Torque()
    return compare_stages(faded(same, 0, per_pull, 1), faded(same, 3, per_pull, 2), BAY.setup)


def said(comparison: Comparison) -> str:
    return " ".join(map(str, comparison.statements))


def test_a_fade_that_the_pulls_show_is_said_and_the_baseline_is_asked_for_again() -> None:
    found = compared(-0.01)
    assert not found.claimed
    assert found.drift is not None
    assert found.drift.low < -1.03 < found.drift.high
    assert "power fell from pull to pull: -1.1 % a pull" in said(found)
    assert "Drive the first of these two states again at the end" in said(found)


def test_a_difference_that_may_be_drift_asks_for_the_baseline_and_not_for_more_pulls() -> None:
    found = compared(-0.01)
    assert "do not rule out that power drifted by as much; the first of these two" in said(found)
    assert "more pull" not in said(found)


def test_power_that_rises_from_pull_to_pull_is_no_gain() -> None:
    found = compared(0.01)
    assert not found.claimed
    assert "power rose from pull to pull: +1.0 % a pull" in said(found)


def test_steady_pulls_say_nothing_of_drift() -> None:
    assert "pull to pull" not in said(compared(0.0))
