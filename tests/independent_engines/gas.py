"""Air and exhaust as ideal gases, and the few laws of flow that the model rests on.

Pressures in kPa, temperatures in K, flows in kg/s.
"""

from math import sqrt
from typing import Final

GAS: Final = 0.287  # kJ/(kg K)
HEAT_AIR: Final = 1.005  # kJ/(kg K)
HEAT_EXHAUST: Final = 1.15
AIR_EXPONENT: Final = 0.4 / 1.4
EXHAUST_EXPONENT: Final = 0.33 / 1.33
ZERO_C: Final = 273.15


def swallowing(filling: float, displacement_l: float, rpm: float, temperature_k: float) -> float:
    """Flow into a four-stroke per kPa in its manifold (speed-density)."""
    return filling * displacement_l * 1e-3 * rpm / 120.0 / (GAS * temperature_k)


def behind_opening(upstream_kpa: float, taken: float, opening: float) -> float:
    """Pressure behind an opening from which `taken` kg/s per kPa are drawn.

    The flow function of an orifice as an ellipse, opening * sqrt(p1^2 - p2^2): within some per
    cent of Saint-Venant's, and solvable.
    """
    return upstream_kpa / sqrt(1.0 + (taken / opening) ** 2)


def before_opening(
    downstream_kpa: float, flow: float, temperature_k: float, opening: float
) -> float:
    """Pressure before an opening through which the flow goes; opening in kg/s sqrt(K) per kPa."""
    return sqrt(downstream_kpa * downstream_kpa + (flow * sqrt(temperature_k) / opening) ** 2)


def compressed_k(inlet_k: float, ratio: float, efficiency: float) -> float:
    """Temperature behind a compressor of that isentropic efficiency."""
    return inlet_k * (1.0 + (float(max(ratio, 1.0) ** AIR_EXPONENT) - 1.0) / efficiency)


def expansion_work(inlet_k: float, ratio: float, efficiency: float) -> float:
    """kJ/kg that a turbine takes out of exhaust expanded by the ratio."""
    return HEAT_EXHAUST * inlet_k * efficiency * (1.0 - float(max(ratio, 1.0) ** -EXHAUST_EXPONENT))


def orifice_flow(inside_kpa: float, outside_kpa: float, temperature_k: float, area: float) -> float:
    """Flow out of a hole; area in kg/s sqrt(K) per kPa."""
    if inside_kpa <= outside_kpa:
        return 0.0
    return area * sqrt(inside_kpa**2 - outside_kpa**2) / sqrt(temperature_k)
