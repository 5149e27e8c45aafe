"""Turbocharger and its control: one shaft, a power balance, filling volumes as first orders."""

from math import exp, pi, sqrt

from independent_engines.condition import Condition
from independent_engines.design import BoostControl, Turbo
from independent_engines.gas import (
    AIR_EXPONENT,
    GAS,
    HEAT_AIR,
    before_opening,
    compressed_k,
    expansion_work,
)

MECHANICAL = 0.95
PIPE_S = 0.05  # the charge pipe follows the compressor
SHAPE = 3.0  # how the head falls with flow
DAMPING_S = 0.15  # the controller looks so far ahead along the slope of boost
EVERY = 5  # steps from one look of the controller's model to the next


def interpolate(x: float, xs: tuple[float, ...], ys: tuple[float, ...]) -> float:
    """Linear between the points, level beyond them."""
    if x <= xs[0]:
        return ys[0]
    for i in range(1, len(xs)):
        if x <= xs[i]:
            return ys[i - 1] + (ys[i] - ys[i - 1]) * (x - xs[i - 1]) / (xs[i] - xs[i - 1])
    return ys[-1]


def head_coefficient(turbo: Turbo, flow_coefficient: float) -> float:
    """Isentropic head over tip speed squared; it falls with flow and is gone at the widest."""
    return turbo.head * max(1.0 - float((flow_coefficient / turbo.widest_flow) ** SHAPE), 0.02)


def flow_coefficient(turbo: Turbo, flow: float, density: float, tip_m_s: float) -> float:
    """Volume flow over wheel area and tip speed (Guzzella and Onder's phi)."""
    return flow / (density * pi / 4.0 * turbo.wheel_m**2 * max(tip_m_s, 1.0))


def compressor_efficiency(turbo: Turbo, flow_coeff: float) -> float:
    """Best at two thirds of the widest flow."""
    away = flow_coeff / turbo.widest_flow - 0.65
    return max(turbo.compressor_efficiency - 0.45 * away * away, 0.45)


class Turbocharger:
    """The shaft's energy, and the pressure it holds in the charge pipe."""

    def __init__(self, turbo: Turbo, ambient_kpa: float) -> None:
        self.turbo = turbo
        self.omega = 2_500.0
        self.pipe_kpa = ambient_kpa
        self.outlet_k = 300.0
        self.before_turbine_kpa = ambient_kpa

    @property
    def rpm(self) -> float:
        return self.omega * 30.0 / pi

    def step(
        self,
        dt: float,
        inlet_kpa: float,
        inlet_k: float,
        air: float,
        exhaust: float,
        exhaust_k: float,
        outlet_kpa: float,
        opening: float,
        recirculating: bool,
    ) -> None:
        """One step. opening: of gate or vanes, 0 to 1; recirculating: the valve of a closed
        throttle is open."""
        turbo = self.turbo
        tip = self.omega * turbo.wheel_m / 2.0
        density = inlet_kpa / (GAS * inlet_k)
        phi = flow_coefficient(turbo, air, density, tip)
        head = head_coefficient(turbo, phi) * tip * tip / 1e3
        ratio = (1.0 + head / (HEAT_AIR * inlet_k)) ** (1.0 / AIR_EXPONENT)
        efficiency = compressor_efficiency(turbo, phi)
        made = inlet_kpa if recirculating else inlet_kpa * ratio
        self.pipe_kpa += (made - self.pipe_kpa) * (1.0 - exp(-dt / PIPE_S))
        self.outlet_k = compressed_k(inlet_k, self.pipe_kpa / inlet_kpa, efficiency)
        taken_kw = air * head / efficiency
        through, share = self._areas(opening)
        self.before_turbine_kpa = before_opening(outlet_kpa, exhaust, exhaust_k, through)
        work = expansion_work(
            exhaust_k, self.before_turbine_kpa / outlet_kpa, turbo.turbine_efficiency
        )
        given_kw = share * exhaust * work
        bearing_kw = 0.4 * (self.omega / 1.3e4) ** 2 * (turbo.wheel_m / 0.055) ** 3
        energy = 0.5 * turbo.inertia_kg_m2 * self.omega**2
        energy += dt * 1e3 * (MECHANICAL * given_kw - taken_kw - bearing_kw)
        self.omega = sqrt(max(2.0 * energy / turbo.inertia_kg_m2, 1.0e6))

    def _areas(self, opening: float) -> tuple[float, float]:
        """Flow capacity from the ports to the outlet, and the turbine's share of the flow."""
        turbo = self.turbo
        if turbo.guide_vanes:
            return turbo.turbine_flow + turbo.gate_flow * opening, 1.0
        through = turbo.turbine_flow + turbo.gate_flow * opening
        return through, turbo.turbine_flow / through


