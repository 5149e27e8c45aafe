"""Humidity and pressure of the day against ASHRAE's tables and two independent formulas."""

import math

import pytest
from real_fluids import humid_air, properties

from analysis.physics.thermodynamics import GAS_CONSTANT_J_KG_K, HEAT_RATIO
from analysis.power.atmosphere import (
    dry_pressure_kpa,
    standard_pressure_kpa,
    station_pressure_kpa,
    vapour_pressure_kpa,
)


@pytest.mark.parametrize(
    ("degc", "pascal"), [(-20, 103.24), (5, 872.6), (25, 3169.7), (50, 12351.3)]
)
def test_saturation_pressure_is_ashraes(degc: float, pascal: float) -> None:
    """2017 ASHRAE Fundamentals, chapter 1, table 3; read in psychrolib's own unit tests, which
    allow 3e-4."""
    assert 1000 * vapour_pressure_kpa(degc, 100) == pytest.approx(pascal, rel=3e-4)


@pytest.mark.parametrize("degc", [5, 15, 25, 35, 45])
def test_saturation_pressure_agrees_with_magnus_and_tetens(degc: float) -> None:
    """Magnus as Alduchov and Eskridge (1996) fitted it (from memory), Tetens as Murray (1967)
    writes it (read): all within half a percent, which is nothing in a correction factor."""
    magnus = 0.61094 * math.exp(17.625 * degc / (degc + 243.04))
    tetens = 0.61078 * 10 ** (7.5 * degc / (degc + 237.3))
    assert vapour_pressure_kpa(degc, 100) == pytest.approx(magnus, rel=5e-3)
    assert vapour_pressure_kpa(degc, 100) == pytest.approx(tetens, rel=5e-3)


@pytest.mark.parametrize(
    ("kpa", "degc", "percent"), [(99, 25, 40), (95, 35, 60), (101.3, 5, 80), (84.5, 20, 30)]
)
def test_vapour_pressure_agrees_with_coolprop(kpa: float, degc: float, percent: float) -> None:
    """CoolProp's humid air (ASHRAE RP-1485, real-gas) with the enhancement factor it includes."""
    pascal = humid_air("P_w", "T", degc + 273.15, "P", 1000 * kpa, "R", percent / 100)
    assert kpa - dry_pressure_kpa(kpa, degc, percent) == pytest.approx(pascal / 1000, rel=6e-3)


def test_dry_pressure_is_total_less_vapour() -> None:
    """p_d = p_b - RH p_ws(t): definition read in Reg. (EU) 134/2014, appendix 2.2."""
    assert dry_pressure_kpa(100, 30, 40) == pytest.approx(98.3016, abs=2e-4)
    assert dry_pressure_kpa(100, 30, 0) == 100


@pytest.mark.parametrize("percent", [-3, 104])
def test_a_humidity_sensor_beyond_its_ends_is_held_at_them(percent: float) -> None:
    held = 0 if percent < 0 else 100
    assert vapour_pressure_kpa(20, percent) == vapour_pressure_kpa(20, held)


def test_sea_level_pressure_at_a_station() -> None:
    """102,484 Pa, 105 m, 17.19 degC: 101,226.5 Pa, read in psychrolib's tests. The weather
    service's 1013.25 hPa is 977.96 hPa at 300 m and 15 degC (recomputed)."""
    assert station_pressure_kpa(102.484, 105, 17.19) == pytest.approx(101.2265, abs=0.001)
    assert station_pressure_kpa(101.325, 300, 15) == pytest.approx(97.796, abs=0.01)


def test_gas_constant_and_heat_ratio_of_dry_air() -> None:
    """CoolProp's air (Lemmon et al., J. Phys. Chem. Ref. Data 29 (2000) 331)."""
    molar = properties("GAS_CONSTANT", "Air") / properties("MOLAR_MASS", "Air")
    assert pytest.approx(molar, rel=1e-4) == GAS_CONSTANT_J_KG_K
    state = ("T", 298.15, "P", 101325, "Air")
    ratio = properties("CPMASS", *state) / properties("CVMASS", *state)
    assert pytest.approx(ratio, abs=0.003) == HEAT_RATIO


@pytest.mark.parametrize(("altitude_m", "kpa"), [(0, 101.325), (500, 95.461), (1000, 89.874)])
def test_the_standard_atmosphere(altitude_m: float, kpa: float) -> None:
    """US Standard Atmosphere 1976: 954.61 hPa at 500 m, 898.74 hPa at 1,000 m (from memory)."""
    assert standard_pressure_kpa(altitude_m) == pytest.approx(kpa, abs=0.01)
