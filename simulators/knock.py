"""Knock: the limit of each cylinder, its events, and the ECU's staircase against it.

The limit's slopes are those of SAE 960497 (one octane number per degree of spark, per 7 K of intake
air, per 10 K of coolant; 3 to 4 per 10 kPa of intake pressure; 2 per unit of air-fuel ratio; 1 per
30 kPa of exhaust back-pressure).
"""

import math
import random
from dataclasses import dataclass
from typing import Final

from simulators.car import Calibration, EngineModel
from simulators.curve import Curve

REFERENCE_CHARGE_DEGC: Final = 40.0
KELVIN_PER_DEG: Final = 7.0
COOLANT_PER_DEG: Final = 10.0
BACK_PRESSURE_PER_DEG: Final = 30.0
OCTANE_PER_AIR_FUEL: Final = 2.0
REFERENCE_LAMBDA: Final = 0.88
SHARPNESS: Final = 5.0  # per degree: an event is certain a degree beyond, rare 2 before
LARGEST_RETARD_DEG: Final = 12.0
QUIET_KPA: Final = 70.0  # below this manifold pressure nothing knocks
QUIET_RPM: Final = 1100.0
SPREAD_DEG: Final = 0.3  # cylinders of one engine differ
HOT_COOLANT_DEGC: Final = 95.0  # what is hotter costs knock limit
STOICHIOMETRIC_AIR_FUEL: Final = 14.6  # air over fuel by mass, petrol
MIXTURE_SHARE: Final = 0.5  # half of the published slope, set by hand
SAFE_MARGIN_DEG: Final = 3.5  # so far before the limit no cycle knocks
NOISE_V: Final = 0.25  # of the knock sensor, standing ...
NOISE_V_RPM: Final = 4e-5  # ... and for each rpm
NOISE_PER_S: Final = 20.0  # how quickly the level falls back to the noise
LIGHT_LOAD_RECOVERY_S: Final = 0.06  # the table is left, and quickly


@dataclass(frozen=True, slots=True)
class KnockConditions:
    """What an average cylinder's knock limit depends on. extra_back_kpa: exhaust back-pressure
    beyond that of the healthy car. octane: of the fuel, as it is."""

    engine_rpm: float
    manifold_kpa: float
    charge_degc: float
    lambda_: float
    coolant_degc: float
    extra_back_kpa: float
    octane: float


class Knock:
    """State per cylinder: retard, and the time since its last event."""

    def __init__(
        self,
        engine: EngineModel,
        calibration: Calibration,
        design_kpa: Curve,
        chance: random.Random,
    ) -> None:
        self.engine = engine
        self.calibration = calibration
        self.retard_deg = [0.0] * engine.cylinders
        self.level_v = 0.3
        self._quiet_s = [0.0] * engine.cylinders
        self._base = Curve(engine.knock_base)
        self._design_kpa = design_kpa  # manifold pressure the engine's limit was found at
        self._chance = chance
        self._spread = [chance.uniform(-SPREAD_DEG, SPREAD_DEG) for _ in range(engine.cylinders)]

    def limit_deg(self, now: KnockConditions) -> float:
        """Spark beyond which an average cylinder knocks."""
        engine, rpm = self.engine, now.engine_rpm
        denser_kpa = now.manifold_kpa - self._design_kpa.at(rpm)
        lean = (now.lambda_ - REFERENCE_LAMBDA) * STOICHIOMETRIC_AIR_FUEL
        return (
            self._base.at(rpm)
            + engine.knock_margin_deg
            + (now.octane - engine.knock_octane)
            - engine.knock_deg_per_10_kpa / 10.0 * denser_kpa
            - (now.charge_degc - REFERENCE_CHARGE_DEGC) / KELVIN_PER_DEG
            - max(0.0, now.coolant_degc - HOT_COOLANT_DEGC) / COOLANT_PER_DEG
            - max(0.0, now.extra_back_kpa) / BACK_PRESSURE_PER_DEG
            - lean * OCTANE_PER_AIR_FUEL * MIXTURE_SHARE
        )

    def step(
        self,
        step_s: float,
        *,
        engine_rpm: float,
        manifold_kpa: float,
        spark_deg: float,
        limit_deg: float,
        weak_cylinder: int,
        weak_deg: float,
    ) -> None:
        """Fire each cylinder's cycles of this step; cylinder weak_cylinder (from 1, 0: none)
        knocks weak_deg earlier."""
        loaded = manifold_kpa > QUIET_KPA and engine_rpm > QUIET_RPM
        cycles = engine_rpm * step_s / 120.0
        worst = 0.0
        for index, retard in enumerate(self.retard_deg):
            self._quiet_s[index] += step_s
            if loaded:
                limit = limit_deg + self._spread[index]
                if index + 1 == weak_cylinder:
                    limit -= weak_deg
                margin = limit - spark_deg + retard
                if margin < SAFE_MARGIN_DEG and self._knocks(margin, cycles):
                    self.retard_deg[index] = self._retarded(retard)
                    self._quiet_s[index] = 0.0
                    worst = max(worst, 1.0 - margin * 0.3)
                    continue
            self._recover(index, loaded)
        noise_v = NOISE_V + engine_rpm * NOISE_V_RPM
        share = 1.0 if worst else min(1.0, step_s * NOISE_PER_S)
        self.level_v += ((noise_v + worst) - self.level_v) * share

    def _knocks(self, margin: float, cycles: float) -> bool:
        """Whether one of so many cycles knocks."""
        each = 1.0 / (1.0 + math.exp(min(SHARPNESS * margin, 60.0)))
        return self._chance.random() < each * cycles

    def _retarded(self, retard: float) -> float:
        return min(retard + self.calibration.knock_step_deg, LARGEST_RETARD_DEG)

    def _recover(self, index: int, loaded: bool) -> None:
        """Back towards zero in small steps; at light load the table is left, and quickly."""
        wait = self.calibration.knock_recovery_s if loaded else LIGHT_LOAD_RECOVERY_S
        if self.retard_deg[index] > 0.0 and self._quiet_s[index] >= wait:
            self.retard_deg[index] = max(
                0.0, self.retard_deg[index] - self.calibration.knock_recovery_deg
            )
            self._quiet_s[index] = 0.0
