"""The whole car on its load, one step at a time: the models wired together, and their trace."""

import math
import random
from collections.abc import Iterable, Iterator
from typing import Final

from analysis.model.pull import EndReason
from decode.samples import FloatArray
from simulators.car import AirModel, CarModel
from simulators.charge_air import ChargeCooler, IntakeAir
from simulators.curve import Curve
from simulators.driveline import RAD_S, Driveline
from simulators.driver import Controls, drive
from simulators.dyno import DynoModel, Load, Road
from simulators.ecu import Ecu
from simulators.engine import Engine, spark_factor
from simulators.faults import Effects, Fault, effects_of
from simulators.fuel import Fuel
from simulators.full_load import FullLoadCurves, full_load_curves
from simulators.knock import Knock
from simulators.manoeuvres import Manoeuvre
from simulators.thermal import Thermal
from simulators.trace import Row, columns
from simulators.truth import PullLog
from simulators.turbo import RELIEF_SHARE, Turbo

KELVIN: Final = 273.15
THROTTLE_FLOW: Final = 4.0  # wide open, over what the engine swallows at rated speed
THROTTLE_SHAPE: Final = 1.7  # area over opening
MANIFOLD_VOLUMES: Final = 1.6  # manifold volume over displacement
CLOSED_RATIO: Final = 0.15  # manifold over upstream pressure: what leaks past a shut throttle
STARTER_NM: Final = 60.0
STARTER_RPM: Final = 350.0  # below it, clutch open, a stalled engine is started again
PIPE_LAG_S: Final = 0.06  # charge pipes and cooler fill
BACK_PRESSURE_K_KPA: Final = 0.6  # residual gas and pumping work end as exhaust heat
LATENT_BAND_K: Final = 3.0  # over which a latent cylinder becomes a knocking one


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
        self._effects: Effects = effects_of(tuple(faults))
        self._full_load: FullLoadCurves = full_load_curves(car, air)
        self._engine = Engine(car.engine)
        design = Curve((n, air.barometric_kpa + b) for n, b in car.engine.knock_design_boost)
        flat = Curve(((0.0, air.barometric_kpa), (9000.0, air.barometric_kpa)))
        self._knock = Knock(car.engine, car.calibration, design if car.turbo else flat, chance)
        self._ecu = Ecu(car, self._full_load, self._effects)
        self._fuel = Fuel(car.fuel, self._full_load, self._effects, chance)
        self._drive = Driveline(car, self._full_load.peak_torque_nm, self._effects)
        self._thermal = Thermal(self._effects.coolant_k)
        self._turbo = Turbo(car.turbo, air.barometric_kpa) if car.turbo else None
        ambient_k = air.temperature_degc + KELVIN
        self._cooler = ChargeCooler(car.cooler, ambient_k + warm_core_k) if car.cooler else None
        self._intake = IntakeAir()
        self._manifold_kpa = 35.0
        self._boost_kpa = 0.0
        self._charge_k = ambient_k + 5.0
        self._exhaust_kpa = air.barometric_kpa
        self._air_gs = 2.0
        self._misfires = 0.0
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
        self._full_load = full_load_curves(car, self.air)
        self._ecu = Ecu(car, self._full_load, self._effects)
        self._knock.calibration = car.calibration

    def run(self, plan: Iterable[Manoeuvre]) -> dict[str, FloatArray]:
        """Do the plan; the trace holds every signal at every step, see trace_of."""
        return self.trace_of(list(self.rows(plan)))

    def rows(self, plan: Iterable[Manoeuvre]) -> Iterator[Row]:
        """Do the plan step by step, as fast as the rows are asked for."""
        for _ in drive(plan, self, self._chance):
            self.step()
            if self._ecu.limiting and self.log.running:
                self.log.end(self.time_s, self.rpm, EndReason.LIMITER, True)
            yield self._row()

    def trace_of(self, rows: list[Row]) -> dict[str, FloatArray]:
        """Rows as columns, by the names of their signals."""
        return columns(rows, self.car.engine.cylinders)

    def step(self) -> None:
        """Advance by step_s: ECU, air, fuel, combustion, motion, heat."""
        self._steps += 1
        rpm, controls, car = self.rpm, self.controls, self.car
        pedal = max(controls.pedal, controls.cruise_percent)
        load = min(1.0, self._air_gs / self._full_load.rated_air_gs)
        rail = self._fuel.high_kpa / self._fuel.high_target_kpa if car.fuel.direct else 1.0
        self._ecu.step(
            self.step_s, pedal, rpm, self._manifold_kpa, self.air.barometric_kpa, self._boost_kpa,
            self._charge_k - KELVIN, rail, self._torque_nm,
        )  # fmt: skip
        self._breathe(rpm)
        self._feed(rpm, pedal)
        indicated = self._burn(rpm)
        friction = self._engine.friction_nm(rpm, self._thermal.oil_degc)
        pumping = self._engine.pumping_nm(self._manifold_kpa, self._exhaust_kpa)
        standing = min(1.0, rpm / 60.0)
        starter = STARTER_NM if controls.clutch <= 0.0 and rpm < STARTER_RPM else 0.0
        self._torque_nm = indicated + starter - standing * (friction + pumping)
        self._drive.step(
            self.step_s,
            self._torque_nm,
            controls.gear,
            controls.clutch,
            controls.service_nm,
            self.load,
        )
        late = 0.0
        if not car.diesel:
            late = self._engine.best_spark_deg(rpm, self._manifold_kpa) - self._ecu.spark_target_deg
        gas = self._engine.exhaust_degc(rpm, self._air_gs, self._fuel.lambda_, late)
        gas += BACK_PRESSURE_K_KPA * max(
            0.0, self._back_kpa - self.air.barometric_kpa - car.exhaust_rise_kpa
        )
        self._thermal.step(self.step_s, load, 250.0 if self._ecu.fuel_cut else gas)

    def _breathe(self, rpm: float) -> None:
        """Filter, compressor, cooler, throttle, manifold, exhaust: flow and states move on."""
        air, car, effects, step_s = self.air, self.car, self._effects, self.step_s
        ambient_k = air.temperature_degc + KELVIN
        share = self._air_gs / self._full_load.rated_air_gs
        inlet_k = ambient_k + self._intake.step(step_s, share) + effects.intake_hot_k
        self._inlet_k = inlet_k
        square = share * share
        inlet_kpa = air.barometric_kpa - car.intake_drop_kpa * effects.intake_drop * min(
            square, 2.5
        )
        back_kpa = air.barometric_kpa + car.exhaust_rise_kpa * effects.exhaust_rise * min(
            square, 2.5
        )
        self._back_kpa = back_kpa
        upstream_kpa, upstream_k = inlet_kpa, inlet_k
        self._inlet_flow_gs = self._air_gs
        if self._turbo is not None:
            upstream_kpa, upstream_k = self._compress(
                inlet_kpa, inlet_k, ambient_k, back_kpa, square
            )
        else:
            self._exhaust_kpa = back_kpa
        self._boost_kpa += (upstream_kpa - air.barometric_kpa - self._boost_kpa) * min(
            1.0, step_s / PIPE_LAG_S
        )
        self._charge_k += (upstream_k - self._charge_k) * min(1.0, step_s / 0.1)
        self._fill(rpm, air.barometric_kpa + self._boost_kpa)

    def _compress(
        self, inlet_kpa: float, inlet_k: float, ambient_k: float, back_kpa: float, square: float
    ) -> tuple[float, float]:
        """Pressure and temperature behind turbo and cooler."""
        turbo, cooler, effects = self._turbo, self._cooler, self._effects
        assert turbo is not None
        leak = effects.leak_share * self._full_load.rated_air_gs * max(self._boost_kpa, 0.0) / 100.0
        flow = self._air_gs + leak
        self._inlet_flow_gs = flow
        relief = self._boost_kpa + self.air.barometric_kpa > self._manifold_kpa + 25.0
        open_valve = relief and self._ecu.throttle < 30.0
        driven = max(flow, RELIEF_SHARE * self._full_load.rated_air_gs) if open_valve else flow
        turbo.move_wastegate(
            self.step_s,
            self._ecu.wastegate,
            effects.wastegate_least,
            effects.wastegate_most,
            effects.wastegate_stick,
        )
        exhaust_gs = self._air_gs + self._fuel.flow_gs
        turbo.step(
            self.step_s,
            driven,
            inlet_kpa,
            inlet_k,
            exhaust_gs,
            self._thermal.gas_degc + KELVIN,
            back_kpa,
        )
        self._exhaust_kpa = back_kpa * turbo.expansion
        if cooler is None:
            return turbo.outlet_kpa, turbo.outlet_k
        cooled_k = cooler.step(
            self.step_s, flow, turbo.outlet_k, ambient_k, effects.cooler_effect, effects.cooler_fan
        )
        return turbo.outlet_kpa - cooler.model.pressure_drop_kpa * square, cooled_k

    def _fill(self, rpm: float, upstream_kpa: float) -> None:
        """Throttle as an orifice against the engine as a pump; then the manifold's lag."""
        model = self.car.engine
        opening = min(max(self._ecu.throttle / 100.0, 0.0), 1.0)
        speed = max(rpm, 300.0) / model.limiter_rpm
        flow = THROTTLE_FLOW * math.pow(opening, THROTTLE_SHAPE) / speed
        if self.car.diesel:
            flow = 40.0  # nothing in the way
        # psi(r) = sqrt(1 - (2 r - 1)^2) above half, choked below; solved for flow psi(r) = r
        ratio = flow if flow < 0.5 else 4.0 * flow * flow / (1.0 + 4.0 * flow * flow)
        ratio = max(ratio, CLOSED_RATIO)
        lag_s = 120.0 * MANIFOLD_VOLUMES / (max(rpm, 300.0) * self._engine.filling(rpm))
        wanted = upstream_kpa * ratio
        self._manifold_kpa += (wanted - self._manifold_kpa) * min(1.0, self.step_s / lag_s)
        self._air_gs = self._engine.air_gs(
            rpm, self._manifold_kpa, self._charge_k, self._exhaust_kpa
        )

    def _feed(self, rpm: float, pedal: float) -> None:
        """Fuel for the air, or air left over from the fuel."""
        ecu = self._ecu
        target = ecu.lambda_target
        if self.car.diesel:
            governor = ecu.idle_share(rpm, pedal)
            target = ecu.diesel_lambda(pedal, rpm, self._air_gs, governor)
            ecu.lambda_target = target
        stoichiometric = 14.5 if self.car.diesel else 14.6
        need = 0.0 if ecu.fuel_cut else self._air_gs / (stoichiometric * target)
        load = min(1.0, max(0.0, self._manifold_kpa - 40.0) / 80.0)
        self._fuel.step(self.step_s, rpm, need, target, load)

    def _burn(self, rpm: float) -> float:
        """Indicated torque of this step, knock and misfire included."""
        ecu, effects = self._ecu, self._effects
        if ecu.fuel_cut:
            return 0.0
        share = 1.0
        if effects.misfire_share and self._manifold_kpa > 80.0:
            share = self._missed(rpm)
        if self.car.diesel:
            return share * self._engine.indicated_nm(rpm, self._air_gs, self._fuel.lambda_, 1.0)
        charge_degc = self._charge_k - KELVIN
        knock = self._knock
        latent = (charge_degc - effects.weak_above_degc) / LATENT_BAND_K
        limit = knock.limit_deg(
            rpm, self._manifold_kpa, charge_degc, self._fuel.lambda_, self._thermal.coolant_degc,
            self._back_kpa - self.air.barometric_kpa - self.car.exhaust_rise_kpa,
            self.car.fuel.octane + effects.octane,
        )  # fmt: skip
        knock.step(
            self.step_s, rpm, self._manifold_kpa, ecu.spark_target_deg, limit,
            effects.weak_cylinder, effects.weak_deg * min(max(latent, 0.0), 1.0),
        )  # fmt: skip
        late = self._engine.best_spark_deg(rpm, self._manifold_kpa) - ecu.spark_target_deg
        sparks = [spark_factor(late + retard) for retard in knock.retard_deg]
        spark = sum(sparks) / len(sparks)
        return share * self._engine.indicated_nm(rpm, self._air_gs, self._fuel.lambda_, spark)

    def _missed(self, rpm: float) -> float:
        """The share of cycles that burn in this step; one cylinder alone, or any."""
        cylinders = self.car.engine.cylinders
        alone = self._effects.misfire_cylinder > 0
        cycles = rpm * self.step_s / 120.0 * (1 if alone else cylinders)
        chance = self._effects.misfire_share * (1.0 if alone else 0.5)
        expected = cycles * chance
        missed = int(expected) + (self._chance.random() < expected % 1.0)
        self._misfires += missed
        of_all = cycles * (cylinders if alone else 1)
        share = min(missed / max(of_all, 0.25), 1.0)
        self._fuel.unburnt += (
            0.5 * share - self._fuel.unburnt
        ) * 0.15  # air that reaches the sensor
        return 1.0 - share

    def _row(self) -> Row:
        """Every signal now, in the order of FIXED_TRACE, then each cylinder's retard."""
        ecu, fuel, heat, knock, drive, turbo = (
            self._ecu, self._fuel, self._thermal, self._knock, self._drive, self._turbo,
        )  # fmt: skip
        retard = sum(knock.retard_deg) / len(knock.retard_deg)
        charge = self._charge_k - KELVIN
        return (
            self.time_s,
            drive.engine_rad_s / RAD_S,
            self.controls.pedal,
            ecu.throttle * self.car.engine.throttle_full_raw_percent / 100.0,
            self._boost_kpa,
            self._manifold_kpa,
            ecu.boost_target_kpa,
            ecu.spark_target_deg - retard,
            ecu.spark_target_deg,
            knock.level_v,
            self._inlet_k - KELVIN,
            charge,
            turbo.outlet_k - KELVIN if turbo else charge,
            heat.coolant_degc,
            heat.oil_degc,
            heat.oil_pressure_kpa(drive.engine_rad_s / RAD_S),
            heat.probe_degc,
            fuel.low_kpa,
            fuel.low_target_kpa,
            fuel.high_kpa,
            fuel.high_target_kpa,
            fuel.duty_percent,
            fuel.lambda_ + fuel.unburnt,
            ecu.lambda_target,
            fuel.trim_short,
            fuel.trim_long,
            self._inlet_flow_gs,
            100.0 * (1.0 - ecu.wastegate),
            turbo.speed_rpm if turbo else 0.0,
            self._torque_nm,
            ecu.torque_request_nm,
            drive.wheel_rad_s * self.car.drive.wheel_radius_m * 3.6,
            drive.speed_ms * 3.6,
            self.load.brake_n * self._radius_m,
            drive.wheel_power_w / 1000.0,
            float(self.controls.gear),
            14.1,
            self._misfires,
            drive.clutch_nm,
            self._torque_nm,
            float(ecu.protecting),
            float(ecu.limiting),
            *knock.retard_deg,
        )
