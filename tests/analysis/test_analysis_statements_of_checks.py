"""What the checks say is data: it reads in every language and in the user's units."""

from dataclasses import replace

import numpy as np
import pytest
from engine_pulls import HEALTHY, engine_pull, steady

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.checks.needs import not_judged
from analysis.model.findings import Finding
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.model.setup import Car, Setup
from analysis.phrases.reader import Reader
from analysis.phrases.say import key_of
from analysis.phrases.table import LANGUAGES, Language, has_phrase
from analysis.phrases.units import HOUSE, Units
from decode.quantities import Quantity

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
TURBO = Context(Setup(Car(cylinders=4, displacement_l=1.6, boosted=True)))


def finding(pull: Pull, check: str, key: str, context: Context = TURBO) -> Finding:
    """The only finding of a check that begins with a phrase."""
    found = [f for f in run_checks(pull, LIMITS, context) if f.check == check]
    (ours,) = [f for f in found if f.statements[0].key == key]
    return ours


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_quantity_has_a_name(language: Language) -> None:
    assert all(has_phrase(key_of(quantity), language) for quantity in Quantity)


def test_a_hot_engine_in_german_and_in_fahrenheit() -> None:
    hot = finding(
        engine_pull({"coolant": steady(120.0)}), "engine_temperatures", "engine-temperatures-hot"
    )
    said = Reader(Units(temperature="degF"), "de").text(hot.statements[:2])
    assert said.startswith("Kühlmittel bis 248 °F heiß, zwischen ")
    assert said.endswith("die Grenze liegt bei 234 °F. Ab 244 °F anhalten.")


def test_a_cause_in_german_has_its_evidence_and_what_settles_it() -> None:
    droop = engine_pull({"rail": lambda t, rpm: HEALTHY["rail"][1](t, rpm) * 0.8})
    rail = finding(droop, "fuel_supply", "fuel-drooped-target")
    assert "Deutet hin auf: eine schwache Hochdruck-Kraftstoffpumpe" in Reader(HOUSE, "de").text(
        rail.statements
    )
    assert rail.settled_by is not None
    assert Reader(HOUSE, "de").text(rail.settled_by).startswith("Mit aufgezeichnetem Niederdruck")


def test_a_difference_of_pressures_is_no_pressure() -> None:
    """Seven kPa between two channels are one psi, whatever the scales begin at."""
    pull = engine_pull()
    boost = pull.samples["boost"]
    apart = replace(boost, value=boost.value + np.float64(98.0))
    absolute = replace(pull, samples={**pull.samples, "boost": apart})
    said = finding(absolute, "data_quality", "data-atmosphere-apart").statements[0]
    (difference,) = said.amounts
    assert (difference.name, difference.unit, difference.difference) == ("difference", "kPa", True)


def test_what_was_judged_is_said_in_german_too() -> None:
    without = tuple(name for name in HEALTHY if name.startswith("retard_"))
    lack = finding(engine_pull(without=without), "coverage", "coverage-lacking")
    said = Reader(HOUSE, "de").text(lack.statements)
    assert "Klopfen wurde nicht beurteilt (Zündwinkelrücknahme aufzeichnen)" in said
    assert "Beurteilt und in Ordnung: Drosselklappe, " in said


def test_what_a_check_needs_names_quantities_and_channels_that_were_left_out() -> None:
    needs = ((Quantity.BOOST_PRESSURE, Quantity.MANIFOLD_PRESSURE), (Quantity.BOOST_TARGET,))
    noted = not_judged("boost", needs, {"map", "baro"}).finding
    assert noted is not None
    assert noted.text == (
        "Not judged: needs boost_pressure or manifold_pressure and boost_target "
        "(baro, map cannot be trusted here)."
    )
    assert Reader(HOUSE, "de").text(noted.statements) == (
        "Nicht beurteilt. Dafür nötig: Ladedruck oder Saugrohrdruck und Ladedruck-Sollwert. "
        "Hier nicht zu trauen: baro, map."
    )
