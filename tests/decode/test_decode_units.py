import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from decode.errors import UnitError
from decode.quantities import HOUSE_UNIT
from decode.units import SPELLINGS, allowed_units, convert


@pytest.mark.parametrize(
    ("value", "unit", "house_unit", "expected"),
    [
        # NIST Special Publication 811 (2008), appendix B
        (1.0, "bar", "kPa", 100.0),
        (1.0, "psi", "kPa", 6.894757),
        (1.0, "inHg", "kPa", 3.386389),
        (1.0, "mmHg", "kPa", 0.1333224),
        (1.0, "inH2O", "kPa", 0.2490889),
        (1.0, "atm", "kPa", 101.325),
        (1.0, "kgf/cm2", "kPa", 98.0665),
        (1.0, "lbf ft", "Nm", 1.355818),
        (1.0, "lbf in", "Nm", 0.1129848),
        (1.0, "hp", "kW", 0.7456999),
        (1.0, "metric hp", "kW", 0.7354988),
        (1.0, "mph", "km/h", 1.609344),
        (1.0, "lb/min", "g/s", 7.559873),
        (212.0, "degF", "degC", 100.0),
        (-40.0, "degF", "degC", -40.0),
        (273.15, "K", "degC", 0.0),
        (1.0, "rev/s", "rpm", 60.0),
        (1.0, "rad/s", "rpm", 9.549297),
        (1.0, "krpm", "rpm", 1000.0),
        (1.0, "ratio", "%", 100.0),
        (1.0, "rad", "deg", 57.29578),
        (3.6, "kg/h", "g/s", 1.0),
    ],
)
def test_published_conversions(value: float, unit: str, house_unit: str, expected: float) -> None:
    conversion = convert(unit, house_unit)
    assert conversion.apply(np.array([value]))[0] == pytest.approx(expected, rel=3e-7, abs=1e-12)


def test_the_house_unit_itself_changes_no_bit() -> None:
    for unit in HOUSE_UNIT.values():
        assert convert(unit, unit) == (1.0, 0.0)


def test_every_spelling_resolves_both_ways() -> None:
    for house_unit in SPELLINGS:
        for unit in allowed_units(house_unit):
            there, back = convert(unit, house_unit), convert(house_unit, unit)
            values = np.array([-3.0, 0.0, 250.0])
            np.testing.assert_allclose(back.apply(there.apply(values)), values, atol=1e-9)


@pytest.mark.parametrize(
    ("unit", "house_unit", "message"),
    [
        ("kPaa", "kPa", "names gauge or absolute, which the quantity says"),
        ("degC", "kPa", "does not measure what kPa measures; allowed: kPa, Pa"),
        ("parsec", "km/h", 'unit "parsec" is unknown; allowed: km/h, kph, mph, m/s'),
    ],
)
def test_a_wrong_unit_is_refused_with_the_allowed_ones(
    unit: str, house_unit: str, message: str
) -> None:
    with pytest.raises(UnitError, match=message):
        convert(unit, house_unit)


@given(st.text(max_size=8))
def test_no_word_is_taken_for_a_unit_by_accident(word: str) -> None:
    if word not in SPELLINGS["kPa"]:
        with pytest.raises(UnitError):
            convert(word, "kPa")
