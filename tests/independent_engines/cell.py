"""A session on the dyno: the engine, its car, the roller and the driver, as traces over time."""

from dataclasses import dataclass, field
from math import pi

import numpy as np
from numpy.typing import NDArray

from independent_engines.condition import HEALTHY, Condition
from independent_engines.design import Air, Drive, Engine
from independent_engines.gas import ZERO_C
from independent_engines.programme import Does, Programme, Run
from independent_engines.rolling import Rolling
from independent_engines.running import STEP_S, RunningEngine

FloatArray = NDArray[np.float64]
SHIFT_S = 0.35
LONGEST_SWEEP_S = 25.0
NAMES = (
    *("rpm", "pedal", "position", "manifold_kpa", "boost_target_kpa", "timing", "timing_target"),
    *("retard", "charge_degc", "outlet_degc", "inlet_degc", "coolant_degc", "oil_degc", "oil_kpa"),
    *("exhaust_degc", "low_kpa", "low_target_kpa", "rail_kpa", "rail_target_kpa", "injector_duty"),
    *("mixture", "mixture_target", "trim", "meter_g_s", "duty", "turbo_rpm", "torque_nm"),
    *(
        "request_nm",
        "believed_nm",
        "vehicle_kmh",
        "roller_kmh",
        "axle_nm",
        "wheel_kw",
        "wheel_nm",
        "gear",
    ),
    *("misfires", "engine_g_s", "leak_g_s", "stored_g_s", "fuel_g_s"),
)


@dataclass(frozen=True, slots=True)
class TruePull:
    """A pull as it was driven. start_s: the sweep begins; end_s: the driver lifts."""

    start_s: float
    end_s: float
    start_rpm: float
    end_rpm: float


@dataclass
class Traces:
    """What happened. value: each of NAMES over time_s. retard_of: of each cylinder."""

    time_s: FloatArray
    value: dict[str, FloatArray]
    retard_of: list[FloatArray]
    pulls: list[TruePull]
    knock_events: int


