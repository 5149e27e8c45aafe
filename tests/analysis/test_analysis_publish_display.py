"""Units, words, colours: what people read is right, and can be read by everybody."""

import re
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest

import analysis.publish.page as page
from analysis.judging.limits_file import default_limits
from analysis.model.findings import Severity
from analysis.phrases.reader import HOUSE_READER
from analysis.phrases.units import Units, symbol
from analysis.publish.report.content import days
from analysis.publish.report.palette import COLOURS, DASHES, line_styles
from analysis.publish.wording.display import amount, local_minute, shown, verdict_word
from decode.quantities import Quantity

LOOK = Path(page.__path__[0], "static", "look.css").read_text("utf-8")
# Simulation of missing red and green cones, linear RGB: Machado, Oliveira, Fernandes 2009, table 1.
PROTAN = np.array(
    [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ]
)
DEUTAN = np.array(
    [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ]
)
# sRGB (IEC 61966-2-1) to XYZ, D65.
XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])


def linear(colour: str) -> np.ndarray:
    coded = np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)]) / 255
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def contrast(one: str, other: str) -> float:
    """WCAG 2.2."""
    lightness = sorted(float(XYZ[1] @ linear(colour)) for colour in (one, other))
    return (lightness[1] + 0.05) / (lightness[0] + 0.05)


def lab(rgb: np.ndarray) -> np.ndarray:
    """CIE 1976 L*a*b*."""
    x, y, z = (
        np.cbrt(v) if v > 0.008856 else 7.787 * v + 16 / 116
        for v in (XYZ @ np.clip(rgb, 0, 1)) / (XYZ @ np.ones(3))
    )
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


def token(name: str) -> str:
    found = re.search(rf"--{name}: (#[0-9a-f]{{6}})", LOOK)
    assert found is not None, f"look.css names no --{name}"
    return found[1]


@pytest.mark.parametrize(
    ("text", "ground"),
    [
        ("ink", "paper"), ("ink", "ground"), ("soft", "paper"), ("soft", "ground"),
        ("calm", "paper"), ("paper", "calm"), ("ink", "look"), ("paper", "stop"), ("paper", "ink"),
    ],
)  # fmt: skip
def test_every_pair_of_text_and_ground_has_7_to_1(text: str, ground: str) -> None:
    assert contrast(token(text), token(ground)) >= 7.0


@pytest.mark.parametrize("matrix", [np.eye(3), PROTAN, DEUTAN], ids=["full", "protan", "deutan"])
def test_states_and_neighbouring_curves_differ_without_red_and_green(matrix: np.ndarray) -> None:
    states = [token(name) for name in ("calm", "look", "stop")]
    pairs = [*combinations(states, 2), *pairwise(COLOURS)]
    for one, other in pairs:
        distance = np.linalg.norm(lab(matrix @ linear(one)) - lab(matrix @ linear(other)))
        assert distance > 20, f"{one} and {other} differ by {distance:.0f} only"


def test_curves_stand_out_from_the_paper() -> None:
    assert min(contrast(colour, "#ffffff") for colour in COLOURS) >= 4.5


def test_stages_differ_by_colour_and_pulls_of_a_stage_by_dash() -> None:
    first, second, third = line_styles(["a", "a", "b"])
    assert (first.colour, first.dash) == (COLOURS[0], DASHES[0])
    assert (second.colour, second.dash) == (COLOURS[0], DASHES[1])
    assert (third.colour, third.dash) == (COLOURS[1], DASHES[0])


@pytest.mark.parametrize(
    ("house", "chosen", "value", "text"),
    [
        ("kPa", "psi", 100.0, "14.5 psi"),
        ("kPa", "bar", 100.0, "1.00 bar"),
        ("degC", "degF", 100.0, "212 °F"),
        ("kW", "hp", 100.0, "134.1 hp"),
        ("kW", "metric hp", 100.0, "136.0 metric hp"),
        ("Nm", "lbf ft", 100.0, "74 lbf·ft"),
        ("km/h", "mph", 100.0, "62 mph"),
        ("rpm", "psi", 6500.0, "6500 rpm"),
    ],
)
def test_a_value_is_shown_in_the_chosen_unit(
    house: str, chosen: str, value: float, text: str
) -> None:
    assert shown(house, Units.parse(chosen)).text(value) == text


def test_a_difference_of_temperatures_takes_no_offset_and_no_minus_zero() -> None:
    assert shown("degC", Units.parse("degF")).difference(10.0) == "+18 °F"
    assert shown("kW", Units()).difference(-0.01) == "+0.0 kW"


def test_an_unknown_value_is_a_dash_never_a_number() -> None:
    assert shown("kW", Units()).text(None) == "–"


def test_rail_pressure_is_shown_in_few_digits() -> None:
    assert shown("kPa", Units(), Quantity.FUEL_PRESSURE_HIGH).text(20106.0) == "20.1 MPa"
    assert shown("kPa", Units.parse("bar"), Quantity.FUEL_PRESSURE_HIGH).text(20106.0) == "201 bar"


def test_units_survive_the_cookie_and_nonsense_is_ignored() -> None:
    units = Units(pressure="psi", power="hp")
    assert Units.parse(str(units)) == units
    assert Units.parse("furlong,<script>") == Units()


def test_every_severity_has_a_word() -> None:
    assert {verdict_word(severity) for severity in Severity} == {
        "healthy", "look closer", "stop", "not judged"
    }  # fmt: skip
    assert symbol("degC") == "°C"


def test_a_difference_of_temperatures_takes_the_factor_alone() -> None:
    fahrenheit = Units(temperature="degF")
    assert amount(38.1, "K", fahrenheit) == "68.6 °F"
    assert shown("K", fahrenheit).text(10.0) == "18 °F"


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (100.0, "kPa", "14.5 psi"),
        (100.0, "degC", "212 °F"),
        (6.5, "deg", "6.5°"),
        (5.3, "kPa", "0.769 psi"),
        (20_000.0, "kPa", "2900 psi"),
        (7.0, "K", "12.6 °F"),
        (1.5, "kPa per 1000 rpm", "1.5 kPa per 1000 rpm"),
        (None, "kPa", ""),
    ],
)
def test_what_a_finding_carries_is_shown_in_the_users_unit(
    value: float | None, unit: str, text: str
) -> None:
    assert amount(value, unit, Units(pressure="psi", temperature="degF")) == text


def test_every_amount_that_a_limit_names_has_its_unit_behind_it() -> None:
    """`3 and 8 kPa` would be read as `3 and 1.2 psi`; only `between 3 and 8 kPa` is understood."""
    without = re.compile(r"(?<!between )(?<![\d.])[\d.]+ (and|or) [\d.]+ (kPa|MPa|degC|K|Nm|kW)\b")
    limits = default_limits().by_name.values()
    assert not [limit for limit in limits if without.search(f"{limit.origin}; {limit.meaning}")]


@pytest.fixture
def evening_in_denver(monkeypatch: pytest.MonkeyPatch) -> Iterator[datetime]:
    """Half past five in the evening there, when it is the next day by UTC."""
    monkeypatch.setenv("TZ", "America/Denver")
    time.tzset()
    yield datetime(2026, 11, 27, 0, 30, tzinfo=UTC)
    monkeypatch.undo()
    time.tzset()


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone cannot be changed there")
def test_times_are_those_of_the_workshops_clock(evening_in_denver: datetime) -> None:
    assert local_minute(evening_in_denver) == "2026-11-26 17:30"
    assert days([evening_in_denver], HOUSE_READER) == "2026-11-26"
