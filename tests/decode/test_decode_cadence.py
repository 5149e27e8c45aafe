import numpy as np
import pytest

from decode.cadence import SILENT_PERIODS, Cadence, period_s


def test_the_period_is_the_median_so_that_a_gap_does_not_count() -> None:
    assert period_s(np.array([0.0, 0.1, 0.2, 5.0, 5.1])) == pytest.approx(0.1)


@pytest.mark.parametrize("time_s", [[], [3.0]])
def test_fewer_than_two_samples_have_no_period(time_s: list[float]) -> None:
    assert period_s(time_s) == 0.0
    assert period_s(np.array(time_s)) == 0.0


def test_what_comes_often_is_silent_after_the_given_time_and_what_comes_seldom_later() -> None:
    often, seldom = Cadence(newest_share=0.2), Cadence(newest_share=0.2)
    for index in range(100):
        often.note(index * 0.1, index * 0.1 + 0.09, 10)
        seldom.note(index * 2.0, index * 2.0, 1)
    assert often.silent_after_s(1.0) == 1.0
    assert seldom.silent_after_s(1.0) == pytest.approx(SILENT_PERIODS * 2.0)
    assert seldom.last_s is not None
    assert not seldom.is_silent(seldom.last_s + 9.9, 1.0)
    assert seldom.is_silent(seldom.last_s + 10.1, 1.0)


def test_the_newest_interval_counts_by_its_share() -> None:
    half, whole = Cadence(newest_share=0.5), Cadence(newest_share=1.0)
    for cadence in (half, whole):
        for at_s in (0.0, 1.0, 4.0):
            cadence.note(at_s, at_s, 1)
    assert (half.interval_s, whole.interval_s) == (2.0, 3.0)


def test_what_never_came_is_not_silent_and_time_does_not_go_back() -> None:
    cadence = Cadence(newest_share=0.2)
    assert not cadence.is_silent(1e9, 1.0)
    cadence.note(5.0, 6.0, 2)
    cadence.note(1.0, 2.0, 2)
    assert cadence.last_s == 6.0
