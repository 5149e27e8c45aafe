"""The engine control unit: what it asks of throttle, wastegate, spark and mixture, and when it
protects itself."""

from dataclasses import dataclass
from typing import Final

from simulators.car import CarModel
from simulators.curve import Curve
from simulators.engine import DIESEL_STOICHIOMETRIC, Engine
from simulators.faults import Effects
from simulators.full_load import FullLoadCurves, full_load_lambda

# Gains, lags and thresholds were set by hand on the cars of cars.py; no published source.
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
LIMITED_CAP_OPENS_S: Final = 12.0  # carefully, where the limit will be met again
OVERBOOST_FORGOTTEN: Final = 0.25  # seconds taken off for each second without over-boost
OVERBOOST_REMEMBERED_S: Final = 0.1  # the throttle stays closed so long after the last over-boost
TORQUE_CLOSES_S: Final = 900.0  # percent per second, for each share of torque over the limit
TORQUE_FROM_PERCENT: Final = 75.0  # wider open, a throttle hardly changes the torque
TORQUE_LEAST_PERCENT: Final = 25.0
FULL_TORQUE_PEDAL: Final = 90.0  # percent; the pedal asks for all the engine has
FULL_LOAD_WITHIN_KPA: Final = 3.0  # so near the full-load pressure counts as full load
MIXTURE_LAG_S: Final = 0.06
NO_LIMIT_NM: Final = 9e9
BOOST_FROM_PEDAL: Final = 30.0  # percent, from where on boost is asked for ...
BOOST_PEDAL_SPAN: Final = 60.0  # ... rising over so many to the full target
BOOST_RATE_LAG_S: Final = 0.05
INTEGRAL_ERROR_KPA: Final = 30.0  # a larger error does not integrate faster
INTEGRAL_LEAST: Final = -0.5  # of opening
INTEGRAL_MOST: Final = 0.6
IDLE_INTEGRAL: Final = 0.0002  # percent of full load per rpm and step
IDLE_PROPORTIONAL: Final = 0.006  # percent of full load per rpm
IDLE_INTEGRAL_MOST: Final = 5.0  # percent of full load
IDLE_MOST_SHARE: Final = 0.25  # of full load
IDLE_PEDAL: Final = 3.0  # percent, below it the governor acts
DIESEL_FLAP_PERCENT: Final = 96.0  # it only helps exhaust recirculation; no driver's throttle
IDLE_THROTTLE_SHAPE: Final = 0.6  # share of full load to throttle: inverse of the throttle's shape
LEANEST_LAMBDA: Final = 9.0  # compression ignition, no more than a trickle of fuel


