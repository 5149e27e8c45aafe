"""One cylinder or all of them? A test of chance, for knock control takes events at random.

Of four cylinders that knock equally often, one always had most events and lost most: that alone
says nothing. Where all knock alike, each event falls on any of them alike (a multinomial): the test
asks how often chance would then give one as many as the worst has. It looks at the worst of all, so
that many cylinders are no more suspect.

Events are counted, and they are reckoned from what was lost: retard is a shot noise, so that its
mean is rate times step times decay (Campbell's theorem). The count misses events that follow each
other within two readings; what was lost does not, and it sees retard that stands without events.
"""

import math
from typing import Final

import numpy as np

from analysis.checks.knock_process import KnockProcess
from decode.samples import FloatArray

# Of retard that stands without events, or is never given back: common practice.
USUAL_STEP_DEG: Final = 3.0
USUAL_DECAY_S: Final = 1.0
# A cylinder that knocks again and again gets nothing back, and that looks like a slow decay.
LONGEST_DECAY_S: Final = 3.0


def chance_of_counts(events: FloatArray) -> float:
    """How likely one cylinder has as many events as the worst by chance alone, 0 to 1. events:
    float64[cylinders]. The sum over the cylinders of the binomial's upper tail (Bonferroni): an
    upper bound of the multinomial's, and nearly exact where it is small."""
    cylinders, total, most = len(events), round(float(events.sum())), int(events.max())
    if cylinders < 2 or most == 0:
        return 1.0
    share = 1.0 / cylinders
    tail = sum(
        math.comb(total, k) * share**k * (1.0 - share) ** (total - k)
        for k in range(most, total + 1)
    )
    return min(1.0, cylinders * tail)


def events_by_loss(process: KnockProcess, duration_s: float) -> FloatArray:
    """How many events of the usual size what each cylinder lost amounts to, float64[cylinders]."""
    step_deg = process.step_deg or USUAL_STEP_DEG
    decay_s = min(process.decay_s or USUAL_DECAY_S, LONGEST_DECAY_S)
    events: FloatArray = process.mean_deg * duration_s / (step_deg * decay_s)
    return events


def chance_alone(process: KnockProcess, duration_s: float) -> float:
    """How often cylinders that knock alike would leave one standing out as far, 0 to 1: the smaller
    of both tests, times two because two were made."""
    by_count = chance_of_counts(process.events)
    by_loss = chance_of_counts(np.floor(events_by_loss(process, duration_s)))
    return min(1.0, 2.0 * min(by_count, by_loss))
