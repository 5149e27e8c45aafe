"""Fuel: two pumps of finite size, a rail, injectors, and the mixture that comes of them."""

import random
from typing import Final

from simulators.car import FuelModel
from simulators.faults import Effects
from simulators.full_load import FullLoadCurves

# Where no source stands, the figure was set by hand on the cars of cars.py.
PUMP_SLOPE: Final = 0.35  # a pump gives 35 % more against no pressure than against its target
STARVED_SHARE: Final = 0.6  # below this share of its feed pressure the high-pressure pump starves
WINDOW_DUTY: Final = 100.0
LAMBDA_LAG_S: Final = 0.08  # gas travel and mixing up to the sensor
TRIM_LAG_S: Final = 1.5
TRIM_LIMIT_PERCENT: Final = 12.0
TRIM_SPREAD_PERCENT: Final = 3.0  # standard deviation of what the short trim corrects
CLOSED_LOOP_LOAD: Final = 0.7  # share of full load above which the short trim stands still
LOW_RAIL_LAG_S: Final = 0.12
HIGH_RAIL_LAG_S: Final = 0.03
HIGH_TARGET_LAG_S: Final = 0.15
LEAST_RAIL_SHARE: Final = 0.15  # pressure over target of a pump that cannot follow at all
LEAST_INJECTION_SHARE: Final = 0.05  # pressure over target below which injection ends
LEAST_DELIVERED: Final = 0.2  # of what was asked for: no mixture is leaner
WANDER: Final = 0.03  # standard deviation of the mixture's slow wandering ...
WANDER_PER_S: Final = 2.0  # ... how quickly it changes ...
WANDER_SHARE: Final = 0.3  # ... and how much of it reaches lambda
SLOWEST_RPM: Final = 300.0  # fuel for each revolution is referred to no less


def rail_share(need: float, capacity: float) -> float:
    """Pressure over target once the need exceeds what the pump gives at its target."""
    if need <= capacity:
        return 1.0
    return max(LEAST_RAIL_SHARE, 1.0 - (need / capacity - 1.0) / PUMP_SLOPE)


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
        self,
        step_s: float,
        *,
        engine_rpm: float,
        need_gs: float,
        lambda_target: float,
        load_share: float,
    ) -> None:
        """Deliver what is asked for, or what can be; load_share sets the rail's target."""
        low_share = rail_share(need_gs, self._low_capacity)
        missing_kpa = self.low_target_kpa * low_share - self.low_kpa
        self.low_kpa += missing_kpa * min(1.0, step_s / LOW_RAIL_LAG_S)
        delivered = (
            self._high(step_s, engine_rpm, need_gs, load_share)
            if self.model.direct
            else self._port(need_gs, engine_rpm)
        )
        self.flow_gs = need_gs * delivered
        drift = self._chance.gauss(0.0, WANDER) - self._wander
        self._wander += drift * min(1.0, step_s * WANDER_PER_S)
        wanted = lambda_target / max(delivered, LEAST_DELIVERED)
        wanted *= 1.0 + self._wander * WANDER_SHARE
        self.lambda_ += (wanted - self.lambda_) * min(1.0, step_s / LAMBDA_LAG_S)
        self._trim(step_s, load_share)

    def _high(self, step_s: float, rpm: float, need_gs: float, load: float) -> float:
        """The share delivered from a high-pressure rail."""
        model = self.model
        span = model.high_pressure_kpa - model.high_pressure_idle_kpa
        missing_kpa = model.high_pressure_idle_kpa + span * load - self.high_target_kpa
        self.high_target_kpa += missing_kpa * min(1.0, step_s / HIGH_TARGET_LAG_S)
        feed = min(1.0, self.low_kpa / (STARVED_SHARE * self.low_target_kpa))
        per_rev = need_gs * 60.0 / max(rpm, SLOWEST_RPM)
        share = rail_share(per_rev, self._high_capacity * feed)
        missing_kpa = self.high_target_kpa * share - self.high_kpa
        self.high_kpa += missing_kpa * min(1.0, step_s / HIGH_RAIL_LAG_S)
        return self._inject(per_rev, self.high_kpa / model.high_pressure_kpa)

    def _port(self, need_gs: float, rpm: float) -> float:
        """The share delivered from the low-pressure rail alone."""
        per_rev = need_gs * 60.0 / max(rpm, SLOWEST_RPM)
        self.high_kpa = self.high_target_kpa = 0.0
        return self._inject(per_rev, self.low_kpa / self.low_target_kpa)

    def _inject(self, per_rev_g: float, pressure_share: float) -> float:
        """Duty for so much a revolution; beyond the window the rest is missing."""
        full = self.model.full_load_duty_percent * self._effects.injector_need
        flow_share = max(pressure_share, LEAST_INJECTION_SHARE) ** 0.5  # Bernoulli
        wanted = full * per_rev_g / self._full_load.fuel_per_rev_g / flow_share
        self.duty_percent = min(wanted, WINDOW_DUTY)
        return self.duty_percent / wanted if wanted > 0.0 else 1.0

    def _trim(self, step_s: float, load: float) -> None:
        """Short trim wanders around zero in closed loop and stands still at full load."""
        if load < CLOSED_LOOP_LOAD:
            pull = self._chance.gauss(0.0, TRIM_SPREAD_PERCENT) - self.trim_short
            self.trim_short += pull * min(1.0, step_s / TRIM_LAG_S)
            self.trim_short = min(max(self.trim_short, -TRIM_LIMIT_PERCENT), TRIM_LIMIT_PERCENT)
