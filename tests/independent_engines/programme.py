"""What the driver and the dyno do in a session: idle, part load, and pulls one after the other."""

from dataclasses import dataclass
from enum import Enum

import numpy as np

from independent_engines.design import Engine


class Does(Enum):
    """One stretch of a session."""

    IDLE = "idle"
    CRUISE = "cruise"
    HOLD = "hold"
    SWEEP = "sweep"
    LIFT = "lift"


@dataclass(frozen=True, slots=True)
class Run:
    """One pull as it is driven. braked: the dyno holds the rise; else the roller's inertia does."""

    start_rpm: float
    end_rpm: float
    braked: bool
    sweep_s: float
    hold_s: float
    tip_in_s: float


@dataclass(frozen=True, slots=True)
class Programme:
    """idle_s, then for each run: cruise, tip-in with hold, sweep, lift."""

    idle_s: float
    cruise_s: float
    cruise_pedal: float
    lift_s: float
    runs: tuple[Run, ...]


def draw_programme(random: np.random.Generator, engine: Engine, pulls: int) -> Programme:
    """As operators drive: sweeps of 5 to 14 s on a brake, of 3 to 8 s against inertia."""
    braked = random.random() < 0.6
    low = random.uniform(0.24, 0.36) * engine.rated_rpm
    high = engine.rated_rpm * random.uniform(0.93, 1.0)
    if random.random() < 0.15:  # somebody runs into the limiter
        high = engine.limiter_rpm + 500.0
    quick = random.uniform(2.8, 4.0) if random.random() < 0.35 else random.uniform(4.5, 9.0)
    sweep_s = random.uniform(5.0, 13.0) if braked else quick
    runs = tuple(
        Run(
            low * random.uniform(0.98, 1.02),
            high,
            braked,
            sweep_s,
            random.uniform(0.5, 2.5) if braked else 0.0,
            random.uniform(0.1, 0.35),
        )
        for _ in range(pulls)
    )
    return Programme(
        random.uniform(3.0, 5.0),
        random.uniform(4.0, 7.0),
        random.uniform(0.12, 0.22),
        random.uniform(4.0, 6.0),
        runs,
    )
