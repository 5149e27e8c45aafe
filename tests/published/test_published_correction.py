"""Atmospheric correction of power against the sources it is published in.

No primary text of SAE J1349, ISO 1585 or DIN 70020 was at hand. Each test says where its numbers
come from: read in the source, read in a secondary source that quotes the standard, or recomputed
from the quoted formula with ASHRAE's saturation pressure.
"""

import pytest

from analysis.model.setup import Air, Car, Ignition, Standard
from analysis.power.atmosphere import (
    Aspiration,
    corrected_fuel_mg_per_l_cycle,
    din_70020,
    dry_pressure_kpa,
    engine_factor,
    iso_1585_compression,
    iso_1585_spark,
    sae_j1349,
    vapour_pressure_kpa,
)
from analysis.power.correction import correction

# barometric kPa, degC, relative humidity %, then: dry kPa, SAE J1349, DIN 70020, ISO 1585 spark,
# f_a naturally aspirated, f_a turbocharged. Recomputed from the formulas as secondary sources quote
# them; the second row is the exact reference of Reg. (EU) 134/2014, appendix 2.2: "total 100 kPa
# and vapour 1 kPa".
DAYS = [
    (99.0, 25, 0, 99.0000, 1.00000, 1.03193, 1.00000, 1.00000, 1.00000),
    (100.0, 25, 31.56, 98.9998, 1.00000, 1.02161, 1.00000, 1.00000, 1.00000),
    (101.325, 15, 50, 100.4723, 0.96303, 0.99119, 0.96253, 0.96208, 0.94032),
    (101.3, 20, 50, 100.1306, 0.97685, 1.00000, 0.97650, 0.97707, 0.96722),
    (100.0, 30, 40, 98.3016, 1.01831, 1.03014, 1.01865, 1.01890, 1.03037),
    (95.0, 35, 60, 91.6233, 1.11622, 1.09327, 1.11932, 1.10577, 1.10928),
    (84.5, 25, 30, 83.5492, 1.21822, 1.20900, 1.22583, 1.18493, 1.12612),
    (102.5, 5, 80, 101.8020, 0.92835, 0.96266, 0.92758, 0.92632, 0.88360),
]


@pytest.mark.parametrize(("kpa", "degc", "rh", "dry", "sae", "din", "iso", "fa", "fa_turbo"), DAYS)
def test_factors_over_the_days_a_workshop_sees(
    kpa: float,
    degc: float,
    rh: float,
    dry: float,
    sae: float,
    din: float,
    iso: float,
    fa: float,
    fa_turbo: float,
) -> None:
    found = dry_pressure_kpa(kpa, degc, rh)
    assert found == pytest.approx(dry, abs=2e-4)
    assert sae_j1349(found, degc) == pytest.approx(sae, abs=1e-5)
    assert din_70020(kpa, degc) == pytest.approx(din, abs=1e-5)
    assert iso_1585_spark(found, degc) == pytest.approx(iso, abs=1e-5)
    assert iso_1585_compression(found, degc, False, 1.0) == pytest.approx(fa, abs=1e-5)
    assert iso_1585_compression(found, degc, True, 1.0) == pytest.approx(fa_turbo, abs=1e-5)


@pytest.mark.parametrize(
    ("dry_hpa", "degc", "factor"), [(990, 25, 1.0000), (970, 30, 1.0344), (1000, 15, 0.9684)]
)
def test_sae_j1349(dry_hpa: float, degc: float, factor: float) -> None:
    """1.180 (990/p_d) sqrt((t+273)/298) - 0.18: quoted from SAE J1349 (June 1990) and, with the
    same numbers, 2004, by two secondary sources."""
    assert sae_j1349(dry_hpa / 10, degc) == pytest.approx(factor, abs=5e-5)


@pytest.mark.parametrize(
    ("kpa", "kelvin", "factor"), [(99, 298, 1.0), (97, 303, 1.0351), (95, 308, 1.0718)]
)
def test_iso_1585_spark(kpa: float, kelvin: float, factor: float) -> None:
    """(99/p_s)^1.2 (T/298)^0.6 of 80/1269/EEC = ISO 1585 = UN R85: exponents from two secondary
    sources, reference state read in Reg. (EU) 134/2014."""
    assert iso_1585_spark(kpa, kelvin - 273) == pytest.approx(factor, abs=5e-5)


def test_din_70020_reference_and_humidity() -> None:
    """(1013/p) sqrt((t+273)/293), total pressure, "humidity plays no role": secondary pages."""
    assert din_70020(101.3, 20) == pytest.approx(1.0)
    assert din_70020(99.0, 25) == pytest.approx(1.0319, abs=5e-5)


@pytest.mark.parametrize(
    ("fuel", "factor"), [(39, 0.3), (40, 0.3), (50, 0.66), (60, 1.02), (65, 1.2), (70, 1.2)]
)
def test_engine_factor(fuel: float, factor: float) -> None:
    """f_m = 0.036 q_c - 1.14 from 40 to 65 mg/(l cycle): UN R85 annex 5, 5.4.2.2, as a third
    party's fixture reproduces it; recomputed."""
    assert engine_factor(fuel) == pytest.approx(factor)


