"""The station file as somebody fills it in: whole, in part, or not at all."""

import numpy as np

from analysis.model.setup import (
    Air,
    Car,
    Dyno,
    FullLoad,
    Ignition,
    Induction,
    Setup,
    Vehicle,
)
from decode.quantities import Quantity
from independent_engines.cars import Car as BuiltCar
from independent_engines.design import Engine
from independent_engines.logs import Log
from independent_engines.sizing import wheel_rpm


def state(random: np.random.Generator, car: BuiltCar, log: Log, whole: bool) -> Setup:
    """What is said of the car, the dyno and the air."""
    choice = 0.0 if whole else float(random.random())
    described = _whole(random, car) if choice < 0.5 else _part(random, car)
    if choice > 0.8:
        described = Car()
    measured = log.of(Quantity.BAROMETRIC_PRESSURE) is not None
    says_air = whole or random.random() < (0.5 if measured else 0.85)
    air = Air()
    if says_air:
        air = Air(
            round(car.air.pressure_kpa, 1),
            round(car.air.temperature_degc),
            round(car.air.humidity_percent),
        )
    return Setup(described, Dyno(), air)


def _whole(random: np.random.Generator, car: BuiltCar) -> Car:
    engine = car.engine
    return Car(
        name="car",
        ignition=Ignition.COMPRESSION if engine.compression_ignition else Ignition.SPARK,
        cylinders=engine.cylinders,
        displacement_l=round(engine.displacement_l, 2),
        boosted=engine.boosted,
        induction=_induction(engine),
        full_load=_full_load(engine),
        vehicle=Vehicle.MOTORCYCLE if "motorcycle" in engine.kind else Vehicle.CAR,
        thermostat_degc=round(engine.thermostat_degc) if random.random() < 0.5 else None,
        closed_loop_boost=engine.boost is not None and engine.boost.closed_loop,
        turbo_max_speed_rpm=_most_turbo_speed(car),
        max_boost_kpa=_most_boost(random, engine),
        max_engine_speed_rpm=round(engine.limiter_rpm, -2),
        fuel=engine.fuel.name,
        mass_kg=round(car.mass_kg),
    )


def _part(random: np.random.Generator, car: BuiltCar) -> Car:
    """A few fields, of which boosted is one where the engine is."""
    engine = car.engine
    return Car(
        ignition=Ignition.COMPRESSION if engine.compression_ignition else Ignition.SPARK,
        boosted=engine.boosted,
        cylinders=engine.cylinders if random.random() < 0.5 else None,
        displacement_l=round(engine.displacement_l, 1) if random.random() < 0.5 else None,
    )


def _most_turbo_speed(car: BuiltCar) -> float | None:
    """The supplier's limit: some margin above what the boost target asks for."""
    engine = car.engine
    if engine.turbo is None or engine.boost is None:
        return None
    wanted_rpm = wheel_rpm(engine.turbo, max(engine.boost.target_kpa), car.air.pressure_kpa)
    return round(1.14 * wanted_rpm, -3)


def _induction(engine: Engine) -> Induction:
    if engine.turbo is not None:
        return Induction.TURBOCHARGER
    return Induction.NATURALLY_ASPIRATED if engine.blower is None else Induction.BLOWER


def _full_load(engine: Engine) -> FullLoad:
    if engine.compression_ignition:
        return FullLoad.LEAN
    rich = engine.calibration.full_load_lambda[1] < 0.98
    return FullLoad.ENRICHED if rich else FullLoad.STOICHIOMETRIC


def _most_boost(random: np.random.Generator, engine: Engine) -> float | None:
    if engine.boost is not None:
        return round(max(engine.boost.target_kpa) * float(random.uniform(1.15, 1.3)))
    return 120.0 if engine.blower is not None else None
