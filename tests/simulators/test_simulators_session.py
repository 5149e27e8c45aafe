"""One session: truth, determinism, and physics within what engines do."""

import json

import numpy as np
import pytest

from analysis.model.pull import EndReason
from decode.quantities import HOUSE_UNIT
from simulators.car import AirModel, CarModel
from simulators.cars import CARS, HIGH_REVVING, SMALL_NATURAL, SMALL_TURBO, TURBO_DIESEL
from simulators.full_load import full_load_curves
from simulators.manoeuvres import Cruise, Sweep
from simulators.scenario import Scenario, setup_of
from simulators.session import SimulatedSession, simulate
from simulators.truth import TruePull, Truth

PLAN = (Cruise(4.0), Sweep())


@pytest.fixture(scope="module")
def healthy() -> SimulatedSession:
    return simulate(Scenario(plan=PLAN), seed=1)


def test_one_sweep_is_one_pull_from_the_hold_to_the_lift(healthy: SimulatedSession) -> None:
    (pull,) = healthy.truth.pulls
    assert pull.complete
    assert pull.end_reason is EndReason.LIFT
    assert pull.start_rpm == pytest.approx(1500.0, abs=15.0)
    assert pull.end_rpm == pytest.approx(6500.0, abs=15.0)
    assert pull.start_s - pull.full_pedal_s == pytest.approx(2.0, abs=0.02)
    assert pull.faults == ()
    assert pull.closures == ()
    pedal = healthy.trace["pedal_position"]
    inside = (healthy.trace["time"] > pull.start_s) & (healthy.trace["time"] <= pull.end_s)
    assert (pedal[inside] == 100.0).all()


def test_the_same_seed_gives_the_same_session_and_another_does_not(
    healthy: SimulatedSession,
) -> None:
    again, other = (simulate(Scenario(plan=PLAN), seed) for seed in (1, 2))
    assert again.truth == healthy.truth
    for name, samples in healthy.samples.items():
        np.testing.assert_array_equal(samples.time_s, again.samples[name].time_s)
        np.testing.assert_array_equal(samples.value, again.samples[name].value)
    assert not np.array_equal(
        other.samples["engine_speed"].value[:500], healthy.samples["engine_speed"].value[:500]
    )


def test_samples_ascend_and_channels_speak_house_units(healthy: SimulatedSession) -> None:
    assert healthy.samples.keys() == healthy.channels.keys()
    for name, samples in healthy.samples.items():
        assert (np.diff(samples.time_s) >= 0.0).all(), name
        assert np.isfinite(samples.value).all(), name
        channel = healthy.channels[name]
        assert channel.quantity is not None
        assert channel.unit == HOUSE_UNIT[channel.quantity]


def test_truth_survives_json_text(healthy: SimulatedSession) -> None:
    text = json.dumps(healthy.truth.to_json())
    assert Truth.from_json(json.loads(text)) == healthy.truth


def test_energy_only_gets_lost_on_the_way_to_the_roller(healthy: SimulatedSession) -> None:
    (pull,) = healthy.truth.pulls
    rpm, engine, wheel, bench_torque = (
        np.array(column)
        for column in (
            pull.engine_speed_rpm,
            pull.engine_torque_nm,
            pull.wheel_torque_nm,
            pull.brake_torque_nm,
        )
    )
    settled = (rpm > 1900.0) & (rpm < 6450.0)
    lost = 1.0 - wheel[settled] / engine[settled]
    assert (lost > 0.03).all()
    assert (lost < 0.35).all()
    # in the sweep the engine keeps back what turns its own inertia
    kept = bench_torque[settled] - engine[settled]
    expected = SMALL_TURBO.engine.inertia_kg_m2 * 500.0 * np.pi / 30.0
    assert np.median(kept) == pytest.approx(expected, rel=0.1)
    power_kw = np.array(pull.wheel_power_kw)
    np.testing.assert_allclose(power_kw, wheel * rpm * np.pi / 30e3, rtol=0.02)


