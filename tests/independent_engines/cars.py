"""What cars with petrol engines share: drawn anew for every seed."""

from dataclasses import dataclass, replace

import numpy as np

from independent_engines.design import (
    PETROL_95,
    PETROL_98,
    Air,
    BoostControl,
    Calibration,
    Drive,
    Engine,
)
from independent_engines.sizing import turbo_for

Random = np.random.Generator
FASTEST_PISTON_M_S = 21.0


@dataclass(frozen=True, slots=True)
class Car:
    """An engine in its car in the air of one day."""

    engine: Engine
    drive: Drive
    air: Air
    mass_kg: float
    peak_nm: float


def ordinary_air(random: Random) -> Air:
    """Of a cell near the sea on any day."""
    return Air(
        float(random.uniform(96.0, 102.5)),
        float(random.uniform(10.0, 30.0)),
        float(random.uniform(25.0, 75.0)),
    )


def drive_for(random: Random, engine: Engine, peak_nm: float, mass_kg: float) -> Drive:
    """The gear nearest to direct; grip and clutch as strong as cars are built."""
    top_kmh = random.uniform(130.0, 210.0)
    kmh = top_kmh / engine.rated_rpm * 1e3
    radius = random.uniform(0.29, 0.34)
    efficiency = random.uniform(0.86, 0.92)
    overall = 2.0 * np.pi * radius * 0.06 / kmh * 1e3
    wheel_nm = peak_nm * overall * efficiency
    moving = mass_kg * random.uniform(0.2, 0.45)  # of a brake's light rollers
    return Drive(
        kmh_per_1000_rpm=float(kmh),
        wheel_radius_m=float(radius),
        efficiency=float(efficiency),
        moving_kg=float(moving),
        gear=int(random.integers(3, 6)),
        grip_nm=float(wheel_nm * random.uniform(1.8, 2.6)),
        clutch_nm=float(peak_nm * random.uniform(1.35, 1.7)),
    )


def peak_nm_of(engine: Engine) -> float:
    gauge = max(engine.boost.target_kpa) if engine.boost else 50.0 if engine.blower else 0.0
    bar_per_bar = 9.2 if engine.compression_ignition else 10.2
    return float(bar_per_bar * (100.0 + gauge) * engine.displacement_l / (4.0 * np.pi))


def car_of(random: Random, engine: Engine, air: Air | None = None, mass: float = 1_450.0) -> Car:
    mass_kg = float(mass * random.uniform(0.8, 1.25))
    peak_nm = peak_nm_of(engine)
    drive = drive_for(random, engine, peak_nm, mass_kg)
    return Car(engine, drive, air or ordinary_air(random), mass_kg, peak_nm)


def _stroke_m(random: Random, cylinder_l: float, rated_rpm: float) -> float:
    """About square, and no longer than pistons can be driven."""
    square = (cylinder_l * 1e-3 * 4.0 / np.pi) ** (1 / 3)
    longest = FASTEST_PISTON_M_S * 30.0 / rated_rpm
    return float(min(square * random.uniform(0.95, 1.1), longest))


