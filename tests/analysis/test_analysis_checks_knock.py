"""Knock as a random process: what chance makes of equal cylinders is no knocking cylinder."""

import itertools
from collections import Counter
from math import factorial, prod

import numpy as np
import pytest
from engine_pulls import HEALTHY, Shape, Sweep, engine_pull, staircase, steady
from knock_traces import KnockTrace, knocking_pull

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.checks.knock_cylinders import chance_alone, chance_of_counts
from analysis.checks.knock_process import Retard, mean_before, process_of, retard_of
from analysis.model.findings import Cause, Finding, Severity, worst
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from decode.quantities import Quantity
from decode.samples import Channel, FloatArray, Samples

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
PULLS = 12
AT_THE_LIMIT = KnockTrace((0.2, 0.2, 0.2, 0.2))
ALL_ALIKE = KnockTrace((3.0, 3.0, 3.0, 3.0))
ONE_BAD = KnockTrace((0.1, 0.1, 2.5, 0.1))


def judged(trace: KnockTrace, seed: int) -> list[Finding]:
    findings = run_checks(knocking_pull(trace, seed), LIMITS, Context())
    return [f for f in findings if f.check == "ignition"]


def causes(trace: KnockTrace) -> Counter[Cause | None]:
    return Counter(judged(trace, seed)[0].cause for seed in range(PULLS))


def test_single_events_at_the_knock_limit_are_healthy_and_said_with_their_rate() -> None:
    for seed in range(PULLS):
        found = judged(AT_THE_LIMIT, seed)
        assert worst(f.severity for f in found) is Severity.HEALTHY
    text = judged(AT_THE_LIMIT, 0)[0].text
    assert "Knock control worked at its limit" in text
    assert "knock events a second and cylinder" in text


def test_cylinders_that_knock_alike_are_all_and_never_one() -> None:
    assert causes(ALL_ALIKE) == {Cause.LOW_OCTANE_FUEL: PULLS}


def test_the_cylinder_that_knocks_is_one() -> None:
    assert causes(ONE_BAD) == {Cause.SINGLE_CYLINDER_KNOCK: PULLS}
    found = judged(ONE_BAD, 0)[0]
    assert found.where is not None
    assert found.where.cylinder == 3
    assert "chance alone makes a cylinder stand out so far in at most 0." in found.text


def test_deep_and_lasting_retard_is_a_stop() -> None:
    deep = engine_pull({"retard_2": staircase((8.0,), step=10.5)})
    (found, *_) = [f for f in run_checks(deep, LIMITS, Context()) if f.check == "ignition"]
    assert found.severity is Severity.STOP
    assert all(judged(ALL_ALIKE, seed)[0].severity is Severity.STOP for seed in range(4))


def test_one_figure_for_the_whole_engine_names_no_cylinder() -> None:
    pull = engine_pull(
        {"retard_1": staircase((7.0, 7.8, 8.6, 9.4, 10.2))},
        without=("retard_2", "retard_3", "retard_4"),
    )
    channels = {**pull.channels, "retard_1": Channel("retard_1", "deg", Quantity.KNOCK_RETARD)}
    whole = Pull(pull.number, pull.bounds, channels, pull.samples)
    (found, *_) = [f for f in run_checks(whole, LIMITS, Context()) if f.check == "ignition"]
    assert found.text.startswith("The engine lost up to ")
    assert found.cause is Cause.LOW_OCTANE_FUEL


def test_retard_with_its_sign_turned_is_not_called_healthy() -> None:
    negative: dict[str, Shape] = {
        f"retard_{n}": (lambda shape: lambda t, rpm: -shape(t, rpm))(ALL_ALIKE.shape(n, 1))
        for n in range(1, 5)
    }
    found = run_checks(engine_pull(negative), LIMITS, Context())
    assert worst(f.severity for f in found) is Severity.LOOK_CLOSER
    assert any("turn the sign in the map" in f.text for f in found)


# the process


@pytest.mark.parametrize("rate_hz", [10.0, 50.0])
@pytest.mark.parametrize("decay_s", [0.5, 1.5])
def test_rate_mean_and_decay_are_those_that_were_put_in(rate_hz: float, decay_s: float) -> None:
    trace = KnockTrace((0.4,) * 4, (1.0, 3.0), decay_s, rate_hz, resolution_deg=0.1)
    sweep = Sweep(duration_s=200.0, rate_hz=50.0)
    retard = retard_of(knocking_pull(trace, 3, sweep))
    assert retard is not None
    process = process_of(retard)
    assert process.rate_per_s.mean() == pytest.approx(0.4, rel=0.2)
    assert process.mean_deg.mean() == pytest.approx(0.4 * 2.0 * decay_s, rel=0.2)
    assert process.decay_s == pytest.approx(decay_s, rel=0.2)


def test_the_mean_before_takes_every_value_for_as_long_as_it_stood() -> None:
    time_s = np.array([0.0, 1.0, 3.0, 4.0])
    every = np.array([[4.0, 0.0, 8.0, 8.0]])
    assert mean_before(time_s, every, 2.0).tolist() == [[0.0, 2.0, 0.0, 4.0]]


# the test of chance


@pytest.mark.parametrize("events", [(4, 0, 0, 0), (5, 2, 1), (3, 3), (6, 0, 1, 0)])
def test_the_chance_of_counts_bounds_the_multinomials_own(events: tuple[int, ...]) -> None:
    total, share = sum(events), 1.0 / len(events)
    ways = itertools.product(range(total + 1), repeat=len(events))
    exact = sum(
        factorial(total) / prod(factorial(n) for n in way) * share**total
        for way in ways
        if sum(way) == total and max(way) >= max(events)
    )
    got = chance_of_counts(np.array(events, dtype=np.float64))
    assert exact - 1e-9 <= got <= min(1.0, 1.3 * exact) + 1e-9


