"""Simulated pulls with their truth, over many cars: what checks and causes are scored on.

Bounds come from the simulator's truth, so that what is scored here is the judging alone.
"""

import random
from dataclasses import dataclass, replace
from typing import Final

from analysis.checks.check import Context
from analysis.model.findings import Cause
from analysis.model.pull import AFTER_S, BEFORE_S, Pull, PullBounds
from decode.quantities import Quantity
from simulators.car import AirModel, CarModel
from simulators.cars import CARS, LARGE_TURBO, SMALL_TURBO
from simulators.dyno import Braked, DynoModel, Inertia
from simulators.faults import Fault
from simulators.manoeuvres import Manoeuvre, Sweep
from simulators.scenario import Scenario, setup_of
from simulators.session import SimulatedSession, simulate
from simulators.truth import TruePull

# Causes that the simulator has no fault for; tests/independent_engines has.
NOT_SIMULATED: Final = frozenset(
    {
        Cause.BELT_SLIP,
        Cause.TURBO_OVERSPEED,
        Cause.IGNITION_INTERVENTION,
        Cause.FUEL_QUANTITY_ERROR,
        Cause.ETHANOL_CONTENT,
        Cause.SPEED_LIMITER,
    }
)
SIMULATED: Final = tuple(cause for cause in Cause if cause not in NOT_SIMULATED)
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


def random_car(chance: random.Random, kinds: tuple[CarModel, ...]) -> CarModel:
    """A car of one of the kinds, larger or smaller: engine, turbo and cooler go together."""
    car = chance.choice(kinds)
    size = chance.uniform(0.85, 1.25)
    engine = replace(
        car.engine,
        displacement_l=car.engine.displacement_l * size,
        cylinders=chance.choice((3, 4, 4, 6)),
        inertia_kg_m2=car.engine.inertia_kg_m2 * size**0.7,
        throttle_full_raw_percent=chance.choice((80.0, 88.0, 95.0, 100.0)),
    )
    if car.turbo is None or car.cooler is None:
        return replace(car, engine=engine)
    turbo = replace(
        car.turbo,
        rated_flow_gs=car.turbo.rated_flow_gs * size * chance.uniform(0.95, 1.1),
        turbine_flow_gs=car.turbo.turbine_flow_gs * size * chance.uniform(0.95, 1.1),
        wheel_radius_m=car.turbo.wheel_radius_m * size**0.5,
        inertia_kg_m2=car.turbo.inertia_kg_m2 * size**2,
        compressor_efficiency=car.turbo.compressor_efficiency + chance.uniform(-0.02, 0.03),
    )
    cooler = replace(
        car.cooler,
        effectiveness=min(car.cooler.effectiveness + chance.uniform(-0.06, 0.06), 0.9),
        heat_capacity_j_k=car.cooler.heat_capacity_j_k * size * chance.uniform(0.9, 1.3),
        cooling_w_k=car.cooler.cooling_w_k * size * chance.uniform(0.9, 1.3),
    )
    fuel = car.fuel if car.diesel else replace(car.fuel, direct=chance.random() < 0.7)
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
    car = random_car(chance, (SMALL_TURBO, LARGE_TURBO) if causes else CARS)
    if Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP in causes:
        car = _direct(car)
    dyno: DynoModel = Braked() if chance.random() < 0.7 else Inertia()
    sweep = Sweep(
        gear=4,
        start_rpm=chance.uniform(1400.0, 2000.0),
        end_rpm=car.engine.limiter_rpm - chance.uniform(-30.0, 400.0),
        ramp_rpm_s=chance.uniform(300.0, 900.0),
        hold_s=chance.uniform(1.0, 3.0),
    )
    air = AirModel(
        chance.uniform(96.0, 102.5), chance.uniform(8.0, 30.0), chance.uniform(20.0, 80.0)
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
