"""Compressor, charge cooler and engine air flow against worked examples and CoolProp."""

import pytest
from real_fluids import properties

from analysis.physics.thermodynamics import (
    KELVIN,
    Reference,
    compressor_efficiency,
    compressor_outlet_degc,
    cooler_effectiveness,
    corrected_flow,
    corrected_speed,
    pressure_ratio,
    speed_density_g_s,
    volumetric_efficiency,
)

FAHRENHEIT_110_DEGC = (110 - 32) / 1.8
KPA_PER_PSI = 6.894757


@pytest.mark.parametrize(
    ("inlet", "ratio", "efficiency", "outlet"),
    [
        (25, 2.0, 0.70, 118.3),
        (25, 2.2, 0.72, 129.6),
        (20, 1.8, 0.75, 91.5),
        (30, 2.5, 0.70, 159.6),
        (35, 2.5, 0.70, 166.7),
        (25, 2.0, 1.0, 90.3),
    ],
)
def test_compressor_outlet(inlet: float, ratio: float, efficiency: float, outlet: float) -> None:
    """T2 = T1 (1 + (PR^0.2857 - 1)/eta): textbook, recomputed."""
    found = compressor_outlet_degc(inlet, ratio, efficiency)
    assert found == pytest.approx(outlet, abs=0.06)
    assert compressor_efficiency(inlet, found, ratio) == pytest.approx(efficiency)


@pytest.mark.parametrize("ratio", [1.5, 2.0, 2.5, 3.0])
def test_ideal_compression_agrees_with_coolprops_isentrope(ratio: float) -> None:
    """CoolProp's real air (Lemmon et al. 2000) along constant entropy: within 1 K."""
    entropy = properties("SMASS", "T", 298.15, "P", 1e5, "Air")
    real = properties("T", "SMASS", entropy, "P", ratio * 1e5, "Air") - KELVIN
    assert compressor_outlet_degc(25.0, ratio, 1.0) == pytest.approx(real, abs=1.0)


def test_pressure_ratio_is_of_absolute_pressures() -> None:
    """220 kPa behind 100 or, after the filter, 95 kPa: 2.20 or 2.316. Gauge 30 psi on 11.5 psia, on
    a published calculator page: 3.61."""
    assert pressure_ratio(220.0, 100.0) == pytest.approx(2.20)
    assert pressure_ratio(220.0, 95.0) == pytest.approx(2.316, abs=1e-3)
    assert pressure_ratio(30 + 11.5, 11.5) == pytest.approx(3.609, abs=1e-3)


@pytest.mark.parametrize(
    ("effectiveness", "charge"), [(0.6, 62.3), (0.7, 53.0), (0.8, 43.7), (0.9, 34.3)]
)
def test_cooler_effectiveness(effectiveness: float, charge: float) -> None:
    """Definition read in a charge-air-cooler laboratory report ("ultimate sink is ambient air");
    outlet 118.28 degC over 25 degC ambient, recomputed."""
    assert cooler_effectiveness(118.28, charge, 25.0) == pytest.approx(effectiveness, abs=1e-3)


def test_cooler_effectiveness_published_example() -> None:
    """25 to 22 degC with 20 ambient is 60 %: read on a calculator page."""
    assert cooler_effectiveness(25.0, 22.0, 20.0) == pytest.approx(0.60)


@pytest.mark.parametrize(
    ("filling", "litres", "rpm", "kpa", "degc", "flow"),
    [
        (0.95, 1.6, 5000, 200.0, 40, 140.9),
        (0.95, 2.0, 6000, 200.0, 45, 208.05),
        (0.90, 2.0, 6000, 101.325, 25, 106.55),
    ],
)
def test_speed_density(
    filling: float, litres: float, rpm: float, kpa: float, degc: float, flow: float
) -> None:
    """VE V_d n/120 p/(R T): form read in a published simulation library's documentation (two turns
    a cycle); numbers recomputed."""
    found = speed_density_g_s(filling, litres, rpm, kpa, degc)
    assert found == pytest.approx(flow, abs=0.06)
    assert volumetric_efficiency(found, litres, rpm, kpa, degc) == pytest.approx(filling)


def test_speed_density_uses_the_density_of_real_air() -> None:
    """CoolProp's density at 200 kPa and 45 degC, times swept volume a second: within 0.2 %."""
    density = properties("DMASS", "T", 318.15, "P", 200e3, "Air")
    found = speed_density_g_s(1.0, 2.0, 6000, 200.0, 45.0)
    assert found == pytest.approx(density * 2.0 * 6000 / 120, rel=2e-3)


@pytest.mark.parametrize(
    ("reference", "flow"),
    [
        (Reference(298.0, 100.0), 0.20961),
        (Reference(298.15, 101.325), 0.21239),
        (Reference(288.15, 101.325), 0.21605),
        (Reference(302.8, 96.2), 0.20006),
        (Reference(293.0, 98.1), 0.20738),
    ],
)
def test_corrected_flow_depends_on_the_suppliers_reference(
    reference: Reference, flow: float
) -> None:
    """m sqrt(T1/T_ref) p_ref/p1, 0.200 kg/s at 35 degC and 97 kPa: recomputed (some with 273 for
    273.15); the references lie 8 % apart."""
    assert corrected_flow(0.200, 35.0, 97.0, reference) == pytest.approx(flow, rel=4e-4)


def test_corrected_flow_published_example() -> None:
    """45 lb/min at 110 degF and 11.5 psia, over 528 degR and 14.7 psia: 59.79 lb/min, read on a
    calculator page (recomputed: 59.75)."""
    reference = Reference(528 / 1.8, 14.7 * KPA_PER_PSI)
    found = corrected_flow(45.0, FAHRENHEIT_110_DEGC, 11.5 * KPA_PER_PSI, reference)
    assert found == pytest.approx(59.79, abs=0.06)


@pytest.mark.parametrize(("kelvin", "rpm"), [(298.15, 147_546), (288.15, 145_051)])
def test_corrected_speed(kelvin: float, rpm: float) -> None:
    """N sqrt(T_ref/T1), 150,000 rpm at 35 degC: recomputed."""
    assert corrected_speed(150_000.0, 35.0, Reference(kelvin)) == pytest.approx(rpm, abs=1)