def alike(cylinder: int, seed: int, time_s: FloatArray) -> FloatArray:
    return ALL_ALIKE.shape(cylinder, seed)(time_s, time_s)


def test_equal_cylinders_stand_out_by_chance_as_often_as_the_test_says() -> None:
    """A p-value below x comes in x of equal engines at most."""
    time_s = np.arange(0.0, 10.0, 0.05)
    chances = []
    for seed in range(300):
        every = np.stack([alike(cylinder, seed, time_s) for cylinder in range(1, 5)])
        retard = Retard(time_s, (1, 2, 3, 4), every)
        chances.append(chance_alone(process_of(retard), retard.duration_s))
    assert np.mean(np.array(chances) <= 0.05) <= 0.05
    assert np.mean(np.array(chances) <= 0.5) >= 0.08  # and it is no test that never says so


def test_a_cylinder_that_always_leads_does_so_by_no_chance() -> None:
    time_s = np.arange(0.0, 10.0, 0.1)
    every = np.zeros((4, len(time_s)))
    every[2] = 3.0
    assert stands_out(every) < 1e-4
    assert stands_out(every[2:3]) == 1.0  # of one channel nobody can say


def test_a_cylinder_that_gets_nothing_back_is_no_slow_decay() -> None:
    """Three events in one cylinder of three, held at nine degrees to the end."""
    every = np.zeros((3, 80))
    every[0, 10:] = 3.0
    every[0, 14:] = 6.0
    every[0, 18:] = 9.0
    every[0, 60:] = 8.25
    assert stands_out(every) < 0.01


def stands_out(every: FloatArray) -> float:
    retard = Retard(np.arange(float(every.shape[1])) * 0.1, tuple(range(1, len(every) + 1)), every)
    return chance_alone(process_of(retard), retard.duration_s)


# ignition that something else took


def late(by_deg: float) -> dict[str, tuple[Quantity, Shape]]:
    """Timing and its target; from 4,000 to 5,000 rpm it comes late."""

    def timing(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return 10.0 + rpm / 1000.0 - np.where((rpm > 4000.0) & (rpm < 5000.0), by_deg, 0.0)

    return {
        "timing": (Quantity.IGNITION_TIMING, timing),
        "timing_target": (Quantity.IGNITION_TARGET, lambda t, rpm: 10.0 + rpm / 1000.0),
    }


def torque_that_follows(by_deg: float) -> dict[str, tuple[Quantity, Shape]]:
    def torque(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return np.where((rpm > 3800.0), 300.0 * (1.0 - 0.02 * by_deg), 300.0)

    return {
        "torque": (Quantity.ENGINE_TORQUE, torque),
        "request": (Quantity.TORQUE_REQUEST, steady(300.0)),
    }


def with_channels(pull: Pull, more: dict[str, tuple[Quantity, Shape]]) -> Pull:
    time_s = Sweep().time_s()
    channels = {name: Channel(name, "", quantity) for name, (quantity, _) in more.items()}
    samples = {n: Samples(time_s, s(time_s, Sweep().rpm(time_s))) for n, (_, s) in more.items()}
    return Pull(
        pull.number, pull.bounds, {**pull.channels, **channels}, {**pull.samples, **samples}
    )


def test_timing_that_something_else_took_is_an_intervention_and_no_exhaust() -> None:
    pull = with_channels(engine_pull(), {**late(8.0), **torque_that_follows(8.0)})
    found = run_checks(pull, LIMITS, Context())
    assert found[0].cause is Cause.IGNITION_INTERVENTION
    assert Cause.RESTRICTED_EXHAUST not in {f.cause for f in found}


def test_timing_that_knock_control_took_is_no_intervention() -> None:
    knocking: Shape = lambda t, rpm: np.where((rpm > 4000.0) & (rpm < 5000.0), 8.0, 0.0)  # noqa: E731
    pull = with_channels(engine_pull({"retard_1": knocking}), late(8.0))
    found = run_checks(pull, LIMITS, Context())
    assert Cause.IGNITION_INTERVENTION not in {f.cause for f in found}


def test_knock_that_its_channel_tells_a_refresh_late_is_no_intervention() -> None:
    def taken_late(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return np.where((time_s > 8.4) & (time_s < 9.4), 6.0, 0.0)

    def timing(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return 15.0 - np.where((time_s > 8.0) & (time_s < 9.0), 6.0, 0.0)

    pull = with_channels(
        engine_pull({"retard_1": taken_late}, rates_hz={"retard_1": 2.0}),
        {
            "timing": (Quantity.IGNITION_TIMING, timing),
            "timing_target": (Quantity.IGNITION_TARGET, steady(15.0)),
        },
    )
    assert Cause.IGNITION_INTERVENTION not in {f.cause for f in run_checks(pull, LIMITS, Context())}


def test_without_knock_retard_nobody_can_say_what_took_the_timing() -> None:
    silent = tuple(name for name in HEALTHY if name.startswith("retard_"))
    pull = with_channels(engine_pull(without=silent), late(8.0))
    (found,) = [
        f
        for f in run_checks(pull, LIMITS, Context())
        if f.check == "ignition" and f.severity is Severity.LOOK_CLOSER
    ]
    assert found.cause is None
    assert "Log knock retard to tell." in found.text
