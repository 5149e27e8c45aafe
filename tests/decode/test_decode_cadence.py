import numpy as np
import pytest

from decode.cadence import period_s


def test_the_period_is_the_median_so_that_a_gap_does_not_count() -> None:
    assert period_s(np.array([0.0, 0.1, 0.2, 5.0, 5.1])) == pytest.approx(0.1)


@pytest.mark.parametrize("time_s", [[], [3.0]])
def test_fewer_than_two_samples_have_no_period(time_s: list[float]) -> None:
    assert period_s(time_s) == 0.0
    assert period_s(np.array(time_s)) == 0.0