@pytest.mark.parametrize("car", CARS, ids=lambda car: car.name)
def test_full_load_stays_within_measured_engines(car: CarModel) -> None:
    """Mean effective pressure 8 to 25 bar at its best, air per power as engines have it."""
    measured = full_load_curves(car, AirModel())
    limiter = car.engine.limiter_rpm
    rpm = np.arange(0.2, 0.96, 0.05) * limiter
    torque = np.array([measured.torque_nm.at(n) for n in rpm])
    pressure_bar = torque * 4.0 * np.pi / car.engine.displacement_l / 100.0
    assert 8.0 < pressure_bar.max() < 25.0
    assert (pressure_bar > 4.0).all()
    rated_kw = (torque * rpm).max() * np.pi / 30e3
    air_per_kw = measured.rated_air_gs / rated_kw
    assert (1.2 if car.diesel else 0.9) < air_per_kw < (2.2 if car.diesel else 1.6)
    consumption = measured.rated_fuel_gs * 3600.0 / rated_kw
    assert (190.0 if car.diesel else 240.0) < consumption < (300.0 if car.diesel else 420.0)


@pytest.mark.parametrize("car", [SMALL_NATURAL, TURBO_DIESEL], ids=lambda car: car.name)
def test_what_a_car_has_not_it_does_not_send(car: CarModel) -> None:
    session = simulate(Scenario(car=car, plan=(Cruise(3.0),)), seed=1)
    assert ("boost_target" in session.channels) == (car.turbo is not None)
    assert ("knock_retard_1" in session.channels) == (not car.diesel)
    assert ("fuel_pressure_high" in session.channels) == car.fuel.direct


def test_a_diesel_throttle_is_not_the_drivers() -> None:
    session = simulate(Scenario(car=TURBO_DIESEL, plan=(Cruise(8.0), Sweep(end_rpm=4500.0))), 1)
    assert len(session.truth.pulls) == 1
    idle_and_full = session.samples["throttle_position"].value
    assert idle_and_full[100:].min() > 80.0


def test_a_high_revving_engine_reaches_its_limiter() -> None:
    sweep = Sweep(start_rpm=4000.0, end_rpm=12000.0, ramp_rpm_s=1000.0)
    (pull,) = simulate(Scenario(car=HIGH_REVVING, plan=(Cruise(4.0), sweep)), 1).truth.pulls
    assert pull.end_reason is EndReason.LIMITER
    assert pull.end_rpm == pytest.approx(11000.0, abs=60.0)


def test_healthy_pulls_hardly_ever_lose_ignition_to_knock() -> None:
    plan = (Cruise(4.0), Sweep(), Cruise(8.0), Sweep(ramp_rpm_s=750.0))
    pulls = [pull for seed in range(3) for pull in simulate(Scenario(plan=plan), seed).truth.pulls]
    worst = [max(pull.retard_deg) for pull in pulls]
    assert max(worst) <= 3.0
    assert sum(retard > 0.0 for retard in worst) <= 1


def test_setup_says_what_the_rollers_inertia_includes() -> None:
    setup = setup_of(Scenario())
    assert setup.dyno.inertia_kg_m2 is not None
    assert setup.dyno.inertia_kg_m2 > 18.0  # the roller alone
    losses = [kw for _, kw in setup.dyno.coast_down]
    assert losses == sorted(losses)


def test_a_pull_is_a_pull_however_it_is_stored() -> None:
    pull = TruePull("sweep", 4, 1.0, 2.0, 1500.0, 6500.0, True, EndReason.LIFT, 0.5, 1, "a")
    truth = Truth("a", (pull,))
    assert Truth.from_json(json.loads(json.dumps(truth.to_json()))) == truth


def test_a_brake_that_waits_for_a_weak_engine_does_not_grab_it() -> None:
    """The diesel falls behind a ramp of 800 rpm/s near 4,100 rpm: nothing is left to brake."""
    sweep = Sweep(gear=4, end_rpm=TURBO_DIESEL.engine.limiter_rpm - 300.0, ramp_rpm_s=800.0)
    session = simulate(Scenario(car=TURBO_DIESEL, plan=(sweep,)), 0)
    (pull,), trace = session.truth.pulls, session.trace
    inside = (trace["time"] > pull.start_s) & (trace["time"] < pull.end_s - 0.05)
    brake_nm = trace["roller_torque"][inside & (trace["engine_speed"] > 4000.0)]
    assert brake_nm[0] > 20.0
    assert brake_nm[-1] < 1.0
    assert np.diff(brake_nm).max() < 1.0
