"""The engine control unit: what it asks of throttle, wastegate, spark and mixture, and when it
protects itself."""

from typing import Final

from simulators.car import CarModel
from simulators.curve import Curve
from simulators.engine import DIESEL_STOICHIOMETRIC, Engine
from simulators.faults import Effects
from simulators.full_load import FullLoadCurves, full_load_lambda

THROTTLE_LAG_S: Final = 0.035
LIMITER_BACK_RPM: Final = 70.0  # fuel returns this far below the limiter
OVERRUN_RPM: Final = 1500.0
FULL_LOAD_PEDAL: Final = 65.0  # percent; beyond it the full-load mixture
TARGET_RISE_KPA_S: Final = 160.0  # the target is led up, as the wheel needs time
BOOST_PROPORTIONAL: Final = 0.010  # opening per kPa
BOOST_INTEGRAL: Final = 0.016  # opening per kPa and second
BOOST_LEAD_S: Final = 0.25  # looks ahead by the rate of rise: no overshoot
SPOOL_ERROR_KPA: Final = 18.0  # below target by more: wastegate shut, integrator at rest
SPOOL_SHARE: Final = 0.5  # of the speed range, where a badly led wheel overshoots
LIGHT_LOAD_SPARK: Final = 0.22  # degrees per kPa below the full-load target
HEAVY_LOAD_SPARK: Final = 0.25  # degrees per kPa above it ...
HEAVY_LOAD_KPA: Final = 20.0  # ... where the map ends
WARM_CHARGE_DEGC: Final = 40.0
WARM_CHARGE_DEG_K: Final = 0.8 / 7.0  # the ECU takes 80 % of what the charge temperature costs
WARM_CHARGE_MOST_DEG: Final = 6.0
LOW_RAIL_SHARE: Final = 0.70
LOW_RAIL_S: Final = 0.4
OVERBOOST_S: Final = 0.12
PROTECTED_PERCENT: Final = 42.0  # throttle while protecting
CAP_CLOSES_S: Final = 260.0  # percent per second
CAP_OPENS_S: Final = 90.0


