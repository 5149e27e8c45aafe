"""Fuel: two pumps of finite size, a rail, injectors, and the mixture that comes of them."""

import random
from typing import Final

from simulators.car import FuelModel
from simulators.faults import Effects
from simulators.full_load import FullLoadCurves

PUMP_SLOPE: Final = 0.35  # a pump gives 35 % more against no pressure than against its target
STARVED_SHARE: Final = 0.6  # below this share of its feed pressure the high-pressure pump starves
WINDOW_DUTY: Final = 100.0
LAMBDA_LAG_S: Final = 0.08  # gas travel and mixing up to the sensor
TRIM_LAG_S: Final = 1.5
TRIM_LIMIT_PERCENT: Final = 12.0


def rail_share(need: float, capacity: float) -> float:
    """Pressure over target once the need exceeds what the pump gives at its target."""
    if need <= capacity:
        return 1.0
    return max(0.15, 1.0 - (need / capacity - 1.0) / PUMP_SLOPE)


class Fuel:
    """State: rail pressures, mixture, trims."""

    def __init__(
        self, model: FuelModel, full_load: FullLoadCurves, effects: Effects, chance: random.Random
    ) -> None:
        self.model = model
        self.low_kpa = self.low_target_kpa = model.low_pressure_kpa
        self.high_kpa = self.high_target_kpa = model.high_pressure_idle_kpa
        self.duty_percent = 2.0
        self.lambda_ = 1.0
        self.unburnt = 0.0  # what misfires add to the measured mixture
        self.trim_short = 0.0
        self.trim_long = chance.gauss(0.0, 1.0)
        self.flow_gs = 0.0
        self._full_load = full_load
        self._chance = chance
        self._wander = 0.0
        self._low_capacity = full_load.rated_fuel_gs * effects.low_pump_capacity
        self._high_capacity = full_load.fuel_per_rev_g * effects.high_pump_capacity
        self._effects = effects

    def step(
        self, step_s: float, rpm: float, need_gs: float, lambda_target: float, load: float
    ) -> None:
        """Deliver what is asked for, or what can be; load: 0 to 1, sets the rail's target."""
        low_share = rail_share(need_gs, self._low_capacity)
        self.low_kpa += (self.low_target_kpa * low_share - self.low_kpa) * min(1.0, step_s / 0.12)
        delivered = (
            self._high(step_s, rpm, need_gs, load)
            if self.model.direct
            else self._port(need_gs, rpm)
        )
        self.flow_gs = need_gs * delivered
        self._wander += (self._chance.gauss(0.0, 0.03) - self._wander) * min(1.0, step_s * 2.0)
        wanted = lambda_target / max(delivered, 0.2) * (1.0 + self._wander * 0.3)
        self.lambda_ += (wanted - self.lambda_) * min(1.0, step_s / LAMBDA_LAG_S)
        self._trim(step_s, load)

    def _high(self, step_s: float, rpm: float, need_gs: float, load: float) -> float:
        """The share delivered from a high-pressure rail."""
        model = self.model
        span = model.high_pressure_kpa - model.high_pressure_idle_kpa
        self.high_target_kpa += (
            model.high_pressure_idle_kpa + span * load - self.high_target_kpa
        ) * min(1.0, step_s / 0.15)
        feed = min(1.0, self.low_kpa / (STARVED_SHARE * self.low_target_kpa))
        per_rev = need_gs * 60.0 / max(rpm, 300.0)
        share = rail_share(per_rev, self._high_capacity * feed)
        self.high_kpa += (self.high_target_kpa * share - self.high_kpa) * min(1.0, step_s / 0.03)
        return self._inject(per_rev, self.high_kpa / model.high_pressure_kpa)

    def _port(self, need_gs: float, rpm: float) -> float:
        """The share delivered from the low-pressure rail alone."""
        per_rev = need_gs * 60.0 / max(rpm, 300.0)
        self.high_kpa = self.high_target_kpa = 0.0
        return self._inject(per_rev, self.low_kpa / self.low_target_kpa)

    def _inject(self, per_rev_g: float, pressure_share: float) -> float:
        """Duty for so much a revolution; beyond the window the rest is missing."""
        full = self.model.full_load_duty_percent * self._effects.injector_need
        wanted = (
            full * per_rev_g / self._full_load.fuel_per_rev_g / max(pressure_share, 0.05) ** 0.5
        )
        self.duty_percent = min(wanted, WINDOW_DUTY)
        return self.duty_percent / wanted if wanted > 0.0 else 1.0

    def _trim(self, step_s: float, load: float) -> None:
        """Short trim wanders around zero in closed loop and stands still at full load."""
        if load < 0.7:
            pull = self._chance.gauss(0.0, 3.0) - self.trim_short
            self.trim_short += pull * min(1.0, step_s / TRIM_LAG_S)
            self.trim_short = min(max(self.trim_short, -TRIM_LIMIT_PERCENT), TRIM_LIMIT_PERCENT)
