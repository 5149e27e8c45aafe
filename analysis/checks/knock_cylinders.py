"""One cylinder or all of them? A test of chance, for knock control takes events at random.

Of four cylinders that knock equally often, one always had most events and lost most: that alone
says nothing. Two tests ask how often chance would make any cylinder stand out as far as one does:
an exact one of the events' counts (each event falls on any cylinder alike: a multinomial), and a
permutation test of the mean retard, block by block of the sweep, in which whose retard is whose is
drawn anew: it sees retard that stands without events. Both look at the worst cylinder of all, so
that many cylinders are no more suspect.
"""

import math
from typing import Final

import numpy as np

from analysis.checks.knock_process import KnockProcess, Retard
from decode.samples import FloatArray

PERMUTATIONS: Final = 999
SEED: Final = 1  # a pull judged twice is judged alike
# Means over four decays of an event have forgotten each other but for an eighth of their variance.
INDEPENDENT_DECAYS: Final = 4.0
SHORTEST_BLOCK_S: Final = 1.0
MOST_BLOCKS: Final = 12
FEWEST_BLOCKS: Final = 3


def chance_of_events(events: FloatArray) -> float:
    """How likely one cylinder has as many events as the worst by chance alone, 0 to 1. events:
    float64[cylinders]. The sum over the cylinders of the binomial's upper tail (Bonferroni): an
    upper bound of the multinomial's, and nearly exact where it is small."""
    cylinders, total, most = len(events), round(float(events.sum())), round(float(events.max()))
    if cylinders < 2 or total == 0:
        return 1.0
    share = 1.0 / cylinders
    tail = sum(
        math.comb(total, k) * share**k * (1.0 - share) ** (total - k)
        for k in range(most, total + 1)
    )
    return min(1.0, cylinders * tail)


def chance_of_retard(retard: Retard, block_s: float) -> float:
    """How likely one cylinder's mean retard stands as far above the others' by chance, 0 to 1.

    Blocks of block_s are taken as independent. Deterministic: the permutations are drawn from a
    fixed seed.
    """
    every = retard.by_cylinder
    cylinders, samples = every.shape
    blocks = int(np.clip(retard.duration_s // max(block_s, 1e-6), FEWEST_BLOCKS, MOST_BLOCKS))
    if cylinders < 2 or samples < blocks:
        return 1.0
    edges = np.linspace(0, samples, blocks + 1).astype(np.int64)
    means = np.add.reduceat(every, edges[:-1], axis=1) / np.diff(edges)  # [cylinders, blocks]
    seen = float(means.sum(axis=1).max())
    chance = np.random.default_rng(SEED)
    drawn = np.tile(means.T, (PERMUTATIONS, 1, 1))  # [permutations, blocks, cylinders]
    sums = chance.permuted(drawn, axis=2).sum(axis=1).max(axis=1)
    return float((1 + np.count_nonzero(sums >= seen - 1e-9)) / (1 + PERMUTATIONS))


def chance_alone(retard: Retard, process: KnockProcess) -> float:
    """The smaller of both, times two: two tests were made."""
    by_events = chance_of_events(process.events)
    decays_s = INDEPENDENT_DECAYS * (process.decay_s or 0.0)
    by_retard = chance_of_retard(retard, max(SHORTEST_BLOCK_S, decays_s))
    return min(1.0, 2.0 * min(by_events, by_retard))
