"""The way of the air: filter, compressor or blower, cooler, throttle, manifold."""

from dataclasses import dataclass, field
from math import cos, exp, pi, sqrt

from independent_engines.combustion import filling
from independent_engines.condition import Condition
from independent_engines.design import Air, Engine
from independent_engines.gas import (
    GAS,
    HEAT_AIR,
    ZERO_C,
    behind_opening,
    compressed_k,
    orifice_flow,
    swallowing,
)
from independent_engines.turbocharging import BoostController, Turbocharger

CLOSED = 0.012  # share of the open throttle's area that is always there, for idle


def throttle_area(position: float) -> float:
    """Share of the open area, of a plate that turns."""
    return CLOSED + (1.0 - CLOSED) * (1.0 - cos(min(max(position, 0.0), 1.0) * pi / 2.0))


@dataclass
class Cooler:
    """A charge cooler whose core warms with what it takes up."""

    effectiveness: float
    heat_kj_k: float
    core_k: float
    rated_kg_s: float

    def step(self, dt: float, flow: float, hot_k: float, air_k: float, wind: float) -> float:
        """Temperature behind it."""
        out_k = hot_k - self.effectiveness * (hot_k - self.core_k)
        taken_kw = flow * HEAT_AIR * (hot_k - out_k)
        given_kw = (1.5 + 6.0 * wind) * self.rated_kg_s * (self.core_k - air_k)
        self.core_k += dt * (taken_kw - given_kw) / self.heat_kj_k
        return out_k


