"""Coolant, oil and the pressure that the oil pump makes of it: lumped masses of heat."""

from dataclasses import dataclass, field
from math import exp

from independent_engines.condition import Condition
from independent_engines.design import Engine


@dataclass
class Warmth:
    """heat to coolant is about a quarter of what the fuel holds, to oil a twentieth."""

    engine: Engine
    condition: Condition
    ambient_degc: float
    oil_above_k: float
    coolant_degc: float = field(init=False)
    oil_degc: float = field(init=False)

    def __post_init__(self) -> None:
        self.coolant_degc = self.engine.thermostat_degc + self.condition.start_coolant_k
        self.oil_degc = self.engine.thermostat_degc + self.oil_above_k
        self._heat_kj_k = 15.0 + 30.0 * self.engine.displacement_l

    def step(self, dt: float, fuel_kw: float, wind: float) -> None:
        """One step. wind: of the cell's fan, 0 to 1."""
        into_kw = 2.0 + 0.19 * fuel_kw
        room_k = max(self.coolant_degc - self.ambient_degc, 1.0)
        open_share = min(
            max((self.coolant_degc - self.engine.thermostat_degc + 3.0) / 6.0, 0.0), 1.0
        )
        radiator = (0.2 + 0.55 * wind) * self.engine.displacement_l * self.condition.cooling_share
        out_kw = open_share * radiator * room_k
        self.coolant_degc += dt * (into_kw - out_kw) / self._heat_kj_k
        settled = self.coolant_degc + self.oil_above_k + 0.05 * fuel_kw / self.engine.displacement_l
        self.oil_degc += (settled - self.oil_degc) * (1.0 - exp(-dt / 60.0))

    def oil_pressure_kpa(self, rpm: float) -> float:
        """What a pump with a relief valve gives into bearings that pass more as oil thins."""
        engine = self.engine
        share = (rpm - engine.idle_rpm) / (0.6 * engine.rated_rpm - engine.idle_rpm)
        thin = 1.0 - 0.004 * (self.oil_degc - 100.0)
        rising = engine.oil_idle_kpa + share * (engine.oil_rated_kpa - engine.oil_idle_kpa)
        return max(min(rising, engine.oil_rated_kpa) * thin * self.condition.oil_share, 5.0)
