"""What the reader of a pull must know of how its bounds were found."""

from typing import Final

import numpy as np

from analysis.phrases.say import as_written
from analysis.phrases.statement import Statement
from analysis.segmenting.bounds import Trace
from analysis.segmenting.intent import Intent
from decode.quantities import Quantity

SLOW_S: Final = 0.15  # readings further apart cannot place a bound within 100 ms by themselves
GAP_INTERVALS: Final = 5.0  # a pause this many times the usual one is a gap


def notes(intent: Intent, sweep: Trace, truncated: bool) -> tuple[Statement, ...]:
    """Plain sentences, most important first."""
    found = []
    if not intent.is_position:
        found.append(
            f"no pedal or throttle channel: full demand was taken from {intent.quantity.value} "
            "and the rise of engine speed"
        )
    elif intent.quantity is Quantity.THROTTLE_POSITION:
        found.append("no pedal channel: the throttle was taken as the driver's wish")
    if intent.is_position and intent.is_learned:
        found.append(
            f"fully open is {intent.full:.1f} {intent.channel.unit} on {intent.channel.name}, "
            "learned from this session"
        )
    if truncated:
        found.append("the session begins inside this pull")
    return tuple(as_written(note) for note in (*found, *_slow(intent, sweep)))


def _slow(intent: Intent, sweep: Trace) -> list[str]:
    found = []
    if intent.interval_s > SLOW_S:
        found.append(f"{intent.channel.name} comes only every {intent.interval_s:.1f} s")
    if len(sweep.time_s) < 2:
        return found
    pauses = np.diff(sweep.time_s)
    usual_s = float(np.median(pauses))
    if usual_s > SLOW_S:
        found.append(f"engine speed comes only every {usual_s:.1f} s")
    if pauses.max() > max(GAP_INTERVALS * usual_s, SLOW_S):
        found.append(f"engine speed is missing for {pauses.max():.1f} s inside this pull")
    return found
