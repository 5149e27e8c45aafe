"""What is said of knock: where it was, what was lost, in how many events, and for what reason."""

from typing import Final

import numpy as np

from analysis.checks.against_limit import place_phrase
from analysis.checks.charge_heat import air_first_word, reference
from analysis.checks.check import Context
from analysis.checks.knock_process import KnockProcess, Retard
from analysis.checks.stretches import Stretch, place
from analysis.model.findings import Where
from analysis.model.pull import Pull
from analysis.phrases.say import amount, count, say
from analysis.phrases.statement import Statement
from decode.samples import FloatArray

LEAST_CHANCE: Final = 0.001  # no smaller one is claimed
LEAST_HEAT_DEG: Final = 0.3  # what heat explains is not worth a sentence below
TAKEN_DEG: Final = 0.1  # less is printed as nothing


def _place_above(pull: Pull, time_s: FloatArray, values: FloatArray, level: float) -> Stretch:
    """From the first to the last sample at or above a level; values: float64[n]."""
    above = np.flatnonzero(values >= level)
    first, last = int(above[0]), int(above[-1])
    return Stretch(first, last, float(time_s[first]), float(time_s[last]))


def where_above(
    pull: Pull, retard: Retard, its: FloatArray, level: float, cylinder: int | None = None
) -> Where:
    """Where retard stood at or above a level, or above half of its highest where that is less."""
    found = _place_above(pull, retard.time_s, its, min(level, float(its.max()) / 2))
    return place(pull, found.start_s, found.end_s, cylinder)


def lost(retard: Retard, worst: int, where: Where) -> Statement:
    """The most that one cylinder lost, and the most that the others did."""
    cylinder = count(retard.cylinders[worst])
    taken = amount(float(retard.by_cylinder[worst].max()), "deg", 1)
    others = np.delete(retard.by_cylinder, worst, axis=0)
    at_place = place_phrase(where)
    if float(others.max(initial=0.0)) < TAKEN_DEG:
        return say("ignition-one-cylinder-alone", cylinder=cylinder, retard=taken, where=at_place)
    return say(
        "ignition-one-cylinder",
        cylinder=cylinder,
        retard=taken,
        where=at_place,
        others=amount(float(others.max()), "deg", 1),
    )


def more_than_chance(
    process: KnockProcess, worst: int, others_deg: float, chance: float
) -> Statement:
    """Its events and its mean beside those of the others, and how often chance does that."""
    return say(
        "ignition-one-cylinder-chance",
        events=count(round(float(process.events[worst]))),
        mean=amount(float(process.mean_deg[worst]), "deg", 1),
        others_events=amount(float(np.delete(process.events, worst).mean()), "1", 1),
        others_mean=amount(others_deg, "deg", 1),
        chance=amount(100.0 * max(chance, LEAST_CHANCE), "%", 1),
    )


def heat_statements(pull: Pull, context: Context, explained_deg: float) -> tuple[Statement, ...]:
    """What heat has to do with the retard: one statement, or none."""
    usual = reference(pull, context)
    if usual is None:
        return (say("ignition-heat-unknown"),)
    if explained_deg < LEAST_HEAT_DEG:
        return ()
    explained = amount(explained_deg, "deg", 1)
    air = air_first_word(pull)
    return (say("ignition-heat-explains", air=air, usual=usual.origin, explained=explained),)


def rate_statement(process: KnockProcess) -> Statement:
    """The process in one sentence: over the whole sweep, mean over the cylinders."""
    said = {
        "rate": amount(float(process.rate_per_s.mean()), "1", 1),
        "mean": amount(float(process.mean_deg.mean()), "deg", 1),
        "share": amount(100.0 * float(process.share.mean()), "%"),
    }
    if process.decay_s is None:
        return say("ignition-rate", **said)
    return say("ignition-rate-decay", **said, decay=amount(process.decay_s, "s", 1))
