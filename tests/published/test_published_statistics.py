"""Statistics of few runs against published worked figures."""

import pytest

from analysis.stages.statistics import runs_to_settle


@pytest.mark.parametrize(
    ("runs", "half_width"), [(2, 4.30), (3, 2.27), (4, 1.73), (5, 1.46), (6, 1.29), (8, 1.07)]
)
def test_what_so_many_runs_a_side_can_show(runs: int, half_width: float) -> None:
    """Half-width in percent at 1 % of spread, t(2n-2) sqrt(2/n): recomputed."""
    assert runs_to_settle(half_width + 0.005, 1.0) == runs
    assert runs_to_settle(half_width - 0.01, 1.0) == runs + 1
