"""What the reader of a pull must know of how its bounds were found."""

from typing import Final

import numpy as np

from analysis.phrases.say import amount, say, word
from analysis.phrases.statement import Statement
from analysis.segmenting.bounds import Trace
from analysis.segmenting.intent import Intent
from decode.cadence import SILENT_PERIODS
from decode.quantities import HOUSE_UNIT, Quantity

SLOW_S: Final = 0.15  # readings further apart cannot place a bound within 100 ms by themselves


def notes(intent: Intent, sweep: Trace, truncated: bool) -> tuple[Statement, ...]:
    """Most important first."""
    found = []
    if not intent.is_position:
        found.append(say("note-demand-from-pressure", demand=word(intent.quantity)))
    elif intent.quantity is Quantity.THROTTLE_POSITION:
        found.append(say("note-demand-from-throttle"))
    if intent.is_position and intent.is_learned:
        full = amount(intent.full, HOUSE_UNIT[intent.quantity], 1)
        found.append(say("note-full-learned", full=full, channel=intent.channel.name))
    if truncated:
        found.append(say("note-session-begins-inside"))
    return (*found, *_slow(intent, sweep))


def _slow(intent: Intent, sweep: Trace) -> list[Statement]:
    found = []
    if intent.interval_s > SLOW_S:
        every = amount(intent.interval_s, "s", 1)
        found.append(say("note-channel-slow", channel=intent.channel.name, every=every))
    if len(sweep.time_s) < 2:
        return found
    pauses, usual_s = np.diff(sweep.time_s), sweep.interval_s
    if usual_s > SLOW_S:
        found.append(say("note-engine-speed-slow", every=amount(usual_s, "s", 1)))
    if pauses.max() > max(SILENT_PERIODS * usual_s, SLOW_S):
        found.append(say("note-engine-speed-missing", gap=amount(float(pauses.max()), "s", 1)))
    return found
