"""Air into torque: speed density, indicated work, friction and gas exchange."""

import math
from typing import Final

from simulators.car import EngineModel
from simulators.curve import Curve

GAS_CONSTANT: Final = 0.28705  # kJ/(kg K), dry air
PETROL_AIR_KJ_G: Final = 2.98  # heat per gram of air, stoichiometric: 43.5 MJ/kg / 14.6
DIESEL_FUEL_KJ_G: Final = 42.8
PETROL_STOICHIOMETRIC: Final = 14.6
DIESEL_STOICHIOMETRIC: Final = 14.5
BEST_TORQUE_LAMBDA: Final = 0.88  # Heywood 15.3: best torque 10 to 15 % rich
SPARK_LOSS: Final = 0.00045  # torque lost per degree squared from best timing (4.5 % at 10 degrees)
RESIDUAL: Final = 0.06  # share of filling lost per unit of exhaust over manifold pressure


def mixture_factor(lambda_: float) -> float:
    """Torque per air against stoichiometric; never below what burns at all."""
    return max(0.0, 1.03 - 2.1 * (lambda_ - BEST_TORQUE_LAMBDA) ** 2)


def spark_factor(from_best_deg: float) -> float:
    """Torque against best timing; beyond 35 degrees the parabola no longer holds."""
    away = min(abs(from_best_deg), 35.0)
    return 1.0 - SPARK_LOSS * away * away


class Engine:
    """Quasi-steady: a function of speed, manifold and mixture."""

    def __init__(self, model: EngineModel) -> None:
        self.model = model
        self._filling = Curve(model.volumetric_efficiency)
        self._bar_nm = model.displacement_l * 1e2 / (4.0 * math.pi)  # 1 bar mean pressure in Nm

    def air_gs(self, rpm: float, manifold_kpa: float, charge_k: float, exhaust_kpa: float) -> float:
        """Speed density: VE V_d n/120 p/(R T)."""
        over = min(max(exhaust_kpa / max(manifold_kpa, 20.0) - 1.0, 0.0), 4.0)
        filling = self._filling.at(rpm) * (1.0 - RESIDUAL * over)
        volume = self.model.displacement_l * rpm / 120.0
        return filling * volume * manifold_kpa / (GAS_CONSTANT * charge_k)

    def filling(self, rpm: float) -> float:
        """Volumetric efficiency at full load."""
        return self._filling.at(rpm)

    def best_spark_deg(self, rpm: float, manifold_kpa: float) -> float:
        """Timing of best torque: earlier with speed, later with charge density."""
        return 24.0 + 1.3e-3 * rpm - 0.05 * (manifold_kpa - 100.0)

    def indicated_nm(self, rpm: float, air_gs: float, lambda_: float, spark: float) -> float:
        """Gross indicated torque; spark: spark_factor, 1 for compression ignition."""
        if rpm < 100.0:
            return 0.0
        cycle_g = air_gs * 120.0 / rpm
        slow = 1.0 - 0.05 * math.exp(-rpm / 1500.0) * 2.0  # heat lost to the walls at low speed
        efficiency = self.model.indicated_efficiency * slow
        if self.model.smoke_lambda and self.diesel:
            fuel_g = cycle_g / (DIESEL_STOICHIOMETRIC * lambda_)
            rich = 1.0 - max(0.0, 1.35 - lambda_) * 0.35
            return fuel_g * DIESEL_FUEL_KJ_G * 1e3 * efficiency * rich / (4.0 * math.pi)
        work_j = cycle_g * PETROL_AIR_KJ_G * 1e3 * efficiency * mixture_factor(lambda_) * spark
        return work_j / (4.0 * math.pi)

    @property
    def diesel(self) -> bool:
        """Compression ignition."""
        return self.model.ignition.value == "compression"

    def friction_nm(self, rpm: float, oil_degc: float) -> float:
        """Of pistons, bearings and auxiliaries; cold oil drags more."""
        constant, linear, square = self.model.friction_bar
        krpm = rpm / 1000.0
        cold = 1.0 + 0.012 * max(0.0, 85.0 - oil_degc)
        return cold * (constant + krpm * (linear + krpm * square)) * self._bar_nm

    def pumping_nm(self, manifold_kpa: float, exhaust_kpa: float) -> float:
        """Gas exchange: what the exhaust pushes against less what the manifold gives."""
        return 0.7 * (exhaust_kpa - manifold_kpa) / 100.0 * self._bar_nm

    def exhaust_degc(self, rpm: float, air_gs: float, lambda_: float, late_deg: float) -> float:
        """Steady gas temperature before the turbine; late_deg: spark after best timing."""
        if self.diesel:
            return 130.0 + 760.0 / max(lambda_, 1.0)
        cycle = air_gs * 120.0 / max(rpm, 500.0) / (1.18 * self.model.displacement_l)
        base = 390.0 + 0.048 * rpm + 105.0 * min(cycle, 2.3)
        return base + 5.0 * max(0.0, late_deg - 10.0) - 450.0 * max(0.0, 0.92 - lambda_)