@dataclass(frozen=True, slots=True)
class EcuInputs:
    """What the ECU measures in one step. manifold_kpa, ambient_kpa: absolute; boost_kpa: gauge,
    before the throttle. rail_share: fuel rail pressure over its target."""

    pedal_percent: float
    engine_rpm: float
    manifold_kpa: float
    ambient_kpa: float
    boost_kpa: float
    charge_degc: float
    rail_share: float
    torque_nm: float


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

    def step(self, step_s: float, measured: EcuInputs) -> None:
        """One run of every function."""
        pedal, rpm = measured.pedal_percent, measured.engine_rpm
        self._cut(pedal, rpm)
        self._protect(step_s, measured)
        self._move_throttle(step_s, pedal, rpm)
        if self.car.turbo is not None:
            self._control_boost(step_s, pedal, rpm, measured.boost_kpa)
        self._set_spark(measured)
        wanted = self._mixture.at(rpm) if pedal > FULL_LOAD_PEDAL else 1.0
        self.lambda_target += (wanted - self.lambda_target) * min(1.0, step_s / MIXTURE_LAG_S)
        allowed_nm = self._limit_nm if self._is_limited(rpm) else NO_LIMIT_NM
        demand = min(1.0, pedal / FULL_TORQUE_PEDAL)
        self.torque_request_nm = min(self.full_load.torque_nm.at(rpm) * demand, allowed_nm)

    def diesel_lambda(self, pedal: float, rpm: float, air_gs: float, governor: float) -> float:
        """Mixture of compression ignition: the pedal is fuel, never richer than smoke allows."""
        share = max(pedal / 100.0, governor)
        fuel_gs = max(share * self.full_load.fuel_gs.at(rpm), 1e-4)
        lambda_ = max(self._mixture.at(rpm), air_gs / (DIESEL_STOICHIOMETRIC * fuel_gs))
        return min(lambda_, LEANEST_LAMBDA)

    def idle_share(self, rpm: float, pedal: float) -> float:
        """What the idle governor adds, 0 to 1 of full load."""
        error = self.car.engine.idle_rpm - rpm
        self._idle = min(max(self._idle + error * IDLE_INTEGRAL, 0.0), IDLE_INTEGRAL_MOST)
        if pedal >= IDLE_PEDAL:
            return 0.0
        share = (self._idle + error * IDLE_PROPORTIONAL) / 100.0
        return min(max(share, 0.0), IDLE_MOST_SHARE)

    def _cut(self, pedal: float, rpm: float) -> None:
        limit = self.car.engine.limiter_rpm
        self.limiting = rpm > limit or (self.limiting and rpm > limit - LIMITER_BACK_RPM)
        self.fuel_cut = self.limiting or (pedal < 1.0 and rpm > OVERRUN_RPM)

    def _is_limited(self, rpm: float) -> bool:
        """Whether a fault limits the torque at this speed."""
        return self.effects.limit_from_rpm < rpm < self.effects.limit_to_rpm

    def _protect(self, step_s: float, measured: EcuInputs) -> None:
        """Close the throttle on over-boost, a weak rail or more torque than allowed."""
        pedal, torque_nm = measured.pedal_percent, measured.torque_nm
        limited = self._is_limited(measured.engine_rpm) and self.effects.torque_limit < 1.0
        threshold = min(self.car.calibration.overboost_kpa, self.effects.overboost_kpa)
        full_load = pedal > FULL_LOAD_PEDAL
        over = measured.boost_kpa > self.boost_target_kpa + threshold and full_load
        forgotten_s = OVERBOOST_FORGOTTEN * step_s
        self._over_s = self._over_s + step_s if over else max(0.0, self._over_s - forgotten_s)
        weak = measured.rail_share < LOW_RAIL_SHARE and full_load
        self._rail_s = self._rail_s + step_s if weak else 0.0
        if self._over_s > OVERBOOST_S or self._rail_s > LOW_RAIL_S:
            self._over_s = min(self._over_s, OVERBOOST_S + OVERBOOST_REMEMBERED_S)
            self._cap = max(PROTECTED_PERCENT, self._cap - CAP_CLOSES_S * step_s)
        elif limited and torque_nm > self._limit_nm:
            over_share = (torque_nm - self._limit_nm) / self._limit_nm
            closing = TORQUE_CLOSES_S * over_share * step_s
            self._cap = max(TORQUE_LEAST_PERCENT, min(self._cap, TORQUE_FROM_PERCENT) - closing)
        else:
            opens_s = LIMITED_CAP_OPENS_S if limited else CAP_OPENS_S
            self._cap = min(100.0, self._cap + opens_s * step_s)
        self.protecting = self._cap < pedal - 5.0 and pedal > FULL_TORQUE_PEDAL

    def _move_throttle(self, step_s: float, pedal: float, rpm: float) -> None:
        wanted = min(pedal, self._cap)
        if self.car.diesel:
            wanted = DIESEL_FLAP_PERCENT
        else:
            wanted = max(wanted, 100.0 * self.idle_share(rpm, pedal) ** IDLE_THROTTLE_SHAPE)
        self.throttle += (wanted - self.throttle) * min(1.0, step_s / THROTTLE_LAG_S)

    def _control_boost(self, step_s: float, pedal: float, rpm: float, boost_kpa: float) -> None:
        """Feed-forward from full load, proportional-integral on the error, lead on the rise."""
        demand = min(1.0, max(0.0, (pedal - BOOST_FROM_PEDAL) / BOOST_PEDAL_SPAN))
        wanted = self.full_load.boost_target.at(rpm) * demand
        if wanted > self.boost_target_kpa:
            rise = max(self.boost_target_kpa, 0.0) + TARGET_RISE_KPA_S * step_s
            self.boost_target_kpa = min(wanted, rise)
        else:
            self.boost_target_kpa = wanted
        rate = (boost_kpa - self._last_boost) / step_s
        self._last_boost = boost_kpa
        self._rate += (rate - self._rate) * min(1.0, step_s / BOOST_RATE_LAG_S)
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
            bounded_kpa = min(max(error, -INTEGRAL_ERROR_KPA), INTEGRAL_ERROR_KPA)
            self._integral += BOOST_INTEGRAL * gain * step_s * bounded_kpa
            self._integral = min(max(self._integral, INTEGRAL_LEAST), INTEGRAL_MOST)
        self.wastegate = min(max(opening, 0.0), 1.0)

    def _set_spark(self, measured: EcuInputs) -> None:
        """Never earlier than the engine's best; the rest is map, load and charge temperature."""
        rpm, manifold_kpa = measured.engine_rpm, measured.manifold_kpa
        full = measured.ambient_kpa + self.full_load.boost_target.at(rpm)
        warm = WARM_CHARGE_DEG_K * (measured.charge_degc - WARM_CHARGE_DEGC)
        spark = (
            self._spark.at(rpm)
            + self.car.calibration.spark_offset_deg
            + LIGHT_LOAD_SPARK * max(0.0, full - manifold_kpa - FULL_LOAD_WITHIN_KPA)
            - HEAVY_LOAD_SPARK * min(max(0.0, manifold_kpa - full), HEAVY_LOAD_KPA)
            - min(max(0.0, warm), WARM_CHARGE_MOST_DEG)
        )
        self.spark_target_deg = min(spark, self._engine.best_spark_deg(rpm, manifold_kpa))
