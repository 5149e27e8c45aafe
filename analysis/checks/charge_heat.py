"""How hot the charge air was against what the calibration had to reckon with, and the retard
that this alone explains."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.checks.check import Context
from analysis.checks.stretches import at
from analysis.model.pull import Pull
from analysis.phrases.say import amount, say
from analysis.phrases.statement import Statement
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

# A charge cooler in good air keeps the charge within 15 to 20 K: common practice, no source.
GOOD_RISE_K: Final = 20.0


@dataclass(frozen=True, slots=True)
class HeatReference:
    """The charge temperature that counts as usual here, and where it was taken from."""

    temperature_degc: float
    origin: Statement


def charge_temperature(pull: Pull) -> Samples | None:
    """After the charge cooler, or what the intake sensor says where there is none."""
    charge = pull.first(Quantity.CHARGE_AIR_TEMPERATURE)
    return charge if charge is not None else pull.first(Quantity.INTAKE_AIR_TEMPERATURE)


def air_word(pull: Pull) -> Statement:
    """What charge_temperature measured the temperature of."""
    return say("charge-air" if _measures_charge(pull) else "intake-air")


def air_first_word(pull: Pull) -> Statement:
    """The same as the first word of a sentence."""
    return say("charge-air-first-word" if _measures_charge(pull) else "intake-air-first-word")


def _measures_charge(pull: Pull) -> bool:
    return pull.first(Quantity.CHARGE_AIR_TEMPERATURE) is not None


def ambient_degc(pull: Pull, context: Context) -> float | None:
    """A channel's mean over the pull, or the station file's."""
    measured = pull.first(Quantity.AMBIENT_TEMPERATURE)
    if measured is not None:
        return float(measured.value.mean())
    return context.setup.air.temperature_degc


def _mean_in_sweep(pull: Pull) -> float | None:
    charge = charge_temperature(pull)
    if charge is None:
        return None
    inside = pull.sweep(charge)
    return float(inside.value.mean()) if len(inside) else None


def reference(pull: Pull, context: Context) -> HeatReference | None:
    """The coolest of: this stage's earlier pulls, ambient and a good cooler's rise, and where
    this pull began. None without a charge temperature."""
    charge = charge_temperature(pull)
    if charge is None:
        return None
    found = [HeatReference(float(charge.value[0]), say("usual-heat-start"))]
    ambient = ambient_degc(pull, context)
    if ambient is not None:
        over_ambient = say("usual-heat-ambient", rise=amount(GOOD_RISE_K, "K"))
        found.append(HeatReference(ambient + GOOD_RISE_K, over_ambient))
    earlier = [mean for p in context.earlier if (mean := _mean_in_sweep(p)) is not None]
    if earlier:
        found.append(HeatReference(min(earlier), say("usual-heat-earlier")))
    return min(found, key=lambda r: r.temperature_degc)


def retard_from_heat(
    pull: Pull, context: Context, kelvin_per_degree: float, time_s: FloatArray
) -> FloatArray:
    """Retard that charge air hotter than its reference explains alone, deg[n] at the given times.

    SAE 960497: 7 K of charge temperature cost one octane number, one degree of spark is worth
    one octane number, so kelvin_per_degree is 7 by default. Zero where nothing is known.
    """
    usual, charge = reference(pull, context), charge_temperature(pull)
    if usual is None or charge is None:
        return np.zeros(len(time_s))
    hotter_k = np.maximum(at(charge, time_s) - usual.temperature_degc, 0.0)
    return hotter_k / kelvin_per_degree
