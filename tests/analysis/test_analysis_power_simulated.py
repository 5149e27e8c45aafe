"""Torque against the simulated car's own truth: inertia and braked dynos, gears, ramp rates."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from analysis.model.pull import AFTER_S, BEFORE_S, Pull, PullBounds
from analysis.power.curve import power_curve
from decode.quantities import Quantity
from simulators.car import CarModel
from simulators.cars import SMALL_NATURAL, SMALL_TURBO, TURBO_DIESEL
from simulators.dyno import Braked, Inertia, Roller
from simulators.manoeuvres import Sweep
from simulators.scenario import Scenario, setup_of
from simulators.session import SimulatedSession, simulate
from simulators.truth import TruePull


def pulls_of(session: SimulatedSession) -> Iterator[tuple[Pull, TruePull]]:
    """Every pull as a perfect segmenter would cut it, with its truth."""
    for true in session.truth.pulls:
        bounds = PullBounds(
            true.start_s,
            true.end_s,
            true.start_rpm,
            true.end_rpm,
            true.complete,
            true.end_reason,
            Quantity.PEDAL_POSITION,
            100.0,
        )
        samples = {
            name: one.between(true.start_s - BEFORE_S, true.end_s + AFTER_S)
            for name, one in session.samples.items()
        }
        yield Pull(true.number, bounds, session.channels, samples), true


@pytest.mark.parametrize(
    ("dyno", "gear", "ramp_rpm_s"),
    [
        (Braked(), 3, 800.0),
        (Braked(), 4, 500.0),
        (Braked(), 4, 250.0),
        (Braked(), 5, 500.0),
        (Inertia(), 3, 500.0),
        (Inertia(), 4, 500.0),
    ],
)
def test_wheel_torque_is_within_one_percent_of_truth(
    dyno: Roller, gear: int, ramp_rpm_s: float
) -> None:
    scenario = Scenario(dyno=dyno, plan=(Sweep(gear=gear, ramp_rpm_s=ramp_rpm_s),))
    [(pull, true)] = pulls_of(simulate(scenario, seed=3))
    curve = power_curve(pull, setup_of(scenario))
    assert curve is not None
    truth = np.interp(curve.engine_speed_rpm, true.engine_speed_rpm, true.wheel_torque_nm)
    error = curve.wheel_torque_nm / truth - 1
    assert np.abs(error).max() < 0.01
    assert curve.wheel_power_kw.max() == pytest.approx(max(true.wheel_power_kw), rel=0.003)
    assert len(curve.engine_speed_rpm) > 90


@pytest.mark.parametrize("noise", [1.0, 2.0])
@pytest.mark.parametrize(
    ("car", "ramp_rpm_s"), [(TURBO_DIESEL, 800.0), (SMALL_NATURAL, 600.0), (SMALL_TURBO, 900.0)]
)
def test_torque_holds_where_an_engine_falls_behind_a_fast_ramp(
    car: CarModel, ramp_rpm_s: float, noise: float
) -> None:
    """The brake has let go altogether there, and what the engine keeps for itself changes."""
    sweep = Sweep(gear=4, end_rpm=car.engine.limiter_rpm - 300.0, ramp_rpm_s=ramp_rpm_s)
    scenario = Scenario(car=car, plan=(sweep,))
    noisy = tuple(replace(spec, noise=spec.noise * noise) for spec in scenario.channel_specs)
    [(pull, true)] = pulls_of(simulate(replace(scenario, channels=noisy), seed=3))
    assert pull.sweep(pull.samples["roller_torque"]).value.min() < 5.0
    curve = power_curve(pull, setup_of(scenario))
    assert curve is not None
    truth = np.interp(curve.engine_speed_rpm, true.engine_speed_rpm, true.wheel_torque_nm)
    assert np.abs(curve.wheel_torque_nm / truth - 1).max() < 0.01
