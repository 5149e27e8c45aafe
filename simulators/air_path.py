"""The way of the air: filter, compressor, cooler, pipes, throttle, manifold; and of the exhaust."""

import math
from typing import Final

from analysis.physics.thermodynamics import KELVIN
from simulators.car import AirModel, CarModel
from simulators.charge_air import ChargeCooler, IntakeAir
from simulators.engine import Engine
from simulators.faults import Effects
from simulators.full_load import FullLoadCurves
from simulators.turbo import RELIEF_SHARE, Turbo

# Where no source stands, the figure was set by hand so that the cars of cars.py behave as such
# cars do.
THROTTLE_FLOW: Final = 4.0  # wide open, over what the engine swallows at rated speed
THROTTLE_SHAPE: Final = 1.7  # area over opening
UNTHROTTLED_FLOW: Final = 40.0  # compression ignition: nothing in the way
MANIFOLD_VOLUMES: Final = 1.6  # manifold volume over displacement
CLOSED_RATIO: Final = 0.15  # manifold over upstream pressure: what leaks past a shut throttle
PIPE_LAG_S: Final = 0.06  # charge pipes and cooler fill
CHARGE_LAG_S: Final = 0.1  # of the charge's temperature: the walls of the pipes
LARGEST_FLOW_SQUARE: Final = 2.5  # flow over rated flow, squared; above it no loss grows further
LEAK_REFERENCE_KPA: Final = 100.0  # boost at which Effects.leak_share is the share of rated flow
RELIEF_KPA: Final = 25.0  # before over behind the throttle: the recirculation valve opens ...
RELIEF_THROTTLE_PERCENT: Final = 30.0  # ... on a lift
SLOWEST_RPM: Final = 300.0  # below it a filling time would have no end
IDLE_MANIFOLD_KPA: Final = 35.0  # a session begins with a warm engine at idle
IDLE_AIR_GS: Final = 2.0
IDLE_CHARGE_OVER_AMBIENT_K: Final = 5.0