@dataclass
class Breathing:
    """The state of the air path. inlet_flow passes the air meter; engine_flow the valves."""

    engine: Engine
    air: Air
    condition: Condition
    manifold_kpa: float = 0.0
    charge_k: float = 300.0
    engine_flow: float = 0.002
    inlet_flow: float = 0.002
    leak_flow: float = 0.0
    stored_kg_s: float = 0.0
    compressor_out_k: float = 300.0
    before_throttle_kpa: float = 100.0
    port_back_kpa: float = 100.0
    blower_kw: float = 0.0
    turbo: Turbocharger | None = None
    control: BoostController | None = None
    target_kpa: float = 0.0
    duty: float = 0.0
    _cooler: Cooler = field(init=False)
    _rated_kg_s: float = field(init=False)
    _throttle: float = field(init=False)
    _leak: float = field(init=False)

    def __post_init__(self) -> None:
        engine, air = self.engine, self.air
        self.ambient_k = air.temperature_degc + ZERO_C
        self.charge_k = self.compressor_out_k = self.ambient_k + 8.0
        self.manifold_kpa = 0.4 * air.pressure_kpa
        self.before_throttle_kpa = self.port_back_kpa = air.pressure_kpa
        rated_kpa = 100.0
        if engine.turbo is not None and engine.boost is not None:
            self.turbo = Turbocharger(engine.turbo, air.pressure_kpa)
            self.control = BoostController(engine.boost, engine.turbo, self.condition)
            rated_kpa += engine.boost.target_kpa[-1]
        volume = filling(engine, engine.rated_rpm)
        swallow = swallowing(volume, engine.displacement_l, engine.rated_rpm, 315.0)
        through = swallow
        if engine.blower is not None:
            through = self._blower_takes(engine.rated_rpm, 1.5, 305.0)
            rated_kpa = 150.0
        self._rated_kg_s = swallow * rated_kpa
        self._throttle = through / sqrt(1.0 / (1.0 - engine.throttle_drop) ** 2 - 1.0)
        self.resize_leak()
        effectiveness = engine.cooler_effectiveness * self.condition.cooler_share
        self._cooler = Cooler(
            effectiveness, engine.cooler_heat_kj_k, self.ambient_k + 4.0, self._rated_kg_s
        )

    def resize_leak(self) -> None:
        """The hole through which the stated share of the flow leaves at the boost target."""
        engine = self.engine
        swallow = swallowing(engine.filling, engine.displacement_l, engine.rated_rpm, 315.0)
        at_kpa = self.air.pressure_kpa + (max(engine.boost.target_kpa) if engine.boost else 60.0)
        flow = self.condition.leak_share * swallow * 0.7 * at_kpa
        self._leak = flow * sqrt(330.0) / sqrt(at_kpa**2 - self.air.pressure_kpa**2)

    def step(
        self,
        dt: float,
        rpm: float,
        position: float,
        pedal: float,
        exhaust_flow: float,
        exhaust_k: float,
        wind: float,
    ) -> None:
        """One step of everything that the air passes."""
        engine, condition = self.engine, self.condition
        ambient_kpa = self.air.pressure_kpa
        share = self.inlet_flow / self._rated_kg_s
        drop = engine.intake_drop_kpa * condition.intake_drop_share * share * share
        inlet_kpa = max(ambient_kpa - drop, 0.45 * ambient_kpa)
        inlet_k = self.ambient_k + 3.0
        back = exhaust_flow / self._rated_kg_s
        back_kpa = engine.exhaust_drop_kpa * condition.exhaust_drop_share * back * back
        outlet_kpa = ambient_kpa + back_kpa
        # burnt gas that stays behind takes the room of fresh charge
        residual = max(self.port_back_kpa / max(self.manifold_kpa, 20.0) - 1.0, 0.0)
        kept = max(1.0 - 0.07 * min(residual, 3.0), 0.7)
        volume = kept * filling(engine, rpm)
        swallow = swallowing(volume, engine.displacement_l, rpm, self.charge_k)
        area = self._throttle * throttle_area(position)
        if self.turbo is not None:
            self._turbo_step(
                dt, rpm, pedal, position, inlet_kpa, inlet_k, outlet_kpa, exhaust_flow, exhaust_k
            )
            upstream = self.before_throttle_kpa
            self.charge_k = self._cooler.step(
                dt, self.engine_flow, self.compressor_out_k, self.ambient_k, wind
            )
        elif engine.blower is not None:
            upstream = inlet_kpa
            self.port_back_kpa = outlet_kpa
        else:
            upstream = self.before_throttle_kpa = inlet_kpa
            self.port_back_kpa = outlet_kpa
            self.charge_k = inlet_k + 4.0 + 0.04 / max(self.engine_flow, 0.004)
        if engine.blower is not None:
            settled = self._blower_step(dt, rpm, upstream, inlet_k, area, swallow, wind)
        else:
            settled = behind_opening(upstream, swallow, area)
        volume_l = 1.3 * engine.displacement_l
        rate = swallow * GAS * self.charge_k / (volume_l * 1e-3)
        before = self.manifold_kpa
        # behind an open throttle the manifold settles faster than the engine alone empties it
        self.manifold_kpa += (settled - before) * (1.0 - exp(-dt * (rate + 12.0)))
        self.engine_flow = swallow * self.manifold_kpa
        in_manifold = (self.manifold_kpa - before) * volume_l * 1e-3 / (GAS * self.charge_k) / dt
        self.stored_kg_s = in_manifold
        inside = self.before_throttle_kpa if self.turbo is not None else self.manifold_kpa
        self.leak_flow = orifice_flow(inside, ambient_kpa, self.charge_k, self._leak)
        self.inlet_flow = max(self.engine_flow + self.leak_flow + in_manifold, 1e-4)

    def _turbo_step(
        self,
        dt: float,
        rpm: float,
        pedal: float,
        position: float,
        inlet_kpa: float,
        inlet_k: float,
        outlet_kpa: float,
        exhaust_flow: float,
        exhaust_k: float,
    ) -> None:
        turbo, control = self.turbo, self.control
        assert turbo is not None
        assert control is not None
        boost_kpa = turbo.pipe_kpa - self.air.pressure_kpa
        self.target_kpa = control.target_kpa(rpm, pedal)
        ambient_kpa = self.air.pressure_kpa
        demand = (inlet_kpa, inlet_k, exhaust_flow, exhaust_k, outlet_kpa, ambient_kpa)
        opening = control.step(dt, self.target_kpa, boost_kpa, demand)
        self.duty = control.duty
        released = not self.engine.compression_ignition and position < 0.08
        turbo.step(
            dt,
            inlet_kpa,
            inlet_k,
            self.inlet_flow,
            exhaust_flow,
            exhaust_k,
            outlet_kpa,
            opening,
            released,
        )
        self.before_throttle_kpa = turbo.pipe_kpa
        self.compressor_out_k = turbo.outlet_k
        self.port_back_kpa = turbo.before_turbine_kpa

    def _blower_takes(self, rpm: float, ratio: float, temperature_k: float) -> float:
        """Flow through the blower per kPa before it."""
        blower = self.engine.blower
        assert blower is not None
        slip = self.condition.belt_slip * min(max(ratio - 1.05, 0.0) / 0.4, 1.0)
        turns = rpm * blower.ratio * (1.0 - slip) / 60.0
        kept = max(0.95 - blower.leakage * (ratio - 1.0), 0.4)
        return kept * blower.displacement_l * 1e-3 * turns / (GAS * temperature_k)

    def _blower_step(
        self,
        dt: float,
        rpm: float,
        upstream: float,
        inlet_k: float,
        area: float,
        swallow: float,
        wind: float,
    ) -> float:
        """The manifold's settled pressure; a bypass keeps it low at part load."""
        blower = self.engine.blower
        assert blower is not None
        before = max(self.before_throttle_kpa, 15.0)
        ratio = max(self.manifold_kpa / before, 1.0)
        takes = self._blower_takes(rpm, ratio, inlet_k)
        before = behind_opening(upstream, takes, area)
        closed = min(max((before / upstream - 0.80) / 0.12, 0.0), 1.0)  # of the bypass, by vacuum
        leak = self._leak / sqrt(self.charge_k) * 0.7
        pumped = before * takes / (swallow + leak)
        settled = max(before + closed * (pumped - before), before * min(closed + 0.6, 1.0))
        if closed < 1.0:  # a bypassed blower takes no more than the engine does
            free = behind_opening(upstream, swallow, area)
            settled = free + closed * (settled - free)
        self.before_throttle_kpa = before
        ratio = max(settled / before, 1.0)
        self.compressor_out_k = compressed_k(inlet_k, ratio, blower.efficiency)
        self.charge_k = self._cooler.step(
            dt, self.engine_flow, self.compressor_out_k, self.ambient_k, wind
        )
        self.blower_kw = self.engine_flow * HEAT_AIR * (self.compressor_out_k - inlet_k) / 0.9
        return settled