class BoostController:
    """A gate or vanes on a motor: what the controller's own model of the shaft asks, and PI on what
    is left. Without closed loop, a spring and the boost itself move the gate."""

    def __init__(self, control: BoostControl, turbo: Turbo, condition: Condition) -> None:
        self.control, self.turbo, self.condition = control, turbo, condition
        self.duty = 0.0  # 1 holds the gate closed
        self._integral = 0.0
        self._opening = 0.0
        self._forward = 0.0
        self._steps = 0
        self._before = 0.0
        self._late: list[float] = [0.0] * (8 if condition.boost_gain > 1.0 else 1)

    def target_kpa(self, rpm: float, pedal: float) -> float:
        """Gauge; it grows with the pedal."""
        full = interpolate(rpm, self.control.target_rpm, self.control.target_kpa)
        return full * self.condition.boost_target_share * min(max((pedal - 0.35) / 0.5, 0.0), 1.0)

    def step(
        self, dt: float, target_kpa: float, boost_kpa: float, demand: tuple[float, ...]
    ) -> float:
        """The opening after this step. demand: what `balanced_opening` needs beside the target."""
        control = self.control
        wanted = self._wanted_opening(dt, target_kpa, boost_kpa, demand)
        self._opening += (wanted - self._opening) * (1.0 - exp(-dt / control.actuator_s))
        self._opening = min(self._opening, self.condition.gate_most)
        if self.condition.gate_stuck is not None:
            self._opening = self.condition.gate_stuck
        return self._opening

    def _wanted_opening(
        self, dt: float, target_kpa: float, boost_kpa: float, demand: tuple[float, ...]
    ) -> float:
        control = self.control
        if not control.closed_loop:
            spring = self.turbo.spring_kpa
            return min(max((boost_kpa - 0.85 * spring) / (0.6 * spring), 0.0), 1.0)
        self._late.append(boost_kpa)
        error = target_kpa - self._late.pop(0)
        if target_kpa <= 1.0:
            self._integral, self.duty = 0.0, 0.0
            return 1.0
        if self._steps % EVERY == 0:
            self._forward = balanced_opening(self.turbo, target_kpa, demand)
        self._steps += 1
        gain = self.condition.boost_gain
        if abs(error) < 20.0:
            self._integral += control.integral * gain * error * dt
        self._integral = min(max(self._integral, -0.4), 0.4)
        rise_kpa_s = (boost_kpa - self._before) / dt
        self._before = boost_kpa
        damping = 0.0 if gain > 1.0 else DAMPING_S * control.proportional * rise_kpa_s
        correction = damping - gain * control.proportional * error - self._integral
        if gain > 1.0:
            travel = self.condition.boost_travel
            correction = min(max(correction, -travel), travel)
        wanted = self._forward + correction
        opening = min(max(wanted, 0.0), 1.0)
        self.duty = 1.0 - opening
        return opening


def balanced_opening(turbo: Turbo, target_kpa: float, demand: tuple[float, ...]) -> float:
    """The opening at which the turbine gives just what the compressor takes at the target.

    demand: inlet kPa and K, flow and temperature of the exhaust, outlet kPa, ambient kPa.
    """
    inlet_kpa, inlet_k, exhaust, exhaust_k, outlet_kpa, ambient_kpa = demand
    ratio = max((ambient_kpa + target_kpa) / inlet_kpa, 1.01)
    work = HEAT_AIR * inlet_k * (ratio**AIR_EXPONENT - 1.0) / (turbo.compressor_efficiency - 0.02)
    low, high = 0.0, 1.0
    for _ in range(7):
        opening = 0.5 * (low + high)
        through = turbo.turbine_flow + turbo.gate_flow * opening
        share = 1.0 if turbo.guide_vanes else turbo.turbine_flow / through
        before = before_opening(outlet_kpa, exhaust, exhaust_k, through)
        given = share * expansion_work(exhaust_k, before / outlet_kpa, turbo.turbine_efficiency)
        if MECHANICAL * given > work:
            low = opening
        else:
            high = opening
    return 0.5 * (low + high)
