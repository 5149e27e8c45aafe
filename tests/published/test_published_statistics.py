"""Statistics of few runs against published worked figures."""

import pytest

from analysis.statistics import runs_to_settle, welch_difference


def test_welch_worked_example() -> None:
    """Formula: Welch, Biometrika 34 (1947) 28, as two public statistics packages document it
    (read); example recomputed: d 6.620, interval 4.909 to 8.331."""
    found = welch_difference(
        [201.2, 199.8, 200.5, 202.0, 200.9], [207.9, 206.1, 208.8, 207.2], "kW"
    )
    assert (found.value, found.low, found.high) == pytest.approx((6.620, 4.909, 8.331), abs=1e-3)


@pytest.mark.parametrize(
    ("runs", "half_width"), [(2, 4.30), (3, 2.27), (4, 1.73), (5, 1.46), (6, 1.29), (8, 1.07)]
)
def test_what_so_many_runs_a_side_can_show(runs: int, half_width: float) -> None:
    """Half-width in percent at 1 % of spread, t(2n-2) sqrt(2/n): recomputed."""
    assert runs_to_settle(half_width + 0.005, 1.0) == runs
    assert runs_to_settle(half_width - 0.01, 1.0) == runs + 1
