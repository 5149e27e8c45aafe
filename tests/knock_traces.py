"""Traces of knock retard made of random events, sharing nothing with the simulated car's knock.

Every cylinder has events at random (a Poisson process) at its own rate; each takes a step drawn
between two sizes, and all that was taken decays exponentially. What a log makes of it comes last:
values held for as long as the log refreshes them, and rounded to its resolution.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from engine_pulls import Shape, Sweep, engine_pull

from analysis.model.pull import Pull
from decode.samples import FloatArray


@dataclass(frozen=True)
class KnockTrace:
    """rates_per_s: of each cylinder's events. rate_hz: of the log's values, each held until the
    next."""

    rates_per_s: tuple[float, ...]
    step_deg: tuple[float, float] = (1.0, 3.0)
    decay_s: float = 1.0
    rate_hz: float = 20.0
    resolution_deg: float = 0.75

    def shape(self, cylinder: int, seed: int) -> Shape:
        """The retard of one cylinder, from 1."""

        def drawn(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
            chance = np.random.default_rng((seed, cylinder))
            end_s = float(time_s[-1])
            count = chance.poisson(self.rates_per_s[cylinder - 1] * end_s)
            at_s, step = chance.uniform(0.0, end_s, count), chance.uniform(*self.step_deg, count)
            seen_s = np.floor(time_s * self.rate_hz + 1e-9) / self.rate_hz
            since_s = seen_s[:, None] - at_s[None, :]
            left = np.where(since_s >= 0.0, np.exp(-np.maximum(since_s, 0.0) / self.decay_s), 0.0)
            return np.round((left @ step) / self.resolution_deg) * self.resolution_deg

        return drawn


def knocking_pull(trace: KnockTrace, seed: int, sweep: Sweep | None = None) -> Pull:
    """A healthy pull but for its knock; four cylinders, as the pulls built by hand have them."""
    changed: Mapping[str, Shape] = {
        f"retard_{cylinder}": trace.shape(cylinder, seed)
        for cylinder in range(1, len(trace.rates_per_s) + 1)
    }
    return engine_pull(changed, sweep=sweep)
