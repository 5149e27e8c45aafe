"""Air through a turbocharged engine: textbook relations, as pure functions over arrays.

Pressures are absolute, in kPa; gauge pressures have the station's barometric pressure added first.
Kelvin is degrees Celsius plus 273.15. The relations are in any textbook of engines (Heywood,
Internal Combustion Engine Fundamentals, chapters 2 and 6); check values with their sources are in
tests/published.
"""

from dataclasses import dataclass
from typing import Final, TypeVar

from decode.samples import FloatArray

KELVIN: Final = 273.15
GAS_CONSTANT_J_KG_K: Final = 287.05  # dry air
HEAT_RATIO: Final = 1.4  # of dry air near 300 K
REVOLUTIONS_PER_CYCLE: Final = 2  # four-stroke

Number = TypeVar("Number", float, FloatArray)


@dataclass(frozen=True, slots=True)
class Reference:
    """The inlet state a compressor map is drawn for; every supplier has its own."""

    temperature_k: float = 298.15
    pressure_kpa: float = 101.325


def pressure_ratio(outlet_kpa: Number, inlet_kpa: Number) -> Number:
    """Outlet over inlet. The inlet is ambient less what filter and ducts take (2 to 6 kPa)."""
    return outlet_kpa / inlet_kpa


def compressor_outlet_degc(inlet_degc: Number, ratio: Number, efficiency: Number) -> Number:
    """T1 (1 + (PR^((g-1)/g) - 1) / efficiency), isentropic efficiency as a fraction."""
    rise: Number = (ratio ** ((HEAT_RATIO - 1) / HEAT_RATIO) - 1) / efficiency
    return (inlet_degc + KELVIN) * (1 + rise) - KELVIN


def compressor_efficiency(inlet_degc: Number, outlet_degc: Number, ratio: Number) -> Number:
    """Isentropic temperature rise over the one measured, as a fraction."""
    ideal: Number = ratio ** ((HEAT_RATIO - 1) / HEAT_RATIO) - 1
    return (inlet_degc + KELVIN) * ideal / (outlet_degc - inlet_degc)


def cooler_effectiveness(outlet_degc: Number, charge_degc: Number, ambient_degc: Number) -> Number:
    """(T_outlet - T_charge) / (T_outlet - T_ambient): 1 cools to ambient, 0 not at all."""
    return (outlet_degc - charge_degc) / (outlet_degc - ambient_degc)


def speed_density_g_s(
    volumetric_efficiency: Number,
    displacement_l: float,
    engine_speed_rpm: Number,
    manifold_kpa: Number,
    charge_degc: Number,
) -> Number:
    """Air mass flow VE V_d n / (2 x 60) p / (R T) of a four-stroke, in g/s."""
    cycles_per_s = engine_speed_rpm / (60 * REVOLUTIONS_PER_CYCLE)
    density_g_l = manifold_kpa / (GAS_CONSTANT_J_KG_K * (charge_degc + KELVIN)) * 1000
    return volumetric_efficiency * displacement_l * cycles_per_s * density_g_l


def volumetric_efficiency(
    flow_g_s: Number,
    displacement_l: float,
    engine_speed_rpm: Number,
    manifold_kpa: Number,
    charge_degc: Number,
) -> Number:
    """Measured flow over that of cylinders filled at manifold state; the inverse of the above."""
    cycles_per_s = engine_speed_rpm / (60 * REVOLUTIONS_PER_CYCLE)
    density_g_l = manifold_kpa / (GAS_CONSTANT_J_KG_K * (charge_degc + KELVIN)) * 1000
    return flow_g_s / (displacement_l * cycles_per_s * density_g_l)


def corrected_flow(
    flow: Number, inlet_degc: Number, inlet_kpa: Number, reference: Reference
) -> Number:
    """Flow as the compressor map counts it: m sqrt(T1/T_ref) (p_ref/p1), in the flow's own unit."""
    root: Number = ((inlet_degc + KELVIN) / reference.temperature_k) ** 0.5
    return flow * root * (reference.pressure_kpa / inlet_kpa)


def corrected_speed(speed: Number, inlet_degc: Number, reference: Reference) -> Number:
    """Turbo speed as the compressor map counts it: N sqrt(T_ref/T1)."""
    root: Number = (reference.temperature_k / (inlet_degc + KELVIN)) ** 0.5
    return speed * root
