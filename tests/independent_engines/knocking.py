"""Knock as random events per cylinder, and the control that takes timing away after each."""

from dataclasses import dataclass, field
from math import exp

import numpy as np

from independent_engines.condition import Condition
from independent_engines.design import Engine

AT_THE_LIMIT = 0.02  # share of a cylinder's cycles that knock with the timing at its limit
SCALE_DEG = 1.0  # so many degrees earlier, and e times as many knock
MOST_RETARD_DEG = 12.0
EVENTS_A_STEP = 0.5  # a controller answers a knocking cycle, and then waits


@dataclass
class KnockControl:
    """Retard of each cylinder, in degrees, positive."""

    engine: Engine
    condition: Condition
    random: np.random.Generator
    retard: list[float] = field(init=False)
    events: int = 0
    _limit_of: list[float] = field(init=False)
    _draws: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        count = self.engine.cylinders
        self.retard = [0.0] * count
        self._limit_of = [float(x) for x in self.random.normal(0.0, 0.25, count)]
        if self.condition.knocking_cylinder:
            self._limit_of[self.condition.knocking_cylinder - 1] -= self.condition.knocking_deg

    def step(self, dt: float, rpm: float, over_limit_deg: float, manifold_kpa: float) -> float:
        """The mean retard. over_limit_deg: the ordered timing over the engine's knock limit."""
        calibration = self.engine.calibration
        recovery = calibration.knock_recovery_deg_s * dt
        retard = self.retard
        if manifold_kpa < 70.0 or over_limit_deg < -12.0:
            for i, held in enumerate(retard):
                if held > 0.0:
                    retard[i] = max(held - recovery, 0.0)
            return sum(retard) / len(retard)
        cycles = rpm / 120.0 * dt
        for i, held in enumerate(retard):
            away = over_limit_deg - self._limit_of[i] - held
            chance = min(AT_THE_LIMIT * exp(min(away / SCALE_DEG, 6.0)) * cycles, EVENTS_A_STEP)
            draw = self._draw()
            if draw < chance:
                self.events += 1
                # how hard a cycle knocks is as random as whether it does
                step = calibration.knock_step_deg * (0.5 + self._draw())
                retard[i] = min(held + step, MOST_RETARD_DEG)
            elif held > 0.0:
                retard[i] = max(held - recovery, 0.0)
        return sum(retard) / len(retard)

    def _draw(self) -> float:
        if not self._draws:
            self._draws = self.random.random(4_096).tolist()
        return self._draws.pop()
