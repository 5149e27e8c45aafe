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
# Without a source of their own, these were set by hand to ordinary engines' figures:
RICHEST_FACTOR: Final = 1.03  # torque at BEST_TORQUE_LAMBDA against stoichiometric
MIXTURE_LOSS: Final = 2.1  # of torque, per unit of lambda squared away from it
LARGEST_SPARK_ERROR_DEG: Final = 35.0
BEST_SPARK_DEG: Final = 24.0  # at no speed and 100 kPa ...
BEST_SPARK_DEG_RPM: Final = 1.3e-3  # ... earlier with speed ...
BEST_SPARK_DEG_KPA: Final = 0.05  # ... later with density
SMOKE_LAMBDA: Final = 1.35  # compression ignition burns worse when richer ...
SMOKE_LOSS: Final = 0.35  # ... by this share per unit of lambda
WALL_LOSS: Final = 0.1  # heat lost to the walls at low speed ...
WALL_RPM: Final = 1500.0  # ... fading with this speed
COLD_OIL_DEGC: Final = 85.0
COLD_DRAG_K: Final = 0.012  # friction grows by this share for each kelvin colder
PUMPING_SHARE: Final = 0.7  # of the pressure difference acts over the whole stroke
DIESEL_GAS_DEGC: Final = (130.0, 760.0)  # constant, and over lambda
GAS_DEGC: Final = 390.0  # petrol, best timing, no load ...
GAS_DEGC_RPM: Final = 0.048
GAS_DEGC_FILLING: Final = 105.0  # ... for each full charge at 1.18 g/l, up to LARGEST_FILLING
AIR_G_L: Final = 1.18
LARGEST_FILLING: Final = 2.3
SLOWEST_RPM: Final = 500.0  # a cycle's air is referred to no less
LATE_DEG: Final = 10.0  # so late no heat moves to the exhaust yet; then ...
LATE_DEGC_DEG: Final = 5.0  # ... so much for each degree
RICH_LAMBDA: Final = 0.92  # richer mixture cools ...
RICH_DEGC: Final = 450.0  # ... so much for each unit of lambda
RESIDUAL: Final = 0.06  # share of filling lost per unit of exhaust over manifold pressure


def mixture_factor(lambda_: float) -> float:
    """Torque per air against stoichiometric; never below what burns at all."""
    return max(0.0, RICHEST_FACTOR - MIXTURE_LOSS * (lambda_ - BEST_TORQUE_LAMBDA) ** 2)


def spark_factor(from_best_deg: float) -> float:
    """Torque against best timing; beyond 35 degrees the parabola no longer holds."""
    away = min(abs(from_best_deg), LARGEST_SPARK_ERROR_DEG)
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
        dense_deg = BEST_SPARK_DEG_KPA * (manifold_kpa - 100.0)
        return BEST_SPARK_DEG + BEST_SPARK_DEG_RPM * rpm - dense_deg

    def indicated_nm(self, rpm: float, air_gs: float, lambda_: float, spark: float) -> float:
        """Gross indicated torque; spark: spark_factor, 1 for compression ignition."""
        if rpm < 100.0:
            return 0.0
        cycle_g = air_gs * 120.0 / rpm
        slow = 1.0 - WALL_LOSS * math.exp(-rpm / WALL_RPM)
        efficiency = self.model.indicated_efficiency * slow
        if self.model.smoke_lambda and self.diesel:
            fuel_g = cycle_g / (DIESEL_STOICHIOMETRIC * lambda_)
            rich = 1.0 - max(0.0, SMOKE_LAMBDA - lambda_) * SMOKE_LOSS
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
        cold = 1.0 + COLD_DRAG_K * max(0.0, COLD_OIL_DEGC - oil_degc)
        return cold * (constant + krpm * (linear + krpm * square)) * self._bar_nm

    def pumping_nm(self, manifold_kpa: float, exhaust_kpa: float) -> float:
        """Gas exchange: what the exhaust pushes against less what the manifold gives."""
        return PUMPING_SHARE * (exhaust_kpa - manifold_kpa) / 100.0 * self._bar_nm

    def exhaust_degc(self, rpm: float, air_gs: float, lambda_: float, late_deg: float) -> float:
        """Steady gas temperature before the turbine; late_deg: spark after best timing."""
        if self.diesel:
            constant, over_lambda = DIESEL_GAS_DEGC
            return constant + over_lambda / max(lambda_, 1.0)
        filling = air_gs * 120.0 / max(rpm, SLOWEST_RPM) / (AIR_G_L * self.model.displacement_l)
        base = GAS_DEGC + GAS_DEGC_RPM * rpm + GAS_DEGC_FILLING * min(filling, LARGEST_FILLING)
        late = LATE_DEGC_DEG * max(0.0, late_deg - LATE_DEG)
        return base + late - RICH_DEGC * max(0.0, RICH_LAMBDA - lambda_)