def petrol(
    random: Random, kind: str, displacement: tuple[float, float], rated: tuple[float, float]
) -> Engine:
    """What all petrol engines share, naturally aspirated as it stands."""
    displacement_l = float(random.uniform(*displacement))
    cylinders = 4 if displacement_l < 2.3 else 6 if displacement_l < 3.7 else 8
    rated_rpm = float(random.uniform(*rated))
    thermostat = 105.0 if random.random() < 0.35 else float(random.uniform(86.0, 95.0))
    return Engine(
        kind=kind,
        cylinders=cylinders,
        displacement_l=displacement_l,
        stroke_m=_stroke_m(random, displacement_l / cylinders, rated_rpm),
        compression_ratio=float(random.uniform(10.5, 12.0)),
        fuel=PETROL_98 if random.random() < 0.5 else PETROL_95,
        compression_ignition=False,
        port_injection=True,
        idle_rpm=float(random.uniform(650.0, 900.0)),
        rated_rpm=rated_rpm,
        limiter_rpm=rated_rpm * float(random.uniform(1.03, 1.08)),
        filling=float(random.uniform(0.92, 1.03)),
        filling_rpm=rated_rpm * float(random.uniform(0.6, 0.8)),
        filling_fall=float(random.uniform(0.35, 0.6)),
        calibration=Calibration(
            full_load_lambda=(float(random.uniform(0.88, 0.93)), float(random.uniform(0.85, 0.89))),
            knock_margin_deg=float(random.uniform(1.5, 3.5)),
            knock_step_deg=float(random.uniform(1.2, 2.4)),
            knock_recovery_deg_s=float(random.uniform(1.0, 2.5)),
            warm_air_deg_per_k=float(random.uniform(0.145, 0.20)),
            by_air_meter=bool(random.random() < 0.6),
            fuel_pressure_low_kpa=float(random.choice([300.0, 350.0, 400.0])),
            injector_duty_full=float(random.uniform(58.0, 76.0)),
            pump_reserve=float(random.uniform(1.25, 1.6)),
        ),
        intake_drop_kpa=float(random.uniform(0.8, 2.2)),
        throttle_drop=float(random.uniform(0.008, 0.022)),
        exhaust_drop_kpa=float(random.uniform(8.0, 20.0)),
        throttle_full_percent=float(random.choice([100.0, 100.0, 92.0, 86.0, 81.0])),
        pedal_full_percent=float(random.choice([100.0, 100.0, 100.0, 88.0])),
        thermostat_degc=thermostat,
        oil_idle_kpa=float(random.uniform(110.0, 190.0)),
        oil_rated_kpa=float(random.uniform(330.0, 480.0)),
        exhaust_heat_k=float(random.uniform(840.0, 900.0)),
    )


def boost_target(
    random: Random, high: float, full_rpm: float, rated: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Flat, rising with speed, or falling at the top; low before the turbo can give it."""
    shape = random.integers(3)
    low = float(random.uniform(0.45, 0.7)) * high
    if shape == 0:
        return (0.18 * rated, full_rpm, rated), (low, high, high)
    if shape == 1:
        return (0.18 * rated, full_rpm, rated), (low, 0.72 * high, high)
    return (0.18 * rated, full_rpm, 0.75 * rated, rated), (low, high, high, 0.82 * high)


def turbo_petrol(
    random: Random,
    kind: str,
    high: tuple[float, float] = (70.0, 150.0),
    full_share: tuple[float, float] = (0.30, 0.42),
    displacement: tuple[float, float] = (1.2, 3.0),
    rated: tuple[float, float] = (5_600.0, 7_000.0),
) -> Engine:
    """A petrol engine with direct injection and a turbo that fits it."""
    base = petrol(random, kind, displacement, rated)
    most = float(random.uniform(*high))
    full_rpm = float(random.uniform(*full_share)) * base.rated_rpm
    speeds, targets = boost_target(random, most, full_rpm, base.rated_rpm)
    turbo = turbo_for(
        base.displacement_l,
        base.filling,
        base.rated_rpm,
        targets[-1],
        full_rpm * float(random.uniform(0.86, 0.97)),
        targets[1],
        efficiency=float(random.uniform(0.72, 0.77)),
    )
    calibration = replace(
        base.calibration,
        full_load_lambda=(float(random.uniform(0.86, 0.93)), float(random.uniform(0.80, 0.86))),
        fuel_pressure_low_kpa=float(random.uniform(450.0, 650.0)),
        rail_idle_kpa=float(random.uniform(4_000.0, 7_000.0)),
        rail_full_kpa=float(random.choice([15_000.0, 20_000.0, 25_000.0])),
        rail_lag_s=float(random.uniform(0.08, 0.25)),
        injector_duty_full=float(random.uniform(45.0, 75.0)),
    )
    return replace(
        base,
        compression_ratio=float(random.uniform(9.3, 10.5)) - 0.008 * max(most - 90.0, 0.0),
        fuel=PETROL_98 if most > 110.0 else base.fuel,
        port_injection=False,
        calibration=calibration,
        turbo=turbo,
        boost=BoostControl(
            speeds,
            targets,
            True,
            actuator_s=float(random.uniform(0.08, 0.2)),
            proportional=float(random.uniform(0.0015, 0.003)),
        ),
        cooler_effectiveness=float(random.uniform(0.72, 0.88)),
        cooler_heat_kj_k=float(random.uniform(4.0, 9.0)),
        intake_drop_kpa=float(random.uniform(1.5, 3.5)),
        exhaust_drop_kpa=float(random.uniform(12.0, 26.0)),
        exhaust_heat_k=float(random.uniform(795.0, 845.0)),
    )
