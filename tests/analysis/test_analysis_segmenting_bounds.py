"""Start and end of a sweep, looked for in engine speed drawn by hand."""

import numpy as np
import pytest
from drawn_sessions import Points

from analysis.segmenting.bounds import Trace, find_end, find_plateau, find_start, leave_level


def trace(points: Points, interval_s: float = 0.01, noise_rpm: float = 0.0) -> Trace:
    at_s, rpm = zip(*points, strict=True)
    time_s = np.arange(at_s[0], at_s[-1], interval_s)
    scatter = np.random.default_rng(5).normal(0.0, noise_rpm, len(time_s))
    return Trace(time_s, np.interp(time_s, at_s, rpm) + scatter)


@pytest.mark.parametrize(
    ("rpm", "noise_rpm", "level"),
    [(1000, 0.0, 40.0), (6000, 0.0, 90.0), (1000, 25.0, 100.0)],
)
def test_a_hold_is_left_by_more_than_it_hunts_and_by_more_than_noise(
    rpm: float, noise_rpm: float, level: float
) -> None:
    held = trace([(0, rpm), (10, rpm)], noise_rpm=noise_rpm)
    lowest = float(np.min(held.rpm))
    assert leave_level(held) == pytest.approx(max(level, 0.015 * lowest), rel=0.1)


@pytest.mark.parametrize(("held_s", "start_s"), [(0.25, 1.0), (0.45, 1.45)])
def test_a_short_wait_after_the_wish_is_the_engines_own(held_s: float, start_s: float) -> None:
    rise_s = 1.0 + held_s
    speed = trace([(0, 2000), (rise_s, 2000), (rise_s + 6.0, 5000)])
    assert find_start(speed, 0.99, 1.0, rise_s + 6.0).at_s == pytest.approx(start_s, abs=0.05)


@pytest.mark.parametrize(
    ("at_rpm", "held_s", "held_rpm_s", "sweep_rpm_s", "interval_s", "is_start"),
    [
        (2850, 2.0, 0.0, 500.0, 0.01, True),  # low in the speed range ...
        (4000, 2.0, 0.0, 500.0, 0.01, False),  # ... or a flat spot in the sweep
        (2000, 0.9, 0.0, 500.0, 0.01, True),  # long enough ...
        (2000, 0.5, 0.0, 500.0, 0.01, False),  # ... or a closure
        (2000, 2.0, 0.0, 150.0, 0.01, True),  # in a slow sweep longer
        (2000, 1.1, 0.0, 150.0, 0.01, False),
        (2000, 2.0, 40.0, 500.0, 0.01, True),  # held, though it creeps ...
        (2000, 2.0, 90.0, 500.0, 0.01, False),  # ... or the sweep, though slow
        (2000, 1.5, 0.0, 500.0, 0.4, True),  # so many readings of a slow channel
        (2000, 0.8, 0.0, 500.0, 0.4, False),
    ],
)
def test_what_is_a_hold(
    at_rpm: float,
    held_s: float,
    held_rpm_s: float,
    sweep_rpm_s: float,
    interval_s: float,
    is_start: bool,
) -> None:
    """Open at 1 s and 1,500 rpm, up to at_rpm, held there, then on to 6,000 rpm."""
    held_from_s = 1.0 + (at_rpm - 1500.0) / 500.0
    held_to_s, left_rpm = held_from_s + held_s, at_rpm + held_rpm_s * held_s
    peak_s = held_to_s + (6000.0 - left_rpm) / sweep_rpm_s
    drawn = [(0, 1500), (1, 1500), (held_from_s, at_rpm), (held_to_s, left_rpm)]
    speed = trace([*drawn, (peak_s, 6000), (peak_s + 0.1, 6000)], interval_s)
    start_s = held_to_s if is_start else 1.0
    within_s = 0.06 if at_rpm > 2000 else 0.09
    assert find_start(speed, 0.99, 1.0, peak_s).at_s == pytest.approx(start_s, abs=within_s)


def test_the_start_is_looked_for_where_the_sweep_begins() -> None:
    """A turbo that comes in later bends the line once more."""
    speed = trace([(0, 2000), (3, 2000), (3.35, 2160), (5, 6000), (5.1, 6100)])
    assert find_start(speed, 0.99, 1.0, 5.0).at_s == pytest.approx(3.0, abs=0.03)


@pytest.mark.parametrize(("interval_s", "start_s"), [(0.4, 1.0), (0.6, 1.5)])
def test_very_slow_engine_speed_leaves_the_start_to_the_wish(
    interval_s: float, start_s: float
) -> None:
    speed = trace([(0, 1500), (1, 1500), (8, 5000)], interval_s)
    assert find_start(speed, 0.7, 1.5, 7.9).at_s == pytest.approx(start_s, abs=0.15)


def test_slow_engine_speed_does_not_put_the_start_far_behind_the_wish() -> None:
    """What may be a hold of two readings may as well be the channel's own delay."""
    speed = trace([(0, 2000), (2.0, 2000), (12, 6000), (13, 6000)], 0.4)
    assert find_start(speed, 0.6, 1.0, 12.0).at_s == pytest.approx(1.0 + 1.5 * 0.4, abs=0.05)


@pytest.mark.parametrize(("wish_s", "start_s"), [(0.07, 1.3), (0.15, 1.2)])
def test_a_wish_known_sharply_is_the_start_where_nothing_was_held(
    wish_s: float, start_s: float
) -> None:
    speed = trace([(0, 1500), (1.2, 1500), (8, 4900)])
    assert find_start(speed, 1.3 - wish_s, 1.3, 7.9).at_s == pytest.approx(start_s, abs=0.06)


@pytest.mark.parametrize(
    ("earliest_s", "latest_s", "end_s"), [(5.0, 5.08, 5.04), (5.0, 5.15, 5.12)]
)
def test_an_end_known_sharply_needs_no_engine_speed(
    earliest_s: float, latest_s: float, end_s: float
) -> None:
    speed = trace([(0, 2000), (5.12, 6500), (6, 5900)])
    assert find_end(speed, earliest_s, latest_s, 5.12).at_s == pytest.approx(end_s, abs=0.015)


def test_the_end_is_looked_for_near_the_end() -> None:
    """What the engine did half a second before or after bends the line elsewhere."""
    speed = trace([(0, 2000), (4.4, 6000), (5, 6060), (5.45, 5900), (5.8, 3000)])
    assert find_end(speed, 4.8, 5.2, 5.0).at_s == pytest.approx(5.0, abs=0.03)


@pytest.mark.parametrize(
    ("rise_rpm_s", "flat_s", "flat_rpm_s", "plateau_s"),
    [
        (500.0, 0.6, 0.0, 5.0),
        (500.0, 0.25, 0.0, None),
        (500.0, 1.0, 60.0, 5.0),
        (300.0, 1.0, 75.0, None),
    ],
)
def test_a_speed_that_stops_rising_before_the_lift(
    rise_rpm_s: float, flat_s: float, flat_rpm_s: float, plateau_s: float | None
) -> None:
    top = 2000 + 5 * rise_rpm_s
    end_s = 5.0 + flat_s
    speed = trace([(0, 2000), (5, top), (end_s, top + flat_rpm_s * flat_s), (end_s + 1, 3000)])
    found = find_plateau(speed, end_s - 0.1, end_s)
    if plateau_s is None:
        assert found is None
    else:
        assert found is not None
        assert found.at_s == pytest.approx(plateau_s, abs=0.1)
