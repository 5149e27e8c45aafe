"""Amounts as people read them: in their unit, as fine as they were, with their decimal sign."""

import pytest

from analysis.phrases.printing import NumberStyle, printed
from analysis.phrases.say import amount, count, listed, rpm, say, significant
from analysis.phrases.statement import Amount
from analysis.phrases.table import sentence
from analysis.phrases.units import HOUSE, Pressure, Units
from decode.units import convert

ENGLISH = NumberStyle(thousands=",", decimal=".")
CHOSEN = Units("bar", "degF", "lbf ft", "metric hp", "mph")


@pytest.mark.parametrize(
    ("said", "read"),
    [
        (amount(53.2, "degC"), "53 °C"),
        (amount(6.5, "deg", 1), "6.5°"),
        (amount(4700.0, "rpm"), "4,700 rpm"),
        (amount(17_532.0, "kPa"), "17,532 kPa"),
        (amount(9_532.0, "kPa"), "9532 kPa"),
        (amount(2.214, "1", 2), "2.21"),
        (amount(-0.04, "kW", 1, signed=True), "+0.0 kW"),
        (amount(14.0, "%"), "14 %"),
        (rpm(4721.0), "4,700 rpm"),
        (count(12), "12"),
    ],
)
def test_an_amount_in_house_units(said: Amount, read: str) -> None:
    assert printed(said, HOUSE, ENGLISH)[1] == read


@pytest.mark.parametrize(
    ("said", "read"),
    [
        (amount(53.0, "degC"), "127 °F"),
        (amount(-10.0, "degC"), "14 °F"),
        (amount(38.0, "K"), "68 °F"),
        (amount(38.0, "degC", difference=True), "68 °F"),
        (amount(120.0, "kPa"), "1.20 bar"),
        (amount(18.2, "MPa", 1), "182 bar"),
        (amount(12.5, "kW", 1, signed=True), "+17.0 metric hp"),
        (amount(-0.01, "kW", 1), "0.0 metric hp"),
        (amount(400.0, "Nm"), "295 lbf·ft"),
        (amount(12.0, "s", 1), "12.0 s"),
    ],
)
def test_an_amount_in_the_users_units(said: Amount, read: str) -> None:
    assert printed(said, CHOSEN, ENGLISH)[1] == read


@pytest.mark.parametrize("unit", ["bar", "psi"])
def test_a_converted_amount_is_as_fine_as_it_was(unit: Pressure) -> None:
    for said_kpa in range(1, 300):
        _, text = printed(amount(said_kpa, "kPa"), Units(pressure=unit), ENGLISH)
        value, _, symbol_read = text.partition(" ")
        assert symbol_read == unit
        assert float(value) == pytest.approx(convert("kPa", unit)[0] * said_kpa, abs=0.051)


@pytest.mark.parametrize(
    ("value", "digits", "read"),
    [(0.03124, 3, "0.0312"), (1050.4, 3, "1050"), (12.0, 3, "12"), (9.8, 3, "9.8"), (0.0, 3, "0")],
)
def test_significant_digits_have_no_trailing_zeros(value: float, digits: int, read: str) -> None:
    assert printed(significant(value, "1", digits), HOUSE, ENGLISH)[1] == read


def test_german_has_its_decimal_sign_and_its_words() -> None:
    change = {
        name: amount(value, "kW", 1, signed=True, difference=True)
        for name, value in (("change", 12.34), ("low", 10.0), ("high", 14.0))
    }
    said = say("report-gain", **change)
    assert said.text == "+12.3 kW at the peak (95 % sure between +10.0 kW and +14.0 kW)."
    assert sentence(said, language="de") == (
        "+12,3 kW an der Spitze (zu 95 % sicher zwischen +10,0 kW und +14,0 kW)."
    )


def test_a_list_and_a_plural_follow_the_language() -> None:
    lacks = say("correction-lacks", standard="ISO 1585", inputs=listed(["a", "b", "c"]))
    assert lacks.text == "No ISO 1585 factor: needs a, b and c."
    assert sentence(lacks, language="de").endswith("es fehlt a, b und c.")
    one, more = (say("gain-settled-by-more-pulls", pulls=count(n)) for n in (1, 3))
    assert "about 1 more pull of" in one.text
    assert "about 3 more pulls of" in more.text
