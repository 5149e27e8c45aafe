"""A few invented cars, each a kind that comes to a dyno."""

from dataclasses import replace
from typing import Final

from analysis.model.setup import Ignition
from simulators.car import (
    Calibration,
    CarModel,
    CoolerModel,
    DriveModel,
    EngineModel,
    FuelModel,
    TurboModel,
)
from simulators.curve import Points

SMALL_TURBO: Final = CarModel()

SMALL_NATURAL: Final = CarModel(
    name="small naturally aspirated petrol car",
    engine=EngineModel(
        displacement_l=1.6,
        indicated_efficiency=0.355,
        volumetric_efficiency=(
            (800.0, 0.74),
            (2000.0, 0.83),
            (4200.0, 0.93),
            (5800.0, 0.90),
            (7000.0, 0.79),
        ),
        knock_base=((1000.0, 10.0), (2500.0, 17.0), (4500.0, 23.0), (6800.0, 28.0)),
        limiter_rpm=7000.0,
        throttle_full_raw_percent=83.0,
    ),
    turbo=None,
    cooler=None,
    fuel=FuelModel(direct=False, low_pressure_kpa=380.0),
    drive=DriveModel(final=4.3),
    mass_kg=1050.0,
)

_DIESEL_BOOST: Final[Points] = (
    (1000.0, 20.0),
    (1500.0, 45.0),
    (2000.0, 95.0),
    (2600.0, 135.0),
    (3000.0, 145.0),
    (4000.0, 130.0),
    (4600.0, 110.0),
)
TURBO_DIESEL: Final = CarModel(
    name="turbocharged diesel estate car",
    engine=EngineModel(
        ignition=Ignition.COMPRESSION,
        displacement_l=2.0,
        indicated_efficiency=0.43,
        volumetric_efficiency=((800.0, 0.80), (2000.0, 0.88), (3500.0, 0.87), (5000.0, 0.74)),
        friction_bar=(1.1, 0.12, 0.03),
        inertia_kg_m2=0.22,
        idle_rpm=780.0,
        limiter_rpm=4900.0,
        throttle_full_raw_percent=96.0,
        knock_design_boost=_DIESEL_BOOST,
    ),
    turbo=TurboModel(
        inertia_kg_m2=0.8e-5, wheel_radius_m=0.025, rated_flow_gs=120.0, turbine_flow_gs=58.0
    ),
    cooler=CoolerModel(heat_capacity_j_k=5500.0, cooling_w_k=230.0),
    fuel=FuelModel(octane=0.0, high_pressure_kpa=160000.0, high_pressure_idle_kpa=30000.0),
    calibration=Calibration(boost_target=_DIESEL_BOOST),
    drive=DriveModel(ratios=(3.7, 2.05, 1.32, 0.95, 0.72, 0.6), final=3.6),
    mass_kg=1550.0,
)

_LARGE_BOOST: Final[Points] = (
    (1000.0, 15.0),
    (1600.0, 40.0),
    (2300.0, 85.0),
    (3000.0, 120.0),
    (5000.0, 110.0),
    (6500.0, 80.0),
)
LARGE_TURBO: Final = CarModel(
    name="two-litre turbocharged petrol car",
    engine=EngineModel(
        displacement_l=2.0,
        inertia_kg_m2=0.17,
        knock_design_boost=_LARGE_BOOST,
        throttle_full_raw_percent=92.0,
    ),
    turbo=TurboModel(
        inertia_kg_m2=0.9e-5, wheel_radius_m=0.026, rated_flow_gs=150.0, turbine_flow_gs=64.0
    ),
    cooler=CoolerModel(heat_capacity_j_k=6000.0, cooling_w_k=290.0),
    calibration=Calibration(boost_target=_LARGE_BOOST),
    drive=DriveModel(final=3.7),
    mass_kg=1450.0,
)

HIGH_REVVING: Final = replace(
    SMALL_NATURAL,
    name="light motorcycle-engined car",
    engine=replace(
        SMALL_NATURAL.engine,
        displacement_l=1.0,
        volumetric_efficiency=((1500.0, 0.72), (5000.0, 0.86), (9000.0, 0.96), (11500.0, 0.82)),
        knock_base=((1500.0, 14.0), (5000.0, 26.0), (11000.0, 33.0)),
        friction_bar=(0.8, 0.04, 0.009),
        inertia_kg_m2=0.03,
        idle_rpm=1300.0,
        limiter_rpm=11000.0,
        throttle_full_raw_percent=100.0,
    ),
    drive=DriveModel(ratios=(2.7, 2.0, 1.6, 1.35, 1.2, 1.1), final=6.2),
    mass_kg=600.0,
)

CARS: Final = (SMALL_TURBO, SMALL_NATURAL, TURBO_DIESEL, LARGE_TURBO, HIGH_REVVING)
