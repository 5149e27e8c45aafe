"""The whole car on its load, one step at a time: the models wired together, and their trace."""

import random
from collections.abc import Iterable, Iterator
from typing import Final

from analysis.model.pull import EndReason
from analysis.physics.thermodynamics import KELVIN
from decode.samples import FloatArray
from simulators.air_path import AirPath
from simulators.car import AirModel, CarModel
from simulators.combustion import Combustion
from simulators.driveline import RAD_S, Driveline
from simulators.driving.cockpit import Controls
from simulators.driving.drive import drive
from simulators.dyno import DynoModel, Load, Road
from simulators.ecu import Ecu, EcuInputs
from simulators.engine import DIESEL_STOICHIOMETRIC, PETROL_STOICHIOMETRIC, Engine
from simulators.faults import Fault, effects_of
from simulators.fuel import Fuel
from simulators.full_load import full_load_curves
from simulators.manoeuvres import Manoeuvre
from simulators.thermal import Thermal
from simulators.trace import TraceStep, columns
from simulators.truth import PullLog

# Where no source stands, the figure was set by hand so that the cars of cars.py behave as such
# cars do.
STARTER_NM: Final = 60.0
STARTER_RPM: Final = 350.0  # below it, clutch open, a stalled engine is started again
STANDING_RPM: Final = 60.0  # below it friction fades, so that a standing engine stays so
BACK_PRESSURE_K_KPA: Final = 0.6  # residual gas and pumping work end as exhaust heat
OVERRUN_EXHAUST_DEGC: Final = 250.0  # air alone, without fuel
RAIL_LOAD_FROM_KPA: Final = 40.0  # manifold pressure at which the rail's target begins to rise ...
RAIL_LOAD_SPAN_KPA: Final = 80.0  # ... and how much further it is at its highest
BATTERY_V: Final = 14.1  # alternator charging


