import numpy as np
import pytest

from decode.readings import readings, readings_of_columns
from decode.samples import FloatArray, Samples

ROW_S = 0.09
TIME_S = np.arange(0.0, 15.0, ROW_S)
ROWS = np.arange(len(TIME_S))
RAMP = np.clip((TIME_S - 3.0) / 3.0, 0.0, 1.0)


def noise(size: float, seed: int = 1) -> FloatArray:
    return np.random.default_rng(seed).normal(0.0, size, len(TIME_S))


def held(value: FloatArray, rows: int) -> Samples:
    """Read anew every so many rows, from the third on, and written in each."""
    return Samples(TIME_S, value[np.maximum((ROWS - 3) // rows * rows + 3, 0)])


SPEED = 2000.0 + 350.0 * np.clip(TIME_S - 3.0, 0.0, 11.0) + noise(4.0)
BOOST = np.round(100.0 * RAMP + noise(0.6))  # regulated, in whole kPa
FLOW = np.round(20.0 + 200.0 * RAMP + noise(2.0), 2)


@pytest.mark.parametrize("rows", [3, 5, 10])
@pytest.mark.parametrize("value", [SPEED, BOOST, FLOW], ids=["speed", "boost", "flow"])
def test_a_held_value_is_one_reading_at_the_row_in_which_it_changed(
    value: FloatArray, rows: int
) -> None:
    samples = held(value, rows)
    found = readings(samples)
    assert len(found) == pytest.approx(len(samples) / rows, abs=2)
    changed = TIME_S[1:][np.diff(samples.value) != 0.0]
    assert set(changed) <= set(found.time_s)
    np.testing.assert_array_equal(found.value, np.interp(found.time_s, TIME_S, samples.value))


def test_refreshes_that_do_not_keep_time_are_told_by_how_far_the_value_jumps() -> None:
    starts = np.cumsum(np.random.default_rng(3).integers(6, 13, 20))
    rows = starts[np.searchsorted(starts, ROWS, side="right") - 1]
    samples = Samples(TIME_S, np.where(starts[0] <= ROWS, SPEED[rows % len(ROWS)], SPEED[0]))
    assert len(readings(samples)) < len(samples) / 5


@pytest.mark.parametrize(
    "value",
    [
        SPEED,
        BOOST,
        np.round(30.0 + 0.5 * TIME_S),  # a temperature that climbs by whole degrees
        np.round(BOOST, -1),  # at rest on a coarse step
        np.full(len(TIME_S), 101.0),
        np.where(TIME_S > 8.0, 2.0, 1.0),  # a gear
    ],
    ids=["speed", "regulated boost", "warming", "coarse", "constant", "gear"],
)
def test_what_rests_or_moves_by_itself_is_not_held(value: FloatArray) -> None:
    samples = Samples(TIME_S, value)
    assert readings(samples) is samples


def test_a_value_read_again_unchanged_counts_as_read() -> None:
    """It stands from 6 s on: nine seconds of ten rows each."""
    samples = held(
        np.where(TIME_S < 6.0, FLOW + 3.0 * TIME_S + 50.0 * np.sin(9.0 * TIME_S), 7.0), 5
    )
    found = readings(samples)
    assert np.diff(found.time_s).max() == pytest.approx(5 * ROW_S)
    assert len(found.between(7.0, 15.0)) == pytest.approx(8.0 / (5 * ROW_S), abs=1)


def test_no_reading_is_made_up_in_a_gap() -> None:
    whole = held(SPEED, 10)
    there = (TIME_S < 6.0) | (TIME_S > 9.0)
    found = readings(Samples(whole.time_s[there], whole.value[there]))
    assert len(found.between(6.0, 9.0)) == 0
    assert len(found) < np.count_nonzero(there) / 5


def test_what_hardly_changes_is_read_as_often_as_the_quickest_channel_of_its_rows() -> None:
    still = np.full(len(TIME_S), 88.6)
    slow = {"speed": held(SPEED, 10), "flap": Samples(TIME_S, still)}
    quick = {**slow, "flow": Samples(TIME_S, FLOW)}
    assert len(readings_of_columns(slow)["flap"]) == len(TIME_S) // 10 + 1
    assert len(readings_of_columns(quick)["flap"]) == len(TIME_S)
    assert len(readings_of_columns(quick)["speed"]) < len(TIME_S) / 5


def test_other_rows_tell_nothing() -> None:
    other = Samples(TIME_S + 0.01, np.full(len(TIME_S), 88.6))
    assert len(readings_of_columns({"speed": held(SPEED, 10), "flap": other})["flap"]) == len(other)


def test_nothing_has_no_readings() -> None:
    empty = Samples(np.empty(0), np.empty(0))
    assert len(readings(empty)) == 0
    assert len(readings_of_columns({"empty": empty})["empty"]) == 0
