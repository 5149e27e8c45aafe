"""What counts as a reading: of a staircase, of an engine speed with broken values, of a wish."""

import numpy as np
import pytest

from analysis.segmenting.engine_speed import EngineSpeed
from analysis.segmenting.history import History
from analysis.segmenting.intent import Intent
from analysis.segmenting.staircase import Staircase
from decode.quantities import Quantity
from decode.samples import Channel, Samples


def fresh(update_s: float, every_s: float, steady_s: float = 0.0) -> list[float]:
    """Times taken as readings of a value that changes every update_s and is written every_s; for
    steady_s it then stays. Counted from the last change, after ten changes."""
    staircase = Staircase()
    changes_s = 10 * update_s
    found = []
    for time_s in np.arange(0.0, changes_s + update_s + steady_s - 1e-6, every_s).tolist():
        value = min(int((time_s + 1e-9) / update_s), 10)
        if staircase.is_fresh(time_s, float(value)):
            found.append(time_s - changes_s)
    return [time_s for time_s in found if time_s > -1e-6]


def test_only_the_front_edge_of_a_step_is_a_reading() -> None:
    assert fresh(1.0, 0.1) == pytest.approx([0.0])
    assert fresh(1.8, 0.1) == pytest.approx([0.0])


def test_a_value_that_stays_is_read_again_after_one_and_a_half_updates() -> None:
    assert fresh(1.0, 0.1, 3.0) == pytest.approx([0.0, 1.5, 3.0], abs=0.11)


def test_what_changes_too_slowly_to_be_polled_has_no_repeats() -> None:
    assert len(fresh(2.4, 0.1)) == 24


def test_repeats_come_more_than_twice_as_often_as_updates() -> None:
    assert len(fresh(0.9, 0.3)) == 1
    assert len(fresh(1.0, 0.5)) == 2


def update_s(*gaps_s: float) -> float:
    """The update interval learned from changes so far apart: a value that then stays is read again
    after one and a half of it."""
    staircase, at_s = Staircase(), 0.0
    for index, gap_s in enumerate((0.0, *gaps_s)):
        at_s += gap_s
        staircase.is_fresh(at_s, float(index))
    steps_s: list[float] = np.arange(0.01, 4.0, 0.01).tolist()
    return next(s for s in steps_s if staircase.is_fresh(at_s + s, float(len(gaps_s)))) / 1.5


def test_the_update_interval_is_the_shortest_but_one_of_the_last_nine() -> None:
    assert update_s(1.0, 1.0, 0.2, 1.0, 1.0) == pytest.approx(1.0, abs=0.01)
    assert update_s(2.0, 1.0, 1.98, 1.0, 1.98) == pytest.approx(1.0, abs=0.01)
    assert update_s(0.5, 0.5, *[1.5] * 7) == pytest.approx(0.5, abs=0.01)
    assert update_s(0.5, 0.5, *[1.5] * 9) == pytest.approx(1.5, abs=0.01)


def read(values: list[float], step_s: float = 0.01) -> list[float]:
    speed = EngineSpeed()
    time_s = step_s * np.arange(1.0, len(values) + 1)
    speed.put(Samples(time_s, np.array(values)))
    speed.release(float(time_s[-1]))
    return speed.history.values


@pytest.mark.parametrize(
    ("jump", "step_s", "stays"),
    [(440.0, 0.01, True), (460.0, 0.01, False), (7500.0, 0.5, True), (8000.0, 0.5, False)],
)
def test_a_jump_no_engine_can_do_is_dropped(jump: float, step_s: float, stays: bool) -> None:
    assert read([2000.0, 2000.0 + jump, 2001.0], step_s)[1:] == (
        [2000.0 + jump, 2001.0] if stays else [2001.0]
    )


def test_a_jump_that_three_samples_agree_on_is_believed() -> None:
    assert read([2000.0, 4000.0, 4001.0, 2001.0]) == [2000.0, 2001.0]
    assert read([2000.0, 4000.0, 4001.0, 4002.0]) == [2000.0, 4000.0, 4001.0, 4002.0]


def test_what_no_engine_reaches_is_broken() -> None:
    assert read([19_900.0, 20_100.0]) == [19_900.0]


def test_the_smoothed_speed_is_the_mean_of_80_ms() -> None:
    speed = EngineSpeed()
    time_s = np.arange(0.0, 1.0, 0.01)
    speed.put(Samples(time_s, 1000.0 * time_s))
    speed.release(1.0)
    found = speed.smooth(0.905)
    assert found is not None
    assert found == pytest.approx((0.865, 865.0), abs=0.006 * 1000.0)
    assert found[0] == pytest.approx(0.865, abs=0.006)


