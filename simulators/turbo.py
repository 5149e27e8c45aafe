"""The turbocharger: a wheel that the exhaust drives and the charge air brakes."""

import math
from typing import Final

from simulators.car import TurboModel

CP_AIR: Final = 1005.0  # J/(kg K), dry air near 300 K
CP_EXHAUST: Final = 1150.0  # J/(kg K), burnt gas near 1100 K (Heywood, fig. 4-10)
COMPRESSION: Final = 0.2857  # (g - 1) / g, g 1.4
EXPANSION: Final = 0.25  # (g - 1) / g, g 1.33
WORK_FACTOR: Final = 0.62  # enthalpy rise over tip speed squared, backswept wheel
DESIGN_TIP_MS: Final = 430.0  # tip speed at pressure ratio 2.4
MECHANICAL: Final = 0.96
# Published maps of small compressors keep their best efficiency up to a pressure ratio of about 3
# and still give 0.65 to 0.68 at 3.5; from memory, no single source.
FAST_TIP: Final = 1.3  # times the design tip speed squared; beyond it efficiency is lost ...
FAST_LOSS: Final = 0.35  # ... by so much a further unit
CHOKED: Final = 2.6  # the most the expansion ratio exceeds 1
WASTEGATE_LAG_S: Final = 0.10  # solenoid and actuator
RELIEF_SHARE: Final = 0.7  # of rated flow, through the recirculation valve on a lift
FURTHEST: Final = 1.2  # from the best flow, as a share of it; no efficiency falls beyond that
STANDING_TIP2: Final = 2500.0  # m2/s2, added so that a standing wheel has a flow coefficient
HOT_EXHAUST_K: Final = 1100.0  # at which TurboModel.turbine_flow_gs is meant ...
OUTLET_KPA: Final = 100.0  # ... into this pressure
IDLE_TIP_MS: Final = 60.0
IDLE_OUTLET_K: Final = 300.0
RPM_RAD_S: Final = 9.549297
NARROW: Final = 0.30  # how quickly compressor efficiency falls away from its best flow


def pressure_ratio(tip2: float, efficiency: float, inlet_k: float) -> float:
    """Of the compressor at tip speed squared (m2/s2): isentropic share of the wheel's work."""
    rise: float = efficiency * WORK_FACTOR * tip2 / (CP_AIR * inlet_k)
    return math.pow(1.0 + rise, 3.5)


def tip2_for(ratio: float, efficiency: float, inlet_k: float) -> float:
    """The inverse of pressure_ratio."""
    return (math.pow(ratio, COMPRESSION) - 1.0) * CP_AIR * inlet_k / (efficiency * WORK_FACTOR)


def compressor_efficiency(model: TurboModel, flow_gs: float, tip2: float) -> float:
    """Best at the rated flow for the tip speed, falling to both sides."""
    coefficient = (flow_gs / model.rated_flow_gs) * DESIGN_TIP_MS / math.sqrt(tip2 + STANDING_TIP2)
    away = min(abs(coefficient - 1.0), FURTHEST)
    fast = max(0.0, tip2 / DESIGN_TIP_MS**2 - FAST_TIP)
    return model.compressor_efficiency * (1.0 - NARROW * away * away) / (1.0 + FAST_LOSS * fast)


def expansion_ratio(model: TurboModel, flow_gs: float, exhaust_k: float, back_kpa: float) -> float:
    """Over the turbine, which is a nozzle: the drop grows with flow squared."""
    hot = math.sqrt(exhaust_k / HOT_EXHAUST_K)
    relative = flow_gs / model.turbine_flow_gs * hot * OUTLET_KPA / back_kpa
    return 1.0 + min(relative * relative, CHOKED)


def turbine_w(model: TurboModel, flow_gs: float, exhaust_k: float, ratio: float) -> float:
    """Shaft power of the turbine."""
    drop = 1.0 - math.pow(ratio, -EXPANSION)
    return MECHANICAL * model.turbine_efficiency * flow_gs * 1e-3 * CP_EXHAUST * exhaust_k * drop


class Turbo:
    """State: tip speed squared, wastegate opening. All pressures absolute kPa, kelvin, g/s."""

    def __init__(self, model: TurboModel, ambient_kpa: float) -> None:
        self.model = model
        self.tip2 = IDLE_TIP_MS**2
        self.wastegate = 0.0
        self._commanded = 0.0
        self.outlet_kpa = ambient_kpa
        self.outlet_k = IDLE_OUTLET_K
        self.expansion = 1.0
        self._per_joule = 2.0 * model.wheel_radius_m**2 / model.inertia_kg_m2

    def move_wastegate(
        self, step_s: float, *, wanted: float, least: float, most: float, stick: float
    ) -> None:
        """The actuator follows with a lag; a sticking one only moves when pulled beyond stick."""
        if abs(wanted - self._commanded) > stick:
            self._commanded = wanted
        self.wastegate += (self._commanded - self.wastegate) * min(1.0, step_s / WASTEGATE_LAG_S)
        self.wastegate = min(max(self.wastegate, least), most)

    def step(
        self,
        step_s: float,
        *,
        air_gs: float,
        inlet_kpa: float,
        inlet_k: float,
        exhaust_gs: float,
        exhaust_k: float,
        back_kpa: float,
    ) -> None:
        """Move the wheel on; then outlet_kpa, outlet_k and expansion are new."""
        model = self.model
        driven_gs = exhaust_gs * (1.0 - model.wastegate_bypass * self.wastegate)
        self.expansion = expansion_ratio(model, driven_gs, exhaust_k, back_kpa)
        power_w = turbine_w(model, driven_gs, exhaust_k, self.expansion)
        braking = self._per_joule * WORK_FACTOR * air_gs * 1e-3  # implicit: stable at any step
        self.tip2 = (self.tip2 + step_s * self._per_joule * power_w) / (1.0 + step_s * braking)
        efficiency = compressor_efficiency(model, air_gs, self.tip2)
        self.outlet_kpa = inlet_kpa * pressure_ratio(self.tip2, efficiency, inlet_k)
        self.outlet_k = inlet_k + WORK_FACTOR * self.tip2 / CP_AIR

    @property
    def speed_rpm(self) -> float:
        """Of the shaft."""
        return math.sqrt(self.tip2) / self.model.wheel_radius_m * RPM_RAD_S