class AirPath:
    """State: pressures, temperatures and flows from the filter to the tail pipe.

    Pressures absolute but boost_kpa, which is gauge and before the throttle. inlet: before the
    compressor. charge: behind cooler and pipes. exhaust: before the turbine, back: behind it.
    """

    def __init__(
        self,
        car: CarModel,
        air: AirModel,
        full_load: FullLoadCurves,
        effects: Effects,
        engine: Engine,
        warm_core_k: float,
    ) -> None:
        self.car = car
        self.rated_air_gs = full_load.rated_air_gs
        self.turbo = Turbo(car.turbo, air.barometric_kpa) if car.turbo else None
        self.ambient_k = air.temperature_degc + KELVIN
        self.barometric_kpa = air.barometric_kpa
        self.inlet_k = self.ambient_k
        self.inlet_flow_gs = IDLE_AIR_GS
        self.boost_kpa = 0.0
        self.charge_k = self.ambient_k + IDLE_CHARGE_OVER_AMBIENT_K
        self.manifold_kpa = IDLE_MANIFOLD_KPA
        self.air_gs = IDLE_AIR_GS
        self.exhaust_kpa = air.barometric_kpa
        self.back_kpa = air.barometric_kpa
        self._cooler = (
            ChargeCooler(car.cooler, self.ambient_k + warm_core_k) if car.cooler else None
        )
        self._intake = IntakeAir()
        self._engine = engine
        self._effects = effects

    @property
    def charge_degc(self) -> float:
        """Temperature of the charge."""
        return self.charge_k - KELVIN

    @property
    def extra_back_kpa(self) -> float:
        """Back-pressure beyond that of the healthy exhaust system at rated flow."""
        return self.back_kpa - self.barometric_kpa - self.car.exhaust_rise_kpa

    def recalibrate(self, car: CarModel, full_load: FullLoadCurves) -> None:
        """The same hardware goes on with another calibration."""
        self.car = car
        self.rated_air_gs = full_load.rated_air_gs

    def step(
        self,
        step_s: float,
        *,
        engine_rpm: float,
        throttle_percent: float,
        wastegate_opening: float,
        fuel_gs: float,
        exhaust_degc: float,
    ) -> None:
        """Flow and states move on by one step."""
        car, effects = self.car, self._effects
        flow_share = self.air_gs / self.rated_air_gs
        rise_k = self._intake.step(step_s, flow_share)
        self.inlet_k = self.ambient_k + rise_k + effects.intake_hot_k
        flow_square = flow_share * flow_share
        losses = min(flow_square, LARGEST_FLOW_SQUARE)
        inlet_kpa = self.barometric_kpa - car.intake_drop_kpa * effects.intake_drop * losses
        self.back_kpa = self.barometric_kpa + car.exhaust_rise_kpa * effects.exhaust_rise * losses
        self.inlet_flow_gs = self.air_gs
        if self.turbo is None:
            self.exhaust_kpa = self.back_kpa
            upstream_kpa, upstream_k = inlet_kpa, self.inlet_k
        else:
            self._compress(
                self.turbo,
                step_s,
                inlet_kpa=inlet_kpa,
                throttle_percent=throttle_percent,
                wastegate_opening=wastegate_opening,
                fuel_gs=fuel_gs,
                exhaust_degc=exhaust_degc,
            )
            upstream_kpa, upstream_k = self._cooled(self.turbo, step_s, flow_square)
        rise_kpa = upstream_kpa - self.barometric_kpa - self.boost_kpa
        self.boost_kpa += rise_kpa * min(1.0, step_s / PIPE_LAG_S)
        self.charge_k += (upstream_k - self.charge_k) * min(1.0, step_s / CHARGE_LAG_S)
        self._fill(step_s, engine_rpm, throttle_percent)

    def _compress(
        self,
        turbo: Turbo,
        step_s: float,
        *,
        inlet_kpa: float,
        throttle_percent: float,
        wastegate_opening: float,
        fuel_gs: float,
        exhaust_degc: float,
    ) -> None:
        """The turbocharger moves on; what leaks behind it has to be compressed too."""
        effects = self._effects
        leaking_kpa = max(self.boost_kpa, 0.0)
        leak_gs = effects.leak_share * self.rated_air_gs * leaking_kpa / LEAK_REFERENCE_KPA
        flow_gs = self.air_gs + leak_gs
        self.inlet_flow_gs = flow_gs
        relieved = self.boost_kpa + self.barometric_kpa > self.manifold_kpa + RELIEF_KPA
        if relieved and throttle_percent < RELIEF_THROTTLE_PERCENT:
            flow_gs = max(flow_gs, RELIEF_SHARE * self.rated_air_gs)
        turbo.move_wastegate(
            step_s,
            wanted=wastegate_opening,
            least=effects.wastegate_least,
            most=effects.wastegate_most,
            stick=effects.wastegate_stick,
        )
        turbo.step(
            step_s,
            air_gs=flow_gs,
            inlet_kpa=inlet_kpa,
            inlet_k=self.inlet_k,
            exhaust_gs=self.air_gs + fuel_gs,
            exhaust_k=exhaust_degc + KELVIN,
            back_kpa=self.back_kpa,
        )
        self.exhaust_kpa = self.back_kpa * turbo.expansion

    def _cooled(self, turbo: Turbo, step_s: float, flow_square: float) -> tuple[float, float]:
        """Pressure (kPa) and temperature (kelvin) behind the cooler, where there is one."""
        cooler = self._cooler
        if cooler is None:
            return turbo.outlet_kpa, turbo.outlet_k
        cooled_k = cooler.step(
            step_s,
            flow_gs=self.inlet_flow_gs,
            hot_k=turbo.outlet_k,
            ambient_k=self.ambient_k,
            effect=self._effects.cooler_effect,
            fan=self._effects.cooler_fan,
        )
        return turbo.outlet_kpa - cooler.model.pressure_drop_kpa * flow_square, cooled_k

    def _fill(self, step_s: float, engine_rpm: float, throttle_percent: float) -> None:
        """Throttle as an orifice against the engine as a pump; then the manifold's lag."""
        opening = min(max(throttle_percent / 100.0, 0.0), 1.0)
        rpm = max(engine_rpm, SLOWEST_RPM)
        speed_share = rpm / self.car.engine.limiter_rpm
        flow = THROTTLE_FLOW * math.pow(opening, THROTTLE_SHAPE) / speed_share
        if self.car.diesel:
            flow = UNTHROTTLED_FLOW
        # psi(r) = sqrt(1 - (2 r - 1)^2) above half, choked below; solved for flow psi(r) = r
        ratio = flow if flow < 0.5 else 4.0 * flow * flow / (1.0 + 4.0 * flow * flow)
        ratio = max(ratio, CLOSED_RATIO)
        lag_s = 120.0 * MANIFOLD_VOLUMES / (rpm * self._engine.filling(engine_rpm))
        wanted_kpa = (self.barometric_kpa + self.boost_kpa) * ratio
        self.manifold_kpa += (wanted_kpa - self.manifold_kpa) * min(1.0, step_s / lag_s)
        self.air_gs = self._engine.air_gs(
            engine_rpm, self.manifold_kpa, self.charge_k, self.exhaust_kpa
        )
