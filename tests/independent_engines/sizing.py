"""Turbos that fit an engine: speed from the head, wheel from the flow, turbine from the balance."""

from math import pi, sqrt

from independent_engines.design import Turbo
from independent_engines.gas import (
    AIR_EXPONENT,
    EXHAUST_EXPONENT,
    GAS,
    HEAT_AIR,
    HEAT_EXHAUST,
    swallowing,
)

INLET_K = 298.0
EXHAUST_K = 1_080.0
CHARGE_K = 320.0


def _tip_m_s(gauge_kpa: float, air_kpa: float = 100.0) -> float:
    """Speed of the wheel's tip at which a compressor holds that boost."""
    ratio = (air_kpa + 2.0 + gauge_kpa) / (air_kpa - 2.0)
    head = HEAT_AIR * INLET_K * (ratio**AIR_EXPONENT - 1.0) * 1e3
    return float(sqrt(head / 0.52))


def wheel_rpm(turbo: Turbo, gauge_kpa: float, air_kpa: float) -> float:
    """Shaft speed at that boost in that air."""
    return 60.0 * _tip_m_s(gauge_kpa, air_kpa) / (pi * turbo.wheel_m)


def turbo_for(
    displacement_l: float,
    filling: float,
    rated_rpm: float,
    rated_kpa: float,
    full_rpm: float,
    full_kpa: float,
    efficiency: float = 0.75,
    exhaust_k: float = EXHAUST_K,
    guide_vanes: bool = False,
    inertia_share: float = 1.0,
) -> Turbo:
    """The turbo that just reaches full_kpa (gauge) at full_rpm with its gate closed.

    rated_kpa: gauge, at rated speed. The gate is wide enough for rated speed.
    """
    rated = swallowing(filling, displacement_l, rated_rpm, CHARGE_K) * (100.0 + rated_kpa)
    most_kpa = max(rated_kpa, full_kpa)
    tip = _tip_m_s(most_kpa)
    density = 98.0 / (GAS * INLET_K)
    wheel = sqrt(rated / (density * pi / 4.0 * tip * 0.150))
    inertia = 2.2e-5 * (wheel / 0.055) ** 5 * inertia_share
    turbine_efficiency = 0.68
    flow = swallowing(filling, displacement_l, full_rpm, CHARGE_K) * (100.0 + full_kpa)
    ratio = (100.0 + full_kpa) / 99.0
    taken = HEAT_AIR * INLET_K * (ratio**AIR_EXPONENT - 1.0) / (0.95 * (efficiency - 0.02))
    expanded = min(taken / (HEAT_EXHAUST * exhaust_k * turbine_efficiency * 1.06), 0.45)
    turbine_ratio = (1.0 - expanded) ** (-1.0 / EXHAUST_EXPONENT)
    before = 103.0 * turbine_ratio
    area = flow * 1.07 * sqrt(exhaust_k) / sqrt(before**2 - 103.0**2)
    wide = 3.2 * rated / flow
    return Turbo(
        wheel_m=wheel,
        inertia_kg_m2=inertia,
        head=0.62,
        widest_flow=0.21,
        compressor_efficiency=efficiency,
        turbine_efficiency=turbine_efficiency,
        turbine_flow=area,
        gate_flow=area * wide * 0.6,
        spring_kpa=0.45 * min(rated_kpa, full_kpa),
        guide_vanes=guide_vanes,
    )
