"""A whole simulated session: the channels as they arrive, and the truth about them."""

import random
from dataclasses import dataclass

import numpy as np

from decode.samples import Channel, FloatArray, Samples
from simulators.scenario import Scenario
from simulators.sensors import Trace, measure
from simulators.truth import Truth, true_pull
from simulators.vehicle import Vehicle


@dataclass(frozen=True)
class SimulatedSession:
    """channels and samples share their keys. samples: as the buses deliver them, times ascending,
    second 0 is the start. trace: the physics behind them, every signal at every step."""

    channels: dict[str, Channel]
    samples: dict[str, Samples]
    truth: Truth
    trace: Trace


def simulate(scenario: Scenario, seed: int) -> SimulatedSession:
    """Drive the plan; the same seed gives the same session, bit by bit."""
    chance = random.Random(seed)
    vehicle = Vehicle(
        car=scenario.car,
        dyno=scenario.dyno,
        air=scenario.air,
        faults=scenario.faults,
        chance=chance,
        warm_core_k=scenario.warm_core_k,
        step_s=scenario.step_s,
    )
    trace = with_air(vehicle.run(scenario.plan), scenario)
    numbers = np.random.default_rng(seed)
    specs = scenario.channel_specs
    return SimulatedSession(
        channels={spec.name: spec.channel for spec in specs},
        samples={spec.name: measure(trace, spec, scenario.faults, numbers) for spec in specs},
        truth=truth_of(vehicle, trace, scenario),
        trace=trace,
    )


def with_air(trace: dict[str, FloatArray], scenario: Scenario) -> dict[str, FloatArray]:
    """The trace with the test cell's air beside it."""
    still = np.ones_like(trace["time"])
    air = scenario.air
    return {
        **trace,
        "barometric_pressure": still * air.barometric_kpa,
        "ambient_temperature": still * air.temperature_degc,
        "relative_humidity": still * air.relative_humidity_percent,
    }


def truth_of(vehicle: Vehicle, trace: Trace, scenario: Scenario) -> Truth:
    """The logged pulls with what the trace knows of them."""
    return Truth(
        stage=scenario.stage,
        pulls=tuple(
            true_pull(number, scenario.stage, logged, trace, scenario.faults)
            for number, logged in enumerate(vehicle.log.pulls, start=1)
        ),
        faults=scenario.faults,
        duration_s=float(trace["time"][-1]),
    )