@dataclass
class Cell:
    """One session under way."""

    engine: Engine
    drive: Drive
    air: Air
    condition: Condition
    random: np.random.Generator
    wind: float = 0.7
    time_s: float = 0.0
    rpm: float = 0.0
    pedal: float = 0.0
    pulls: list[TruePull] = field(default_factory=list)
    _rows: list[tuple[float, ...]] = field(default_factory=list)
    _retards: list[list[float]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.running = RunningEngine(self.engine, self.air, self.condition, self.random, self.wind)
        self.rolling = Rolling(self.drive, self.condition, self.engine.idle_rpm)
        self.rpm = self.engine.idle_rpm
        self._shift_until = -1.0
        self._demand_nm = 0.0
        speeds = np.linspace(0.3, 1.0, 15) * self.engine.rated_rpm
        self._most_nm = max(self.running.nominal_nm(float(rpm)) for rpm in speeds)

    def drive_through(self, programme: Programme, healthy_pulls: int = 0) -> Traces:
        """The whole programme; the condition comes after that many pulls."""
        condition = self.condition
        if healthy_pulls:
            self._become(HEALTHY)
        self._idle(programme.idle_s)
        for number, run in enumerate(programme.runs):
            if healthy_pulls and number == healthy_pulls:
                self._become(condition)
            self._cruise(programme, run)
            self._pull(run)
            self._lift(programme.lift_s)
        self._idle(1.5)
        table = np.array(self._rows)
        time_s: FloatArray = np.arange(len(table), dtype=np.float64) * STEP_S
        value = {name: table[:, i] for i, name in enumerate(NAMES)}
        retards = np.array(self._retards)
        per_cylinder = [retards[:, i] for i in range(retards.shape[1])]
        return Traces(time_s, value, per_cylinder, self.pulls, self.running.knock.events)

    def _become(self, condition: Condition) -> None:
        self.rolling.condition = condition
        self.running.become(condition)

    def _idle(self, duration_s: float) -> None:
        for _ in range(int(duration_s / STEP_S)):
            self.pedal = max(self.pedal - 0.1, 0.0)
            self.rpm += (self.engine.idle_rpm - self.rpm) * 0.04
            self.rpm += float(self.random.normal(0.0, 1.5))
            self._step(Does.IDLE)
            self.rolling.roller_rpm = max(self.rolling.roller_rpm - 40.0, 0.0)

    def _cruise(self, programme: Programme, run: Run) -> None:
        self.rolling.ratio = 1.0
        for _ in range(int(programme.cruise_s / STEP_S)):
            self.pedal += (programme.cruise_pedal - self.pedal) * 0.1
            self.rpm += (run.start_rpm - self.rpm) * 0.03
            self.rolling.roller_rpm = self.rpm / (1.0 + self.rolling.tyre_slip)
            self._step(Does.CRUISE)

    def _pull(self, run: Run) -> None:
        base = self.pedal
        tip_steps = max(int(run.tip_in_s / STEP_S), 1)
        steps, hold_steps = 0, int((run.hold_s + run.tip_in_s) / STEP_S) if run.braked else 0
        rate = (run.end_rpm - run.start_rpm) / run.sweep_s
        start_s, limited_s = self.time_s, 0.0
        start_rpm = self.rpm
        shifted = False
        while True:
            self.pedal = min(base + (1.0 - base) * steps / tip_steps, 1.0)
            sweeping = steps >= hold_steps
            if steps == hold_steps:
                start_s, start_rpm = self.time_s, self.rpm
            rise = self.rolling.free_rise_rpm_s() if sweeping else 0.0
            self.rolling.roller_rpm += STEP_S * (min(rate, rise) if run.braked else rise)
            if self.drive.next_gear and not shifted and self.rpm > self.drive.shift_rpm:
                shifted = True
                self._shift_until = self.time_s + SHIFT_S
            if self.time_s < self._shift_until:
                self.rolling.ratio += (self.drive.next_gear - 1.0) * STEP_S / SHIFT_S
            self.rpm = self.rolling.engine_rpm
            self._step(Does.SWEEP if sweeping else Does.HOLD)
            steps += 1
            limited_s += STEP_S if self.running.cut or limited_s > 0.0 else 0.0
            over = (steps - hold_steps) * STEP_S > LONGEST_SWEEP_S
            if self.rpm >= run.end_rpm and (shifted or not self.drive.next_gear):
                break
            if limited_s > 1.0 or over:
                break
        self.pulls.append(TruePull(start_s, self.time_s, start_rpm, self.rpm))

    def _lift(self, duration_s: float) -> None:
        fall = self.engine.rated_rpm * 0.09
        for _ in range(int(duration_s / STEP_S)):
            self.pedal = max(self.pedal - 0.12, 0.0)
            lowest = 1.4 * self.engine.idle_rpm
            self.rolling.roller_rpm = max(self.rolling.roller_rpm - fall * STEP_S, lowest)
            self.rpm = max(self.rolling.engine_rpm, lowest)
            self._step(Does.LIFT)

    def _step(self, does: Does) -> None:
        running, rolling = self.running, self.rolling
        shifting = self.time_s < self._shift_until
        running.step(self.rpm, self.pedal, shifting)
        coupled = does is not Does.IDLE
        rolling.transmit(STEP_S, max(running.torque_nm, 0.0) if coupled else 0.0)
        self._record(does)
        self.time_s += STEP_S

    def _record(self, does: Does) -> None:
        running, rolling = self.running, self.rolling
        breathing, fuelling, warmth = running.breathing, running.fuelling, running.warmth
        retard = running.knock.retard
        wheel_kw = rolling.wheel_nm * rolling.roller_kmh / 3.6 / self.drive.wheel_radius_m / 1e3
        referred_nm = wheel_kw * 3e4 / (pi * self.rpm)
        believed = running.believed_nm
        self._demand_nm += (self._request(believed) - self._demand_nm) * 0.2
        self._retards.append(list(retard))
        turbo = breathing.turbo
        self._rows.append(
            (
                *(self.rpm, self.pedal, running.position, breathing.manifold_kpa),
                *(breathing.target_kpa, running.timing_deg, running.timing_target_deg),
                sum(retard) / len(retard),
                *(breathing.charge_k - ZERO_C, breathing.compressor_out_k - ZERO_C),
                self.air.temperature_degc + 3.0 + 0.03 / max(breathing.engine_flow, 0.004),
                *(warmth.coolant_degc, warmth.oil_degc, warmth.oil_pressure_kpa(self.rpm)),
                running.exhaust_gas_k - ZERO_C,
                *(fuelling.low_kpa, fuelling.low_target_kpa),
                *(fuelling.rail_kpa, fuelling.rail_target_kpa, fuelling.injector_duty),
                *(min(running.mixture, 8.0), running.mixture_target, running.trim),
                *(breathing.inlet_flow * 1e3, breathing.duty),
                turbo.rpm if turbo is not None else 0.0,
                *(running.torque_nm, self._demand_nm, believed),
                *(rolling.vehicle_kmh, rolling.roller_kmh, rolling.wheel_nm, wheel_kw, referred_nm),
                float(self.drive.gear + (rolling.ratio > 1.02)),
                float(running.misfires),
                *(breathing.engine_flow * 1e3, breathing.leak_flow * 1e3),
                *(breathing.stored_kg_s * 1e3, running.fuel_flow * 1e3),
            )
        )

    def _request(self, believed_nm: float) -> float:
        """What the driver's pedal asks for as torque."""
        share = self.engine.calibration.torque_request_share
        if share > 1.0 and self.pedal > 0.9:
            return share * self._most_nm
        if self.pedal > 0.9:
            return self.running.nominal_nm(self.rpm)
        return max(believed_nm, 0.0)