class Ecu:
    """State: actuators, boost control, protection. Pressures in kPa; boost: before the throttle."""

    def __init__(self, car: CarModel, full_load: FullLoadCurves, effects: Effects) -> None:
        self.car = car
        self.full_load = full_load
        self.effects = effects
        self.throttle = 3.0
        self.wastegate = 0.0
        self.boost_target_kpa = 0.0
        self.spark_target_deg = 10.0
        self.lambda_target = 1.0
        self.fuel_cut = False
        self.limiting = False
        self.protecting = False
        self.torque_request_nm = 0.0
        self._mixture = full_load_lambda(car)
        self._spark = Curve(car.engine.knock_base)
        self._engine = Engine(car.engine)
        self._integral = 0.0
        self._last_boost = 0.0
        self._rate = 0.0
        self._over_s = 0.0
        self._rail_s = 0.0
        self._cap = 100.0
        self._idle = 1.0
        self._limit_nm = full_load.peak_torque_nm * effects.torque_limit

    def step(
        self,
        step_s: float,
        pedal: float,
        rpm: float,
        manifold_kpa: float,
        ambient_kpa: float,
        boost_kpa: float,
        charge_degc: float,
        rail_share: float,
        torque_nm: float,
    ) -> None:
        """One run of every function."""
        self._cut(pedal, rpm)
        self._protect(step_s, pedal, rpm, boost_kpa, rail_share, torque_nm)
        self._move_throttle(step_s, pedal, rpm)
        if self.car.turbo is not None:
            self._control_boost(step_s, pedal, rpm, boost_kpa)
        self._light(rpm, manifold_kpa, ambient_kpa, charge_degc)
        wanted = self._mixture.at(rpm) if pedal > FULL_LOAD_PEDAL else 1.0
        self.lambda_target += (wanted - self.lambda_target) * min(1.0, step_s / 0.06)
        allowed = (
            self._limit_nm if self.effects.limit_from_rpm < rpm < self.effects.limit_to_rpm else 9e9
        )
        self.torque_request_nm = min(
            self.full_load.torque_nm.at(rpm) * min(1.0, pedal / 90.0), allowed
        )

    def diesel_lambda(self, pedal: float, rpm: float, air_gs: float, governor: float) -> float:
        """Mixture of compression ignition: the pedal is fuel, never richer than smoke allows."""
        share = max(pedal / 100.0, governor)
        fuel = max(share * self.full_load.fuel_gs.at(rpm), 1e-4)
        return min(max(self._mixture.at(rpm), air_gs / (DIESEL_STOICHIOMETRIC * fuel)), 9.0)

    def idle_share(self, rpm: float, pedal: float) -> float:
        """What the idle governor adds, 0 to 1 of full load."""
        error = self.car.engine.idle_rpm - rpm
        self._idle = min(max(self._idle + error * 0.0002, 0.0), 5.0)
        return min(max((self._idle + error * 0.006) / 100.0, 0.0), 0.25) if pedal < 3.0 else 0.0

    def _cut(self, pedal: float, rpm: float) -> None:
        limit = self.car.engine.limiter_rpm
        self.limiting = rpm > limit or (self.limiting and rpm > limit - LIMITER_BACK_RPM)
        self.fuel_cut = self.limiting or (pedal < 1.0 and rpm > OVERRUN_RPM)

    def _protect(
        self,
        step_s: float,
        pedal: float,
        rpm: float,
        boost_kpa: float,
        rail_share: float,
        torque_nm: float,
    ) -> None:
        """Close the throttle on over-boost, a weak rail or more torque than allowed."""
        limited = self.effects.limit_from_rpm < rpm < self.effects.limit_to_rpm
        limited = limited and self.effects.torque_limit < 1.0
        threshold = min(self.car.calibration.overboost_kpa, self.effects.overboost_kpa)
        over = boost_kpa > self.boost_target_kpa + threshold and pedal > FULL_LOAD_PEDAL
        self._over_s = self._over_s + step_s if over else max(0.0, self._over_s - 0.25 * step_s)
        weak = rail_share < LOW_RAIL_SHARE and pedal > FULL_LOAD_PEDAL
        self._rail_s = self._rail_s + step_s if weak else 0.0
        if self._over_s > OVERBOOST_S or self._rail_s > LOW_RAIL_S:
            self._over_s = min(self._over_s, OVERBOOST_S + 0.1)
            self._cap = max(PROTECTED_PERCENT, self._cap - CAP_CLOSES_S * step_s)
        elif limited and torque_nm > self._limit_nm:
            over_share = (torque_nm - self._limit_nm) / self._limit_nm
            self._cap = max(25.0, min(self._cap, 75.0) - 900.0 * over_share * step_s)
        else:
            self._cap = min(100.0, self._cap + (12.0 if limited else CAP_OPENS_S) * step_s)
        self.protecting = self._cap < pedal - 5.0 and pedal > 90.0

    def _move_throttle(self, step_s: float, pedal: float, rpm: float) -> None:
        wanted = min(pedal, self._cap)
        if self.car.diesel:
            wanted = 96.0  # the flap only helps exhaust recirculation; it is no driver's throttle
        else:
            wanted = max(wanted, 100.0 * self.idle_share(rpm, pedal) ** 0.6)
        self.throttle += (wanted - self.throttle) * min(1.0, step_s / THROTTLE_LAG_S)

    def _control_boost(self, step_s: float, pedal: float, rpm: float, boost_kpa: float) -> None:
        """Feed-forward from full load, proportional-integral on the error, lead on the rise."""
        demand = min(1.0, max(0.0, (pedal - 30.0) / 60.0))
        wanted = self.full_load.boost_target.at(rpm) * demand
        if wanted > self.boost_target_kpa:
            rise = max(self.boost_target_kpa, 0.0) + TARGET_RISE_KPA_S * step_s
            self.boost_target_kpa = min(wanted, rise)
        else:
            self.boost_target_kpa = wanted
        rate = (boost_kpa - self._last_boost) / step_s
        self._last_boost = boost_kpa
        self._rate += (rate - self._rate) * min(1.0, step_s / 0.05)
        gain = self.effects.boost_gain
        spooling = demand if rpm < SPOOL_SHARE * self.car.engine.limiter_rpm else 0.0
        target = self.boost_target_kpa + self.effects.spool_overshoot_kpa * spooling
        error = target - boost_kpa - BOOST_LEAD_S / gain * self._rate
        opening = (
            self.full_load.wastegate.at(rpm) - gain * BOOST_PROPORTIONAL * error - self._integral
        )
        if demand <= 0.0:
            self._integral *= 1.0 - step_s
        elif error < SPOOL_ERROR_KPA and 0.0 < opening < 1.0:
            self._integral += BOOST_INTEGRAL * gain * step_s * min(max(error, -30.0), 30.0)
            self._integral = min(max(self._integral, -0.5), 0.6)
        self.wastegate = min(max(opening, 0.0), 1.0)

    def _light(
        self, rpm: float, manifold_kpa: float, ambient_kpa: float, charge_degc: float
    ) -> None:
        full = ambient_kpa + self.full_load.boost_target.at(rpm)
        warm = WARM_CHARGE_DEG_K * (charge_degc - WARM_CHARGE_DEGC)
        spark = (
            self._spark.at(rpm)
            + self.car.calibration.spark_offset_deg
            + LIGHT_LOAD_SPARK * max(0.0, full - manifold_kpa - 3.0)
            - HEAVY_LOAD_SPARK * min(max(0.0, manifold_kpa - full), HEAVY_LOAD_KPA)
            - min(max(0.0, warm), WARM_CHARGE_MOST_DEG)
        )
        self.spark_target_deg = min(spark, self._engine.best_spark_deg(rpm, manifold_kpa))
