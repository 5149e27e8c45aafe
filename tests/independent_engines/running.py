"""One engine under one controller, step by step: air, fuel, spark, torque, heat."""

from dataclasses import dataclass, field
from math import exp, pi

import numpy as np

from independent_engines.breathing import Breathing
from independent_engines.combustion import (
    best_timing_deg,
    exhaust_k,
    filling,
    friction_kpa,
    heat_kw,
    indicated_efficiency,
    knock_limit_deg,
)
from independent_engines.condition import Condition
from independent_engines.design import Air, Engine
from independent_engines.fuelling import Fuelling
from independent_engines.gas import swallowing
from independent_engines.knocking import KnockControl
from independent_engines.turbocharging import interpolate
from independent_engines.warmth import Warmth

HEAT_PER_AIR = 2.95  # MJ in the fuel for each kg of air that burns it, of all the fuels here
CALIBRATORS_CHARGE_K = 318.0
RICH_FROM = 0.62  # share of the pedal from which full load is enriched
STEP_S = 0.02
THROTTLE_LAG = 1.0 - exp(-STEP_S / 0.06)
ENRICHING_LAG = 1.0 - exp(-STEP_S / 0.12)
MANIFOLD_WALL_LAG = 1.0 - exp(-STEP_S / 0.2)


@dataclass
class RunningEngine:
    """Everything of one engine that changes from step to step."""

    engine: Engine
    air: Air
    condition: Condition
    random: np.random.Generator
    wind: float
    warmth: Warmth = field(init=False)
    fuel_flow: float = 2e-4
    exhaust_gas_k: float = 700.0
    mixture: float = 1.0
    mixture_target: float = 1.0
    timing_deg: float = 10.0
    timing_target_deg: float = 10.0
    torque_nm: float = 0.0
    believed_nm: float = 0.0
    trim: float = 0.0
    misfires: int = 0
    position: float = 0.05
    cut: bool = False

    def __post_init__(self) -> None:
        engine, random = self.engine, self.random
        self.breathing = Breathing(engine, self.air, self.condition)
        self.knock = KnockControl(engine, self.condition, random)
        oil_above_k = float(random.uniform(-4.0, 10.0))
        self.warmth = Warmth(engine, self.condition, self.air.temperature_degc, oil_above_k)
        self.fuelling = Fuelling(engine, self.condition, self._rated_fuel())
        limit = self.condition.limiter_rpm
        self.limiter_rpm = engine.limiter_rpm if limit is None else limit
        boost_kpa = self._full_pressure_kpa(0.7 * engine.rated_rpm) - 100.0
        self._usual_charge_k = 305.0 + 0.2 * max(boost_kpa, 0.0)
        self._swept = engine.displacement_l / (4.0 * pi)
        self._ratio = engine.fuel.stoichiometric_ratio
        self._true_ratio = self.condition.ethanol_ratio or self._ratio

    def become(self, condition: Condition) -> None:
        """The car changes between two pulls."""
        self.condition = condition
        for part in (self.breathing, self.knock, self.warmth, self.fuelling):
            part.condition = condition
        if self.breathing.control is not None:
            self.breathing.control.condition = condition
        self.breathing.resize_leak()

    def _full_pressure_kpa(self, rpm: float) -> float:
        boost = self.engine.boost
        if boost is None:
            return 150.0 if self.engine.blower is not None else 98.0
        return 100.0 + interpolate(rpm, boost.target_rpm, boost.target_kpa)

    def _full_load_mixture(self, rpm: float) -> float:
        low, high = self.engine.calibration.full_load_lambda
        share = min(max((rpm / self.engine.rated_rpm - 0.3) / 0.7, 0.0), 1.0)
        return low + share * (high - low)

    def _full_load_fuel(self, rpm: float) -> float:
        engine = self.engine
        swallow = swallowing(filling(engine, rpm), engine.displacement_l, rpm, 322.0)
        ratio = engine.fuel.stoichiometric_ratio * self._full_load_mixture(rpm)
        return swallow * self._full_pressure_kpa(rpm) / ratio

    def _rated_fuel(self) -> float:
        speeds = np.linspace(0.5, 1.02, 14) * self.engine.rated_rpm
        return max(self._full_load_fuel(float(rpm)) for rpm in speeds)

    def nominal_nm(self, rpm: float) -> float:
        """Full-load torque by the controller's table: what the engine was built to give."""
        engine = self.engine
        kpa = self._full_pressure_kpa(rpm) - 100.0 + self.air.pressure_kpa
        charge_k = min(self.breathing.charge_k, self._usual_charge_k + 25.0)
        swallow = swallowing(filling(engine, rpm), engine.displacement_l, rpm, charge_k)
        mixture = self._full_load_mixture(rpm)
        limit = knock_limit_deg(engine, rpm, kpa, charge_k, engine.fuel.octane)
        best = best_timing_deg(engine, rpm, kpa)
        late = max(best - limit + engine.calibration.knock_margin_deg, 0.0)
        air = 0.98 * swallow * kpa
        heat = heat_kw(engine, air, mixture, HEAT_PER_AIR * self._ratio, self._ratio)
        work_kw = indicated_efficiency(engine, late, mixture) * heat
        back_kpa = 1.15 * kpa if engine.turbo is not None else 1.15 * self.air.pressure_kpa
        lost = (friction_kpa(engine, rpm, kpa) + back_kpa - kpa) * self._swept
        return work_kw * 1e3 / (rpm * pi / 30.0) - lost

    def step(self, rpm: float, pedal: float, shifting: bool = False) -> None:
        """One step of STEP_S at this speed."""
        breathing = self.breathing
        self._limit_speed(rpm)
        self._set_throttle(rpm, pedal)
        exhaust = breathing.engine_flow + self.fuel_flow
        breathing.step(STEP_S, rpm, self.position, pedal, exhaust, self.exhaust_gas_k, self.wind)
        self._fuel(rpm, pedal)
        self._spark(rpm, shifting)
        self._torque(rpm)
        self.warmth.step(STEP_S, self.fuel_flow * HEAT_PER_AIR * self._ratio * 1e3, self.wind)

    def _limit_speed(self, rpm: float) -> None:
        below = self.limiter_rpm - (120.0 if self.cut else 0.0)
        self.cut = rpm > below

    def _set_throttle(self, rpm: float, pedal: float) -> None:
        condition = self.condition
        if self.engine.compression_ignition:
            wanted = 1.0 if pedal > 0.5 else 0.35 + 0.9 * pedal
        else:
            wanted = pedal**1.5 + 0.02
        if pedal > 0.9 and condition.closure_rpm and rpm > condition.closure_rpm:
            wanted = min(wanted, condition.closure_to)
        self.position += (min(wanted, 1.0) - self.position) * THROTTLE_LAG

    def _fuel(self, rpm: float, pedal: float) -> None:
        breathing, engine = self.breathing, self.engine
        gauge = breathing.manifold_kpa - self.air.pressure_kpa
        if engine.compression_ignition:
            wanted = self._diesel_fuel(rpm, pedal)
        else:
            full = self._full_load_mixture(rpm)
            rich = min(max((pedal - RICH_FROM) / 0.15, 0.0), 1.0)
            goal = 1.0 + rich * (full - 1.0)
            self.mixture_target += (goal - self.mixture_target) * ENRICHING_LAG
            known = breathing.engine_flow
            if engine.calibration.by_air_meter:
                known += breathing.leak_flow
            wanted = known / (self._ratio * self.mixture_target) * (1.0 + self.trim)
            if pedal < RICH_FROM and not self.cut and pedal > 0.02:
                self.trim += 1.2 * STEP_S * (self.mixture / self.mixture_target - 1.0)
                self.trim = min(max(self.trim, -0.25), 0.25)
            elif pedal > RICH_FROM:  # open loop at full load
                self.trim *= 0.8
        overrun = pedal < 0.02 and rpm > 1.6 * engine.idle_rpm
        if self.cut or overrun:
            wanted = 0.0
        self.fuel_flow = self.fuelling.step(STEP_S, wanted, rpm, gauge)
        self.mixture = breathing.engine_flow / max(self.fuel_flow * self._true_ratio, 1e-7)

    def _diesel_fuel(self, rpm: float, pedal: float) -> float:
        engine = self.engine
        asked = pedal * self._full_load_fuel(rpm) * self.condition.diesel_fuel_share
        idle = 0.045 * engine.displacement_l * rpm / 1e3 * 1e-3
        smoke = engine.calibration.smoke_lambda
        if self.condition.diesel_fuel_share > 1.0:
            smoke /= self.condition.diesel_fuel_share
        known = self.breathing.engine_flow
        return min(max(asked, idle), known / (self._ratio * smoke))

    def _spark(self, rpm: float, shifting: bool) -> None:
        if self.engine.compression_ignition:
            return
        engine, condition, calibration = self.engine, self.condition, self.engine.calibration
        breathing = self.breathing
        kpa, charge = breathing.manifold_kpa, breathing.charge_k
        best = best_timing_deg(engine, rpm, kpa)
        octane = engine.fuel.octane
        mapped = knock_limit_deg(engine, rpm, kpa, CALIBRATORS_CHARGE_K, octane)
        mapped -= calibration.knock_margin_deg
        mapped -= calibration.warm_air_deg_per_k * (charge - CALIBRATORS_CHARGE_K)
        self.timing_target_deg = min(best, mapped)
        ordered = self.timing_target_deg
        if condition.timing_taken_deg and rpm > condition.timing_taken_rpm:
            ordered -= condition.timing_taken_deg
        if shifting:
            ordered -= 12.0
        limit = knock_limit_deg(engine, rpm, kpa, charge, octane - condition.octane_lost)
        if calibration.knock_control:
            ordered -= self.knock.step(STEP_S, rpm, ordered - limit, kpa)
        self.timing_deg = ordered
        self._late_deg = best - ordered

    _late_deg: float = 0.0

    def _torque(self, rpm: float) -> None:
        engine, breathing = self.engine, self.breathing
        kpa, flow = breathing.manifold_kpa, breathing.engine_flow
        efficiency = indicated_efficiency(engine, self._late_deg, self.mixture)
        fired = self._fired(rpm)
        heating = HEAT_PER_AIR * self._true_ratio
        mixture = max(self.mixture, 0.5)
        burns = mixture < (6.0 if engine.compression_ignition else 1.6)
        heat = heat_kw(engine, flow, mixture, heating, self._true_ratio) if burns else 0.0
        lost_kpa = friction_kpa(engine, rpm, kpa) + breathing.port_back_kpa - kpa
        lost_nm = lost_kpa * self._swept
        omega = rpm * pi / 30.0
        lost_nm += breathing.blower_kw * 1e3 / omega
        self.torque_nm = fired * efficiency * heat * 1e3 / omega - lost_nm
        self.believed_nm = self._believed(rpm, efficiency, lost_nm, omega)
        hot = exhaust_k(engine, rpm, kpa, breathing.charge_k, mixture, self._late_deg)
        hot += self.condition.exhaust_hotter_k * min(max(kpa / 100.0 - 1.0, 0.0), 1.0)
        if not burns or self.fuel_flow <= 0.0:
            hot = 550.0
        self.exhaust_gas_k += (hot - self.exhaust_gas_k) * MANIFOLD_WALL_LAG

    def _believed(self, rpm: float, efficiency: float, lost_nm: float, omega: float) -> float:
        """The controller's own torque, from what it orders: it knows of no misfire."""
        if self.fuel_flow <= 0.0:
            return -lost_nm
        engine = self.engine
        if engine.compression_ignition:
            heat = self.fuel_flow * HEAT_PER_AIR * self._ratio * 1e3
        else:
            heat = heat_kw(
                engine,
                self.breathing.engine_flow,
                self.mixture_target,
                HEAT_PER_AIR * self._ratio,
                self._ratio,
            )
        return efficiency * heat * 1e3 / omega - lost_nm

    def _fired(self, rpm: float) -> float:
        """Share of the cycles that burn."""
        condition = self.condition
        if not condition.misfire_share or rpm < condition.misfire_rpm or self.position < 0.5:
            return 1.0
        cycles = rpm / 120.0 * STEP_S
        missed = self.random.random() < condition.misfire_share * min(cycles, 1.0)
        if missed:
            self.misfires += max(round(cycles), 1)
        share = condition.misfire_share / self.engine.cylinders
        # oxygen of the cycle that did not burn reaches the probe
        self.mixture *= 1.0 + 0.8 * share
        return 1.0 - share * (0.6 + 0.8 * float(self.random.random()))
