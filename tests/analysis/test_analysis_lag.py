"""Lag is measured from the session's own pulls, within its uncertainty, and taken out."""

import numpy as np
import pytest
from engine_pulls import Sweep, engine_pull

from analysis.checks.check import Context
from analysis.checks.following import target_lag
from analysis.physics.lag import Lag, after_lag, extremes, graced, measure
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

LONGEST_S = 0.6
FINE_S = np.arange(0.0, 14.0, 0.001)
RISING = np.interp(FINE_S, [0, 3, 9, 14], [8_000, 8_000, 20_000, 20_000])  # kPa: held, swept, full
EVEN_RAMP = np.interp(FINE_S, [0, 14], [8_000, 20_000])


def behind(target: FloatArray, delay_s: float, constant_s: float) -> FloatArray:
    """A first-order answer on the fine grid, step by step: another way than the one measured."""
    share = 1.0 - np.exp(-0.001 / constant_s) if constant_s else 1.0
    answer = np.empty_like(target)
    now = target[0]
    for index, wanted in enumerate(target):
        now += (wanted - now) * share
        answer[index] = now
    return np.interp(FINE_S - delay_s, FINE_S, answer)


def logged(course: FloatArray, rate_hz: float, seed: int, noise: float = 0.0) -> Samples:
    """The course as a logger keeps it: a rate, a phase, noise."""
    chance = np.random.default_rng(seed)
    time_s = np.arange(chance.uniform(0.0, 1.0 / rate_hz), 14.0, 1.0 / rate_hz)
    value = np.interp(time_s, FINE_S, course) + chance.normal(0.0, noise, len(time_s))
    return Samples(time_s, value)


@pytest.mark.parametrize("rate_hz", [5.0, 10.0, 50.0])
@pytest.mark.parametrize(
    ("delay_s", "constant_s"), [(0.0, 0.0), (0.1, 0.05), (0.0, 0.25), (0.15, 0.25)]
)
def test_a_lag_is_found_within_three_of_its_spreads(
    delay_s: float, constant_s: float, rate_hz: float
) -> None:
    actual = behind(RISING, delay_s, constant_s)
    for seed in range(4):
        run = logged(actual, rate_hz, seed, noise=60.0), logged(RISING, rate_hz, seed + 50)
        lag = measure([run], LONGEST_S)
        assert lag is not None
        assert abs(lag.total_s - delay_s - constant_s) < 3 * lag.spread_s + 0.01
        assert lag.spread_s < 0.1


def test_an_even_ramp_tells_no_lag_for_an_offset_looks_like_it() -> None:
    actual = behind(EVEN_RAMP, 0.1, 0.2)
    assert measure([(logged(actual, 10.0, 1, 60.0), logged(EVEN_RAMP, 10.0, 2))], LONGEST_S) is None


def test_a_target_that_stands_still_tells_no_lag() -> None:
    still = np.full(len(FINE_S), 500.0)
    assert measure([(logged(still, 10.0, 1, 3.0), logged(still, 10.0, 2))], LONGEST_S) is None


def test_without_samples_there_is_no_lag() -> None:
    nothing = Samples(np.empty(0), np.empty(0))
    assert measure([], LONGEST_S) is None
    assert measure([(nothing, nothing)], LONGEST_S) is None


def test_a_reading_in_two_seconds_is_too_seldom() -> None:
    actual = behind(RISING, 0.0, 0.3)
    assert measure([(logged(actual, 0.5, 1), logged(RISING, 0.5, 2))], LONGEST_S) is None


def test_two_pulls_make_the_lag_surer_than_one() -> None:
    actual = behind(RISING, 0.0, 0.3)
    runs = [(logged(actual, 10.0, s, 300.0), logged(RISING, 20.0, s + 9)) for s in range(4)]
    one, all_four = measure(runs[:1], LONGEST_S), measure(runs, LONGEST_S)
    assert all_four is not None
    assert one is None or all_four.spread_s < one.spread_s


@pytest.mark.parametrize("rate_hz", [10.0, 50.0])
def test_a_sagging_pump_is_not_explained_by_lag(rate_hz: float) -> None:
    sagging = RISING * (1.0 - 0.25 * np.clip((FINE_S - 6.0) / 6.0, 0.0, 1.0))
    pressure, target = logged(sagging, rate_hz, 1, 60.0), logged(RISING, rate_hz, 2)
    lag = measure([(pressure, target)], LONGEST_S)
    assert lag is None or lag.total_s < 0.2
    low, _ = extremes(target, lag, LONGEST_S, pressure.time_s)
    short = 100.0 * (1.0 - pressure.value / low)
    assert short[pressure.time_s > 12.5].min() > 15.0


def test_a_target_after_its_lag_is_what_the_channel_shows() -> None:
    actual = behind(RISING, 0.15, 0.25)
    time_s = np.arange(2.0, 14.0, 0.1)
    shown = after_lag(logged(RISING, 100.0, 3), Lag(0.15, 0.25), time_s)
    assert np.abs(shown - np.interp(time_s, FINE_S, actual)).max() < 20.0
    assert len(after_lag(logged(RISING, 10.0, 3), Lag(0.1, 0.1), np.empty(0))) == 0


def test_a_healthy_channel_stays_between_the_extremes() -> None:
    actual = behind(RISING, 0.1, 0.2)
    time_s = np.arange(1.0, 14.0, 0.05)
    value = np.interp(time_s, FINE_S, actual)
    for lag in (Lag(0.1, 0.2, 0.02), Lag(0.05, 0.2, 0.03), None):
        low, high = extremes(logged(RISING, 50.0, 4), lag, LONGEST_S, time_s)
        assert (value > low - 25.0).all()
        assert (value < high + 25.0).all()


def test_within_one_lag_of_a_step_there_is_grace_and_none_later() -> None:
    stepped = np.where(FINE_S < 5.0, 100.0, 150.0)
    time_s = np.array([4.0, 5.1, 5.25, 5.5, 9.0])
    grace = graced(logged(stepped, 100.0, 1), 0.3, 20.0, time_s)
    assert grace.tolist() == [False, True, True, False, False]


def test_the_lag_of_a_rail_is_measured_behind_its_target() -> None:
    pull = engine_pull(
        {
            "rail_target": lambda t, rpm: np.interp(t, [3, 9], [8_000, 20_000]),
            "rail": lambda t, rpm: np.interp(t - 0.25, [3, 9], [8_000, 20_000]),
        },
        sweep=Sweep(rate_hz=20.0),
    )
    lag = target_lag(Quantity.FUEL_PRESSURE_HIGH, pull, Context(earlier=(pull,)))
    assert lag is not None
    assert lag.total_s == pytest.approx(0.25, abs=0.06)
    assert target_lag(Quantity.LAMBDA, engine_pull(without=("lambda",)), Context()) is None


def test_between_two_readings_a_target_may_have_been_either() -> None:
    stepped = np.where(FINE_S < 5.0, 100.0, 150.0)
    time_s = np.array([4.6, 5.4])
    for lag in (Lag(0.0, 0.0, 0.01), None):
        low, high = extremes(logged(stepped, 1.0, 1), lag, 0.3, time_s)
        assert (low == 100.0).all()
        assert (high == 150.0).all()
