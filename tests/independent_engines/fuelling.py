"""Fuel: what the controller orders, what pumps and injectors give, what reaches the cylinder."""

from dataclasses import dataclass
from math import exp, sqrt

from independent_engines.condition import Condition
from independent_engines.design import Engine


@dataclass
class Fuelling:
    """rated_fuel: kg/s that full load asks for at most; pumps and injectors are sized by it."""

    engine: Engine
    condition: Condition
    rated_fuel: float
    low_kpa: float = 0.0
    rail_kpa: float = 0.0
    rail_target_kpa: float = 0.0
    injector_duty: float = 0.0
    film: float = 0.0  # fuel on the port's walls, as flow

    def __post_init__(self) -> None:
        self.low_kpa = self.low_target_kpa = self.engine.calibration.fuel_pressure_low_kpa
        self.rail_kpa = self.rail_target_kpa = self.engine.calibration.rail_idle_kpa

    def step(self, dt: float, wanted: float, rpm: float, manifold_gauge_kpa: float) -> float:
        """Fuel that goes into the cylinders, kg/s."""
        calibration, condition = self.engine.calibration, self.condition
        share = wanted / self.rated_fuel
        capacity = calibration.pump_reserve * condition.low_pump_share
        # the regulator spills what is not asked for, until nothing is left to spill
        short = max(share - capacity * 0.97, 0.0)
        settled = self.low_target_kpa * max(1.0 - 1.6 * short / max(share, 0.05), 0.15)
        self.low_kpa += (settled - self.low_kpa) * (1.0 - exp(-dt / 0.15))
        if self.engine.port_injection:
            drop = max(self.low_kpa - min(manifold_gauge_kpa, 0.0) * 0.0, 20.0)
            force = sqrt(drop / self.low_target_kpa)
        else:
            self._rail_step(dt, share, rpm)
            force = sqrt(max(self.rail_kpa, 500.0) / max(self.rail_target_kpa, 500.0))
        pressure_known = not self.engine.port_injection
        return self._inject(dt, wanted, share, force, pressure_known)

    def _rail_step(self, dt: float, share: float, rpm: float) -> None:
        calibration, condition = self.engine.calibration, self.condition
        span = calibration.rail_full_kpa - calibration.rail_idle_kpa
        self.rail_target_kpa = calibration.rail_idle_kpa + span * min(share * 1.25, 1.0)
        fed = min(max((self.low_kpa / self.low_target_kpa - 0.35) / 0.3, 0.1), 1.0)
        speed = min(0.55 + 0.45 * rpm / self.engine.rated_rpm, 1.0)
        capacity = calibration.pump_reserve * condition.high_pump_share * speed * fed
        leaves = 0.25 * self.rail_kpa / calibration.rail_full_kpa * (capacity / 1.2)
        room = max(1.25 * capacity - leaves, 0.01)  # a plunger's leakage grows with pressure
        reachable = self.rail_target_kpa * min((room / max(share, 0.02)) ** 1.5, 1.0)
        reachable = max(reachable, 2_000.0)
        lag = 1.0 - exp(-dt / calibration.rail_lag_s)
        self.rail_kpa += (reachable - self.rail_kpa) * lag

    def _inject(
        self, dt: float, wanted: float, share: float, force: float, pressure_known: bool
    ) -> float:
        calibration = self.engine.calibration
        full = calibration.injector_duty_full
        # where the rail is measured the controller opens for longer as its pressure falls
        duty = full * share / (force if pressure_known else 1.0) / self.condition.injector_share
        self.injector_duty = min(duty, 100.0)
        limit = 100.0 if self.engine.port_injection else 1.12 * full
        given = wanted * min(limit / max(duty, 1e-6), 1.0)
        if not pressure_known:
            given *= force
        given *= self.condition.fuel_share
        if not self.engine.port_injection:
            return given
        # a wall film, most of it foreseen by the controller (Aquino)
        lag = 1.0 - exp(-dt / 0.25)
        late = 0.06 * (given - self.film)
        self.film += (given - self.film) * lag
        return max(given - late, 0.0)
