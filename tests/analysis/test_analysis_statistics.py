"""Intervals of few runs against scipy, against theory, and against simulation."""

import numpy as np
import pytest
from scipy import special, stats

from analysis.stages.statistics import (
    Interval,
    band_multiplier,
    effective_freedom,
    pooled_difference,
    roughness,
    runs_to_settle,
    simultaneous_half_width,
)
from decode.samples import FloatArray

BEFORE = [201.2, 199.8, 200.5, 202.0, 200.9]
AFTER = [207.9, 206.1, 208.8, 207.2]


def test_the_interval_is_scipys() -> None:
    found = pooled_difference(BEFORE, AFTER, "kW")
    low, high = stats.ttest_ind(AFTER, BEFORE, equal_var=True).confidence_interval()
    assert (found.low, found.high) == pytest.approx((low, high))
    assert found.excludes_zero


def test_a_single_run_has_no_spread() -> None:
    with pytest.raises(ValueError, match="single run"):
        pooled_difference([200.0], [201.0, 202.0], "kW")


def test_equal_runs_give_an_interval_without_width() -> None:
    assert pooled_difference([1.0, 1.0], [2.0, 2.0], "kW") == Interval(1.0, 1.0, 1.0, "kW")


@pytest.mark.parametrize(("difference", "runs"), [(10.0, 2), (2.3, 3), (1.5, 5), (0.01, None)])
def test_runs_to_settle(difference: float, runs: int | None) -> None:
    """Half-widths at a spread of 1: 4.30, 2.27, 1.73, 1.46 for 2 to 5 runs a side."""
    assert runs_to_settle(difference, 1.0) == runs


def test_multiplier_without_length_is_students() -> None:
    assert band_multiplier(4, 0.0) == pytest.approx(special.stdtrit(4, 0.975), abs=1e-6)


def test_multiplier_grows_with_length_and_falls_with_freedom() -> None:
    assert band_multiplier(10, 20.0) > band_multiplier(10, 5.0) > band_multiplier(100, 5.0)


def smooth_runs(random: np.random.Generator, runs: int, length: float, share: float) -> FloatArray:
    """Curves of unit spread on 90 points: a common offset of that share, and a smooth rest."""
    points = np.arange(90.0)
    covariance = np.exp(-0.5 * ((points[:, None] - points) / length) ** 2) + 1e-9 * np.eye(90)
    rest: FloatArray = random.standard_normal((runs, 90)) @ np.linalg.cholesky(covariance).T
    offset: FloatArray = random.standard_normal((runs, 1)) * share**0.5
    return rest * float((1 - share) ** 0.5) + offset


def test_freedom_lies_between_one_common_error_and_many_own_ones() -> None:
    random = np.random.default_rng(3)
    common = smooth_runs(random, 6, 5.0, 1.0)
    assert effective_freedom(common - common.mean(axis=0), 5) == pytest.approx(5, abs=0.01)
    own = random.standard_normal((6, 400))
    assert effective_freedom(own - own.mean(axis=0), 5) > 1000


def test_roughness_of_a_smooth_error_is_its_span_over_its_length() -> None:
    runs = smooth_runs(np.random.default_rng(4), 400, 10.0, 0.0)
    assert roughness(runs - runs.mean(axis=0)) == pytest.approx(89 / 10, rel=0.05)


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("runs", [3, 5])
def test_band_holds_the_whole_curve_in_95_percent(runs: int, share: float) -> None:
    random = np.random.default_rng(5)
    scale = np.linspace(1.0, 4.0, 90)
    held = 0
    for _ in range(400):
        before, after = (smooth_runs(random, runs, 10.0, share) * scale for _ in range(2))
        difference = after.mean(axis=0) - before.mean(axis=0)
        held += bool(np.all(np.abs(difference) <= simultaneous_half_width(before, after, scale)))
    assert 0.925 <= held / 400 <= 0.985


def test_three_runs_of_smooth_error_need_about_3_1_standard_errors() -> None:
    """The figure of a Monte-Carlo with pooled spread: 3.12 at 500 rpm of 4,500, three runs."""
    multiplier = band_multiplier(30, 4500 / 500)
    assert multiplier == pytest.approx(3.12, abs=0.08)


def test_band_of_equal_runs_has_no_width() -> None:
    same = np.ones((2, 5))
    assert np.array_equal(simultaneous_half_width(same, same, np.ones(5)), np.zeros(5))