def test_the_usual_interval_is_that_of_the_last_nine_readings() -> None:
    speed = EngineSpeed()
    time_s = np.cumsum([0.1] * 10 + [0.02] * 9)
    speed.put(Samples(time_s, 1000.0 + time_s))
    speed.release(float(time_s[13]))
    assert speed.interval_s == pytest.approx((4 * 0.1 + 4 * 0.02) / 8)
    speed.release(2.0)
    assert speed.interval_s == pytest.approx(0.02)


def test_what_comes_later_than_the_lateness_is_dropped() -> None:
    history = History()
    history.put(Samples(np.array([1.0, 0.95, 0.93]), np.array([1.0, 2.0, 3.0])))
    assert history.release(2.0) == [(0.95, 2.0), (1.0, 1.0)]


def wish(quantity: Quantity, *values: float, step_s: float = 0.02) -> Intent:
    intent = Intent(Channel("wish", "", quantity))
    time_s = step_s * np.arange(1.0, len(values) + 1)
    intent.put(Samples(time_s, np.array(values)))
    intent.release(float(time_s[-1]))
    return intent


@pytest.mark.parametrize(
    ("values", "is_open"),
    [
        ((100.0,) * 3 + (10.0, 95.0), True),
        ((100.0,) * 3 + (10.0, 94.0), False),
        ((100.0,) * 3 + (91.0,), True),
        ((100.0,) * 3 + (89.0,), False),
        ((73.0,) * 3, True),  # of 77 at least
        ((72.0,) * 3, False),
        ((90.0, 90.0, 10.0, 84.0), True),  # two samples in a row have not taught 90
        ((90.0, 90.0, 90.0, 10.0, 84.0), False),
    ],
)
def test_a_pedal_is_open_by_what_the_session_has_shown(
    values: tuple[float, ...], is_open: bool
) -> None:
    assert wish(Quantity.PEDAL_POSITION, *values).is_open == is_open


def test_two_slow_readings_teach_the_full_scale() -> None:
    slow = wish(Quantity.PEDAL_POSITION, 10.0, 90.0, 90.0, 10.0, 84.0, step_s=0.35)
    quick = wish(Quantity.PEDAL_POSITION, 10.0, 90.0, 90.0, 10.0, 84.0, step_s=0.25)
    assert (slow.full, quick.full) == (90.0, 77.0)


def test_a_pedal_never_teaches_more_than_102_percent() -> None:
    assert wish(Quantity.PEDAL_POSITION, *(104.0,) * 4).full == 102.0
    assert wish(Quantity.PEDAL_POSITION, *(107.0,) * 4).full == 77.0


@pytest.mark.parametrize(
    ("values", "is_open"),
    [
        ((93.0,) * 3, True),  # without a turbo: the vacuum is gone
        ((97.0,) * 3 + (10.0, 88.0), False),
        ((100.0,) * 3 + (86.0,), True),
        ((100.0,) * 3 + (84.0,), False),
        ((118.0,) * 3 + (95.0, 95.0, 95.0), False),
        ((200.0,) * 3 + (10.0, 152.0), True),  # with one: three quarters are full load
        ((200.0,) * 3 + (10.0, 148.0), False),
        ((200.0,) * 3 + (122.0,), True),
        ((200.0,) * 3 + (118.0,), False),
        ((124.0,) * 3 + (95.0,), True),
    ],
)
def test_a_manifold_is_full_by_what_it_has_held(values: tuple[float, ...], is_open: bool) -> None:
    assert wish(Quantity.MANIFOLD_PRESSURE, *values).is_open == is_open


def test_a_wish_is_alive_for_two_and_a_half_seconds() -> None:
    intent = wish(Quantity.PEDAL_POSITION, 10.0)
    assert intent.is_alive(2.5)
    assert not intent.is_alive(2.54)


@pytest.mark.parametrize(
    ("quantity", "before_s"), [(Quantity.PEDAL_POSITION, 3.0), (Quantity.MANIFOLD_PRESSURE, 8.0)]
)
def test_where_it_came_open_is_looked_for_a_moment_back(
    quantity: Quantity, before_s: float
) -> None:
    """Closed for 0.2 s and open since: the bound is found where it lies in the look back."""
    intent = wish(quantity, *(10.0,) * 10, *(100.0,) * 600)
    assert intent.window(before_s + 0.1, 12.0) == pytest.approx((0.2, 0.22))
    first_s, same_s = intent.window(before_s + 0.5, 12.0)
    assert first_s == same_s
    assert first_s == pytest.approx(0.5, abs=0.03)
