"""The kinds of engine that are judged, each drawn anew for every seed."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Final

import numpy as np

from independent_engines.cars import Car, Random, car_of, peak_nm_of, petrol, turbo_petrol
from independent_engines.design import DIESEL, E85, Air, Blower, BoostControl, Calibration, Engine
from independent_engines.sizing import turbo_for


def turbo_direct(random: Random) -> Car:
    return car_of(random, turbo_petrol(random, "turbo_direct"))


def natural_port(random: Random) -> Car:
    return car_of(random, petrol(random, "natural_port", (1.2, 4.0), (5_800.0, 8_200.0)))


def turbo_diesel(random: Random) -> Car:
    """Lean, with an intake flap, guide vanes or a gate, and no spark."""
    displacement_l = float(random.uniform(1.5, 3.0))
    rated = float(random.uniform(3_900.0, 4_600.0))
    most = float(random.uniform(110.0, 190.0))
    full_rpm = float(random.uniform(0.40, 0.50)) * rated
    filling = float(random.uniform(0.86, 0.95))
    turbo = turbo_for(
        displacement_l,
        filling,
        rated,
        0.9 * most,
        0.92 * full_rpm,
        most,
        efficiency=float(random.uniform(0.72, 0.76)),
        exhaust_k=900.0,
        guide_vanes=bool(random.random() < 0.7),
    )
    cylinders = 4 if displacement_l < 2.4 else 6
    engine = Engine(
        kind="turbo_diesel",
        cylinders=cylinders,
        displacement_l=displacement_l,
        stroke_m=float((displacement_l / cylinders * 1e-3 * 4.0 / np.pi) ** (1 / 3) * 1.1),
        compression_ratio=float(random.uniform(15.5, 17.5)),
        fuel=DIESEL,
        compression_ignition=True,
        port_injection=False,
        idle_rpm=float(random.uniform(720.0, 850.0)),
        rated_rpm=rated,
        limiter_rpm=rated * 1.12,
        filling=filling,
        filling_rpm=0.55 * rated,
        filling_fall=float(random.uniform(0.3, 0.5)),
        calibration=Calibration(
            full_load_lambda=(float(random.uniform(1.25, 1.4)), float(random.uniform(1.3, 1.5))),
            knock_control=False,
            smoke_lambda=float(random.uniform(1.12, 1.2)),
            fuel_pressure_low_kpa=float(random.uniform(400.0, 550.0)),
            rail_idle_kpa=float(random.uniform(28_000.0, 40_000.0)),
            rail_full_kpa=float(random.uniform(140_000.0, 200_000.0)),
            rail_lag_s=float(random.uniform(0.1, 0.3)),
            injector_duty_full=float(random.uniform(20.0, 35.0)),
        ),
        turbo=turbo,
        boost=BoostControl(
            (0.25 * rated, full_rpm, 0.8 * rated, rated),
            (0.4 * most, most, most, 0.9 * most),
            True,
        ),
        cooler_effectiveness=float(random.uniform(0.72, 0.88)),
        exhaust_drop_kpa=float(random.uniform(12.0, 24.0)),
        thermostat_degc=105.0 if random.random() < 0.2 else float(random.uniform(84.0, 92.0)),
        exhaust_heat_k=float(random.uniform(800.0, 870.0)),
    )
    return car_of(random, engine, mass=1_600.0)


def blower_petrol(random: Random) -> Car:
    base = petrol(random, "blower_petrol", (1.6, 5.0), (5_800.0, 7_000.0))
    ratio = float(random.uniform(1.8, 2.6))
    over = float(random.uniform(1.45, 1.75))
    blower = Blower(
        displacement_l=over * base.displacement_l * base.filling / (2.0 * ratio) * 1.15,
        ratio=ratio,
        efficiency=float(random.uniform(0.52, 0.64)),
        leakage=float(random.uniform(0.10, 0.2)),
    )
    engine = replace(
        base,
        blower=blower,
        compression_ratio=float(random.uniform(8.8, 9.8)),
        cooler_effectiveness=float(random.uniform(0.55, 0.8)),
        calibration=replace(
            base.calibration,
            full_load_lambda=(float(random.uniform(0.84, 0.9)), float(random.uniform(0.79, 0.85))),
        ),
    )
    return car_of(random, engine)


def single_motorcycle(random: Random) -> Car:
    """Rolling bearings: little oil pressure is needed, and little is there."""
    base = petrol(random, "single_motorcycle", (0.25, 0.69), (8_000.0, 10_500.0))
    return _motorcycle(random, base, 1, (0.90, 0.87), (25.0, 60.0), (80.0, 200.0))


def four_motorcycle(random: Random) -> Car:
    base = petrol(random, "four_motorcycle", (0.6, 1.05), (12_000.0, 14_500.0))
    return _motorcycle(random, base, 4, (0.90, 0.86), (90.0, 170.0), (350.0, 520.0))


def _motorcycle(
    random: Random,
    base: Engine,
    cylinders: int,
    mixture: tuple[float, float],
    idle_oil: tuple[float, float],
    rated_oil: tuple[float, float],
) -> Car:
    bore3 = base.displacement_l / cylinders * 1e-3 * 4.0 / np.pi
    engine = replace(
        base,
        cylinders=cylinders,
        stroke_m=float(bore3 ** (1 / 3) * random.uniform(0.70, 0.8)),
        compression_ratio=float(random.uniform(11.5, 13.0)),
        idle_rpm=float(random.uniform(1_150.0, 1_500.0)),
        calibration=replace(
            base.calibration,
            full_load_lambda=mixture,
            knock_control=False,
            by_air_meter=False,
            knock_margin_deg=4.0,
            fuel_pressure_low_kpa=float(random.choice([294.0, 324.0])),
        ),
        intake_drop_kpa=float(random.uniform(0.6, 1.6)),
        filling=float(random.uniform(0.98, 1.08)),
        filling_fall=0.35,
        thermostat_degc=float(random.uniform(80.0, 90.0)),
        oil_idle_kpa=float(random.uniform(*idle_oil)),
        oil_rated_kpa=float(random.uniform(*rated_oil)),
    )
    car = car_of(random, engine, mass=260.0)
    drive = replace(
        car.drive, kmh_per_1000_rpm=float(random.uniform(130.0, 230.0)) / engine.rated_rpm * 1e3
    )
    overall = 2.0 * np.pi * drive.wheel_radius_m * 0.06 / drive.kmh_per_1000_rpm * 1e3
    grip = peak_nm_of(engine) * overall * drive.efficiency * float(random.uniform(1.8, 2.4))
    moving = float(random.uniform(180.0, 320.0))
    return replace(car, drive=replace(drive, grip_nm=grip, moving_kg=moving))


def ethanol_turbo(random: Random) -> Car:
    base = turbo_petrol(random, "ethanol_turbo", high=(110.0, 190.0))
    mixture = (float(random.uniform(0.85, 0.9)), float(random.uniform(0.80, 0.85)))
    calibration = replace(base.calibration, full_load_lambda=mixture, knock_margin_deg=4.0)
    return car_of(random, replace(base, fuel=E85, calibration=calibration))


def stoichiometric_turbo(random: Random) -> Car:
    base = turbo_petrol(random, "stoichiometric_turbo", high=(60.0, 120.0))
    calibration = replace(base.calibration, full_load_lambda=(1.0, 1.0))
    engine = replace(
        base, calibration=calibration, exhaust_heat_k=float(random.uniform(770.0, 800.0))
    )
    return car_of(random, engine)


def large_turbo(random: Random) -> Car:
    """A flat target from low speeds, and a turbo that comes late."""
    base = turbo_petrol(
        random, "large_turbo", (110.0, 190.0), (0.56, 0.68), (1.8, 3.2), (6_800.0, 8_000.0)
    )
    assert base.boost is not None
    high = max(base.boost.target_kpa)
    boost = replace(base.boost, target_rpm=(1_500.0, base.rated_rpm), target_kpa=(high, high))
    return car_of(random, replace(base, boost=boost))


def torque_request(random: Random) -> Car:
    base = turbo_petrol(random, "torque_request")
    share = float(random.uniform(1.12, 1.4))
    return car_of(
        random, replace(base, calibration=replace(base.calibration, torque_request_share=share))
    )


def altitude(random: Random) -> Car:
    made = _of_any(random, (turbo_direct, natural_port, turbo_diesel, blower_petrol))
    thin = Air(float(random.uniform(75.0, 85.0)), float(random.uniform(5.0, 28.0)), 35.0)
    engine, boost = made.engine, made.engine.boost
    if boost is not None:  # a calibrator spares the turbo in thin air
        lower = tuple(0.85 * target for target in boost.target_kpa)
        engine = replace(engine, boost=replace(boost, target_kpa=lower))
    return replace(made, air=thin, engine=replace(engine, kind="altitude"))


def heat(random: Random) -> Car:
    made = _of_any(random, (turbo_direct, natural_port, turbo_diesel, stoichiometric_turbo))
    hot = Air(float(random.uniform(97.0, 102.0)), float(random.uniform(40.0, 45.0)), 20.0)
    return replace(made, air=hot, engine=replace(made.engine, kind="heat"))


def automatic(random: Random) -> Car:
    made = _of_any(random, (turbo_direct, turbo_direct, natural_port))
    drive = replace(
        made.drive,
        kmh_per_1000_rpm=made.drive.kmh_per_1000_rpm * 0.8,
        next_gear=float(random.uniform(1.25, 1.45)),
        shift_rpm=made.engine.rated_rpm * float(random.uniform(0.9, 0.97)),
    )
    return replace(made, drive=drive, engine=replace(made.engine, kind="automatic"))


def _of_any(random: Random, kinds: tuple[Callable[[Random], Car], ...]) -> Car:
    return kinds[int(random.integers(len(kinds)))](random)


KINDS: Final[Mapping[str, Callable[[Random], Car]]] = {
    "turbo_direct": turbo_direct,
    "natural_port": natural_port,
    "turbo_diesel": turbo_diesel,
    "blower_petrol": blower_petrol,
    "single_motorcycle": single_motorcycle,
    "four_motorcycle": four_motorcycle,
    "ethanol_turbo": ethanol_turbo,
    "stoichiometric_turbo": stoichiometric_turbo,
    "large_turbo": large_turbo,
    "torque_request": torque_request,
    "altitude": altitude,
    "heat": heat,
    "automatic": automatic,
}
