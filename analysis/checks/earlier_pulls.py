"""The car as its own reference: what a channel showed in earlier pulls at the same engine speed."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.checks.check import Context
from analysis.checks.stretches import smoothed
from analysis.model.pull import Pull
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

SMOOTH_S: Final = 0.2  # over noise, pump strokes and whole units
MOST_OF_IT: Final = 0.5  # share of the sweep that an earlier pull has to cover


@dataclass(frozen=True, slots=True)
class Course:
    """One earlier pull and its values at the engine speeds of this one, float64[n]; no number
    where it did not get."""

    pull: Pull
    value: FloatArray


def at_same_speed(
    pull: Pull, quantity: Quantity, inside: Samples, context: Context
) -> Iterator[Course]:
    """Every earlier pull that covers most of this one; inside: the channel in this sweep."""
    speed = pull.engine_speed_at(inside.time_s)
    for each in context.earlier:
        samples = each.first(quantity)
        if samples is None or len(swept := smoothed(each.sweep(samples), SMOOTH_S)) < 2:
            continue
        rpm = each.engine_speed_at(swept.time_s)
        order = np.argsort(rpm)
        value = np.interp(speed, rpm[order], swept.value[order], left=np.nan, right=np.nan)
        if np.isfinite(value).mean() > MOST_OF_IT:
            yield Course(each, value)