class Vehicle:
    """Car, load, driver and ECU. Time goes on over several runs: a stage can follow another."""

    def __init__(
        self,
        car: CarModel,
        dyno: DynoModel,
        air: AirModel,
        faults: Iterable[Fault],
        chance: random.Random,
        warm_core_k: float = 3.0,
        step_s: float = 0.01,
    ) -> None:
        self.car = car
        self.air = air
        self.step_s = step_s
        self.controls = Controls()
        self.log = PullLog()
        self.load = Load.of(dyno, car)
        self._chance = chance
        self._steps = 0
        self._radius_m = 1.0 if isinstance(dyno, Road) else dyno.roller_radius_m
        effects = self._effects = effects_of(tuple(faults))
        full_load = full_load_curves(car, air)
        self._engine = Engine(car.engine)
        self._combustion = Combustion(car, air, self._engine, effects, chance)
        self._ecu = Ecu(car, full_load, effects)
        self._fuel = Fuel(car.fuel, full_load, effects, chance)
        self._drive = Driveline(car, full_load.peak_torque_nm, effects)
        self._thermal = Thermal(effects.coolant_k)
        self._air_path = AirPath(car, air, full_load, effects, self._engine, warm_core_k)
        self._torque_nm = 0.0

    # what the driver sees ------------------------------------------------------------------
    @property
    def time_s(self) -> float:
        """Since the first step of the first run."""
        return round(self._steps * self.step_s, 6)

    @property
    def rpm(self) -> float:
        """Engine speed."""
        return self._drive.engine_rad_s / RAD_S

    @property
    def speed_ms(self) -> float:
        """Of the road or the roller's surface."""
        return self._drive.speed_ms

    @property
    def clutch_locked(self) -> bool:
        """Whether the clutch no longer slides."""
        return self._drive.locked

    @property
    def limiter_rpm(self) -> float:
        """Where the ECU cuts."""
        return self.car.engine.limiter_rpm

    @property
    def idle_rpm(self) -> float:
        """Where the governor holds it."""
        return self.car.engine.idle_rpm

    def speed_at(self, rpm: float, gear: int) -> float:
        """Surface speed without slip; IndexError where there is no such gear."""
        return rpm * RAD_S / self._drive.ratio(gear) * self.car.drive.wheel_radius_m

    # one run -------------------------------------------------------------------------------
    def recalibrate(self, car: CarModel) -> None:
        """The calibrator flashes: the same hardware goes on with another calibration."""
        self.car = car
        full_load = full_load_curves(car, self.air)
        self._ecu = Ecu(car, full_load, self._effects)
        self._air_path.recalibrate(car, full_load)
        self._combustion.recalibrate(car)

    def run(self, plan: Iterable[Manoeuvre]) -> dict[str, FloatArray]:
        """Do the plan; the trace holds every signal at every step, see trace_of."""
        return self.trace_of(list(self.steps(plan)))

    def steps(self, plan: Iterable[Manoeuvre]) -> Iterator[TraceStep]:
        """Do the plan step by step, as fast as the steps are asked for."""
        for _ in drive(plan, self, self._chance):
            self.step()
            if self._ecu.limiting and self.log.running:
                self.log.end(self.time_s, self.rpm, EndReason.LIMITER, True)
            yield self._trace_step()

    def trace_of(self, steps: list[TraceStep]) -> dict[str, FloatArray]:
        """Steps as columns, by the names of their signals."""
        return columns(steps, self.car.engine.cylinders)

    def step(self) -> None:
        """Advance by step_s: ECU, air, fuel, combustion, motion, heat."""
        self._steps += 1
        step_s, rpm = self.step_s, self.rpm
        air, fuel, ecu, thermal = self._air_path, self._fuel, self._ecu, self._thermal
        pedal = max(self.controls.pedal, self.controls.cruise_percent)
        load_share = min(1.0, air.air_gs / air.rated_air_gs)
        ecu.step(step_s, self._measured_by_ecu(pedal))
        air.step(
            step_s,
            engine_rpm=rpm,
            throttle_percent=ecu.throttle,
            wastegate_opening=ecu.wastegate,
            fuel_gs=fuel.flow_gs,
            exhaust_degc=thermal.gas_degc,
        )
        self._inject(rpm, pedal)
        indicated_nm = self._combustion.step(
            step_s,
            engine_rpm=rpm,
            air=air,
            fuel=fuel,
            ecu=ecu,
            coolant_degc=thermal.coolant_degc,
        )
        self._move(rpm, indicated_nm)
        exhaust_degc = OVERRUN_EXHAUST_DEGC if ecu.fuel_cut else self._exhaust_degc(rpm)
        thermal.step(step_s, load_share, exhaust_degc)

    def _measured_by_ecu(self, pedal_percent: float) -> EcuInputs:
        air, fuel = self._air_path, self._fuel
        return EcuInputs(
            pedal_percent=pedal_percent,
            engine_rpm=self.rpm,
            manifold_kpa=air.manifold_kpa,
            ambient_kpa=self.air.barometric_kpa,
            boost_kpa=air.boost_kpa,
            charge_degc=air.charge_degc,
            rail_share=fuel.high_kpa / fuel.high_target_kpa if self.car.fuel.direct else 1.0,
            torque_nm=self._torque_nm,
        )

    def _inject(self, rpm: float, pedal_percent: float) -> None:
        """Fuel for the air, or air left over from the fuel."""
        ecu, air = self._ecu, self._air_path
        stoichiometric = PETROL_STOICHIOMETRIC
        if self.car.diesel:
            stoichiometric = DIESEL_STOICHIOMETRIC
            governor = ecu.idle_share(rpm, pedal_percent)
            ecu.lambda_target = ecu.diesel_lambda(pedal_percent, rpm, air.air_gs, governor)
        need_gs = 0.0 if ecu.fuel_cut else air.air_gs / (stoichiometric * ecu.lambda_target)
        load_share = max(0.0, air.manifold_kpa - RAIL_LOAD_FROM_KPA) / RAIL_LOAD_SPAN_KPA
        self._fuel.step(
            self.step_s,
            engine_rpm=rpm,
            need_gs=need_gs,
            lambda_target=ecu.lambda_target,
            load_share=min(1.0, load_share),
        )

    def _move(self, rpm: float, indicated_nm: float) -> None:
        """Torque at the crankshaft, and all that turns because of it."""
        controls, air = self.controls, self._air_path
        friction_nm = self._engine.friction_nm(rpm, self._thermal.oil_degc)
        pumping_nm = self._engine.pumping_nm(air.manifold_kpa, air.exhaust_kpa)
        turning = min(1.0, rpm / STANDING_RPM)
        starter_nm = STARTER_NM if controls.clutch <= 0.0 and rpm < STARTER_RPM else 0.0
        self._torque_nm = indicated_nm + starter_nm - turning * (friction_nm + pumping_nm)
        self._drive.step(
            self.step_s,
            engine_nm=self._torque_nm,
            gear=controls.gear,
            clutch=controls.clutch,
            service_nm=controls.service_nm,
            load=self.load,
        )

    def _exhaust_degc(self, rpm: float) -> float:
        """Steady temperature of the burnt gas before the turbine."""
        air, late_deg = self._air_path, 0.0
        if not self.car.diesel:
            best_deg = self._engine.best_spark_deg(rpm, air.manifold_kpa)
            late_deg = best_deg - self._ecu.spark_target_deg
        burnt_degc = self._engine.exhaust_degc(rpm, air.air_gs, self._fuel.lambda_, late_deg)
        return burnt_degc + BACK_PRESSURE_K_KPA * max(0.0, air.extra_back_kpa)

    def _trace_step(self) -> TraceStep:
        """Every signal now."""
        ecu, fuel, heat, drive = self._ecu, self._fuel, self._thermal, self._drive
        air, knock = self._air_path, self._combustion.knock
        retard_deg = sum(knock.retard_deg) / len(knock.retard_deg)
        full_raw_percent = self.car.engine.throttle_full_raw_percent
        outlet_degc = air.turbo.outlet_k - KELVIN if air.turbo else air.charge_degc
        return TraceStep(
            time_s=self.time_s,
            engine_speed_rpm=self.rpm,
            pedal_position_percent=self.controls.pedal,
            throttle_position_percent=ecu.throttle * full_raw_percent / 100.0,
            boost_pressure_kpa=air.boost_kpa,
            manifold_pressure_kpa=air.manifold_kpa,
            boost_target_kpa=ecu.boost_target_kpa,
            ignition_timing_deg=ecu.spark_target_deg - retard_deg,
            ignition_target_deg=ecu.spark_target_deg,
            knock_level_v=knock.level_v,
            intake_air_temperature_degc=air.inlet_k - KELVIN,
            charge_air_temperature_degc=air.charge_degc,
            compressor_outlet_temperature_degc=outlet_degc,
            coolant_temperature_degc=heat.coolant_degc,
            oil_temperature_degc=heat.oil_degc,
            oil_pressure_kpa=heat.oil_pressure_kpa(self.rpm),
            exhaust_gas_temperature_degc=heat.probe_degc,
            fuel_pressure_low_kpa=fuel.low_kpa,
            fuel_pressure_low_target_kpa=fuel.low_target_kpa,
            fuel_pressure_high_kpa=fuel.high_kpa,
            fuel_pressure_high_target_kpa=fuel.high_target_kpa,
            injector_duty_percent=fuel.duty_percent,
            lambda_=fuel.lambda_ + fuel.unburnt,
            lambda_target=ecu.lambda_target,
            fuel_trim_short_percent=fuel.trim_short,
            fuel_trim_long_percent=fuel.trim_long,
            air_mass_flow_gs=air.inlet_flow_gs,
            wastegate_duty_percent=100.0 * (1.0 - ecu.wastegate),
            turbo_speed_rpm=air.turbo.speed_rpm if air.turbo else 0.0,
            engine_torque_nm=self._torque_nm,
            torque_request_nm=ecu.torque_request_nm,
            vehicle_speed_km_h=drive.wheel_rad_s * self.car.drive.wheel_radius_m * 3.6,
            roller_speed_km_h=drive.speed_ms * 3.6,
            roller_torque_nm=self.load.brake_n * self._radius_m,
            wheel_power_kw=drive.wheel_power_w / 1000.0,
            gear=float(self.controls.gear),
            battery_voltage_v=BATTERY_V,
            misfire_count=self._combustion.misfires,
            clutch_torque_nm=drive.clutch_nm,
            brake_torque_nm=self._torque_nm,
            protecting=float(ecu.protecting),
            limiting=float(ecu.limiting),
            knock_retard_deg=tuple(knock.retard_deg),
        )