def test_compression_ignition_example() -> None:
    """10 g/s, 2.0 l, 4000 rpm, boost ratio 2.5 at 100 kPa, 30 degC, 40 %: recomputed from UN R85.

    f_m is an exponent: UN R85 supplement 8 calls the printed factor a "long-standing error".
    """
    fuel = corrected_fuel_mg_per_l_cycle(10, 2.0, 4000, 2.5)
    assert fuel == pytest.approx(60)
    dry = dry_pressure_kpa(100, 30, 40)
    assert iso_1585_compression(dry, 30, True, engine_factor(fuel)) == pytest.approx(
        1.03098, abs=1e-5
    )
    assert iso_1585_compression(dry, 30, True, 0.3) == pytest.approx(1.00901, abs=1e-5)


def test_factor_of_a_mountain_workshop_against_the_turbo_diesel() -> None:
    """84.5 kPa: standards lie 19 points apart, why none is a default; recomputed."""
    dry = dry_pressure_kpa(84.5, 25, 30)
    spread = iso_1585_spark(dry, 25) - iso_1585_compression(dry, 25, True, 0.3)
    assert spread == pytest.approx(0.19, abs=0.002)


@pytest.mark.parametrize(("dry_kpa", "factor"), [(93.573, 1.07), (105.172, 0.93)])
def test_where_iso_1585_leaves_its_limits(dry_kpa: float, factor: float) -> None:
    """0.93 to 1.07 (limits from memory, the duty to state it read in EU 134/2014); recomputed."""
    assert iso_1585_spark(dry_kpa, 25) == pytest.approx(factor, abs=1e-5)


@pytest.mark.parametrize("standard", [Standard.SAE_J1349, Standard.ISO_1585])
@pytest.mark.parametrize(
    ("air", "valid"),
    [(Air(101.3, 20, 50), True), (Air(95, 35, 60), False), (Air(102.5, 5, 80), False)],
)
def test_outside_the_limits_the_statement_says_so(
    standard: Standard, air: Air, valid: bool
) -> None:
    found = correction(standard, air, Car(), Aspiration())
    assert found.valid is valid
    assert ("outside the standard's limits" in found.statement.text) is not valid
    assert f"{found.factor:.4f}" in found.statement.text


def test_boost_control_makes_up_for_the_air_itself() -> None:
    """UN R85 supplement 7 (GRPE-70-02, read): a correction on top duplicates it."""
    car = Car(boosted=True, closed_loop_boost=True)
    plain = correction(Standard.NONE, Air(95, 30, 40), car, Aspiration())
    assert plain.factor == 1.0
    assert "UN R85 supplement 7" in plain.statement.text
    chosen = correction(Standard.ISO_1585, Air(97, 28, 40), car, Aspiration())
    assert chosen.factor > 1.0
    assert "over-corrects" in chosen.statement.text


def test_diesel_under_sae_j1349_is_left_uncorrected() -> None:
    """J1349's rationale (read): diesel factors "no longer appropriate for most diesels with
    contemporary control systems"."""
    car = Car(ignition=Ignition.COMPRESSION)
    found = correction(
        Standard.SAE_J1349, Air(95, 25, 40), car, Aspiration(Ignition.COMPRESSION, True)
    )
    assert found.factor == 1.0
    assert not found.valid


@pytest.mark.parametrize(
    ("air", "needs"),
    [
        (Air(None, 25, 40), "barometric pressure"),
        (Air(99, None, 40), "air temperature"),
        (Air(99, 25, None), "relative humidity"),
    ],
)
def test_an_unknown_input_is_never_guessed(air: Air, needs: str) -> None:
    found = correction(Standard.ISO_1585, air, Car(), Aspiration())
    assert (found.factor, found.valid) == (1.0, False)
    assert needs in found.statement.text
    din = correction(Standard.DIN_70020, Air(99, 25, None), Car(), Aspiration())
    assert din.factor == pytest.approx(1.0319, abs=5e-5)


@pytest.mark.parametrize(
    ("change", "percent"), [((0, 1), 0.198), ((1, 0), -1.192)], ids=["a kelvin", "a kilopascal"]
)
def test_sensitivity_of_sae_j1349(change: tuple[float, float], percent: float) -> None:
    """Derivatives at the reference state; recomputed. A probe reading 10 K hot is worth 2 %."""
    small = 1e-3
    step = sae_j1349(99 + change[0] * small, 25 + change[1] * small) - sae_j1349(99, 25)
    assert 100 * step / small == pytest.approx(percent, abs=1e-3)


def test_vapour_at_the_reference_state() -> None:
    """25 degC and 50 %: 1,584.6 Pa by ASHRAE (2017 Fundamentals, chapter 1)."""
    assert vapour_pressure_kpa(25, 50) == pytest.approx(1.5846, abs=2e-4)
