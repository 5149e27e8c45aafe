"""Boost as gauge pressure, from whichever channels the car has."""

from analysis.checks.stretches import at
from analysis.model.pull import Pull
from analysis.model.setup import Setup
from analysis.phrases.say import amount, say
from analysis.phrases.statement import Statement
from decode.quantities import Quantity
from decode.samples import Samples


def barometric_kpa(pull: Pull, setup: Setup) -> float | None:
    """Station pressure: a channel's mean over the pull, or the station file's."""
    measured = pull.first(Quantity.BAROMETRIC_PRESSURE)
    if measured is not None:
        return float(measured.value.mean())
    return setup.air.barometric_kpa


def gauge_boost(pull: Pull, setup: Setup) -> Samples | None:
    """Boost over ambient in kPa: its own channel, or manifold minus barometric pressure at the
    manifold's times; None where neither is known."""
    boost = pull.first(Quantity.BOOST_PRESSURE)
    if boost is not None:
        return boost
    manifold = pull.first(Quantity.MANIFOLD_PRESSURE)
    if manifold is None:
        return None
    barometric = pull.first(Quantity.BAROMETRIC_PRESSURE)
    if barometric is not None:
        return Samples(manifold.time_s, manifold.value - at(barometric, manifold.time_s))
    if setup.air.barometric_kpa is None:
        return None
    return Samples(manifold.time_s, manifold.value - setup.air.barometric_kpa)


def derived_from(pull: Pull, setup: Setup) -> Statement | None:
    """What gauge_boost stands on where that is a pressure that no channel measured; else None."""
    kpa = setup.air.barometric_kpa
    if pull.first(Quantity.BOOST_PRESSURE) is not None or kpa is None:
        return None
    if pull.first(Quantity.BAROMETRIC_PRESSURE) is not None:
        return None
    return say("boost-derived", barometric=amount(kpa, "kPa", 1))


def manifold_kpa(pull: Pull, setup: Setup) -> Samples | None:
    """Absolute manifold pressure in kPa, or None where it is not known."""
    manifold = pull.first(Quantity.MANIFOLD_PRESSURE)
    if manifold is not None:
        return manifold
    boost, barometric = pull.first(Quantity.BOOST_PRESSURE), barometric_kpa(pull, setup)
    if boost is None or barometric is None:
        return None
    return Samples(boost.time_s, boost.value + barometric)
