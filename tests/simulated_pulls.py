"""Simulated pulls with their truth, over many cars: what checks and causes are scored on.

Bounds come from the simulator's truth, so that what is scored here is the judging alone.
"""

import random
from dataclasses import dataclass, replace
from typing import Final

from analysis.checks.check import Context
from analysis.findings import Cause
from analysis.pull import AFTER_S, BEFORE_S, Pull, PullBounds
from decode.quantities import Quantity
from simulators.car import AirModel, CarModel
from simulators.dyno import Braked, DynoModel, Inertia
from simulators.faults import Fault
from simulators.manoeuvres import Manoeuvre, Sweep
from simulators.scenario import Scenario, setup_of
from simulators.session import SimulatedSession, simulate
from simulators.truth import TruePull

SEVERITY: Final = {"mild": 0.3, "clear": 0.6, "severe": 1.0}
SENSORS: Final = (
    ("boost_pressure", "stuck"),
    ("manifold_pressure", "stuck"),
    ("air_mass_flow", "stuck"),
    ("exhaust_gas_temperature", "stuck"),
    ("boost_pressure", "clipped"),
    ("manifold_pressure", "clipped"),
    ("air_mass_flow", "clipped"),
    ("boost_pressure", "offset"),
    ("manifold_pressure", "offset"),
    ("boost_pressure", "dropout"),
    ("ignition_timing", "dropout"),
    ("lambda", "dropout"),
)


@dataclass(frozen=True)
class Judged:
    """A pull as the checks get it, and what was wrong with the car."""

    pull: Pull
    context: Context
    faults: tuple[Fault, ...]


def pull_of(session: SimulatedSession, true: TruePull) -> Pull:
    """The channels around one true pull."""
    first, last = true.start_s - BEFORE_S, true.end_s + AFTER_S
    window = {name: s.between(first, last) for name, s in session.samples.items()}
    present = {name: samples for name, samples in window.items() if len(samples)}
    return Pull(
        number=true.number,
        bounds=PullBounds(
            start_s=true.start_s,
            end_s=true.end_s,
            start_rpm=true.start_rpm,
            end_rpm=true.end_rpm,
            complete=true.complete,
            end_reason=true.end_reason,
            intent=Quantity.PEDAL_POSITION,
            full_open=100.0,
        ),
        channels={name: session.channels[name] for name in present},
        samples=present,
    )


def random_car(chance: random.Random, boosted: bool = True) -> CarModel:
    """A small to middling petrol car; sizes of engine, turbo and injectors go together."""
    car = CarModel()
    size = chance.uniform(0.8, 1.8)
    engine = replace(
        car.engine,
        displacement_l=1.4 * size,
        cylinders=chance.choice((3, 4, 4, 6)),
        inertia_kg_m2=0.13 * size**0.7,
        throttle_full_raw_percent=chance.choice((80.0, 88.0, 95.0, 100.0)),
    )
    if not boosted:
        return replace(car, engine=engine, turbo=None, cooler=None)
    turbo, cooler = car.turbo, car.cooler
    assert turbo is not None
    assert cooler is not None
    turbo = replace(
        turbo,
        rated_flow_gs=turbo.rated_flow_gs * size * chance.uniform(0.95, 1.1),
        turbine_flow_gs=turbo.turbine_flow_gs * size * chance.uniform(0.95, 1.1),
        wheel_radius_m=turbo.wheel_radius_m * size**0.5,
        inertia_kg_m2=turbo.inertia_kg_m2 * size**2,
        compressor_efficiency=chance.uniform(0.72, 0.77),
    )
    cooler = replace(
        cooler,
        effectiveness=chance.uniform(0.75, 0.88),
        heat_capacity_j_k=cooler.heat_capacity_j_k * size * chance.uniform(0.9, 1.3),
        cooling_w_k=cooler.cooling_w_k * size * chance.uniform(0.9, 1.3),
    )
    fuel = replace(car.fuel, direct=chance.random() < 0.7)
    return replace(car, engine=engine, turbo=turbo, cooler=cooler, fuel=fuel)


def _direct(car: CarModel) -> CarModel:
    return replace(car, fuel=replace(car.fuel, direct=True))


def fault_of(cause: Cause, severity: float, chance: random.Random, car: CarModel) -> Fault:
    """A fault with what it leaves open drawn at random."""
    extra: dict[str, float | str] = {}
    if cause in (Cause.SINGLE_CYLINDER_KNOCK, Cause.MISFIRE):
        extra["cylinder"] = float(chance.randint(1, car.engine.cylinders))
    if cause is Cause.PROTECTIVE_THROTTLE_CLOSURE:
        extra["trigger"] = chance.choice(("torque_limit", "over_boost"))
    if cause is Cause.SENSOR_FAULT:
        extra["channel"], extra["mode"] = chance.choice(SENSORS)
    if cause is Cause.CLOCK_OFFSET:
        extra["offset_s"] = chance.choice((-1.0, 1.0)) * 0.6 * severity
    return Fault(cause, severity, extra)


def random_scenario(
    chance: random.Random, causes: tuple[Cause, ...] = (), severity: float = 0.0
) -> Scenario:
    """One session of one car with these faults; without any, any car."""
    car = random_car(chance, boosted=bool(causes) or chance.random() < 0.85)
    if Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP in causes:
        car = _direct(car)
    slowly = chance.uniform(300.0, 900.0)
    dyno: DynoModel = Braked() if chance.random() < 0.7 else Inertia()
    start_rpm = chance.uniform(1400.0, 2000.0)
    sweep = Sweep(gear=4, start_rpm=start_rpm, ramp_rpm_s=slowly, hold_s=chance.uniform(1.0, 3.0))
    air = AirModel(
        chance.uniform(93.0, 102.5), chance.uniform(8.0, 32.0), chance.uniform(20.0, 80.0)
    )
    plan: tuple[Manoeuvre, ...] = (sweep,) * chance.choice((1, 2))
    faults = tuple(fault_of(cause, severity, chance, car) for cause in causes)
    return Scenario(
        car=car, dyno=dyno, plan=plan, faults=faults, air=air, warm_core_k=chance.uniform(0, 8)
    )


def judged_pulls(scenario: Scenario, seed: int) -> list[Judged]:
    """Every pull of the session, each with those before it."""
    session, setup = simulate(scenario, seed), setup_of(scenario)
    pulls = [pull_of(session, true) for true in session.truth.pulls]
    return [
        Judged(pull, Context(setup, tuple(pulls[:index])), scenario.faults)
        for index, pull in enumerate(pulls)
    ]


def last_pull(seed: int, causes: tuple[Cause, ...] = (), severity: float = 0.0) -> Judged | None:
    """The last pull of a random session; None where the car did not get through its sweep."""
    pulls = judged_pulls(random_scenario(random.Random(seed), causes, severity), seed)
    return pulls[-1] if pulls else None
