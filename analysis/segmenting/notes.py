"""What the reader of a pull must know of how its bounds were found."""

from collections.abc import Iterable
from typing import Final

import numpy as np

from analysis.phrases.say import amount, rpm, say, word
from analysis.phrases.statement import Statement
from analysis.segmenting.bounds import Bend, Trace
from analysis.segmenting.intent import Intent
from decode.cadence import SILENT_PERIODS, silences
from decode.quantities import HOUSE_UNIT, Quantity

BEGINS_WITH_SESSION: Final = "note-session-begins-inside"
BEGINS_LATE: Final = "note-begins-late"
BEGINS_BEHIND_SILENCE: Final = "note-begins-behind-silence"
BEGINNING_MISSING: Final = (BEGINS_WITH_SESSION, BEGINS_LATE, BEGINS_BEHIND_SILENCE)
AWAY_S: Final = 0.5  # without engine speed: an adapter that reopens, a computer that stood still
SOON_S: Final = 0.3  # what waited for the reader comes at once, as if the sweep began there
SLOW_S: Final = 0.15  # readings further apart cannot place a bound within 100 ms by themselves


def missing_beginning(trace: Trace, start: Bend, first_heard_s: float) -> Statement | None:
    """What to say of a sweep whose beginning nobody saw; None where it was seen. Engine speed may
    come for the first time inside it, or again after its source was away."""
    time_s = trace.time_s
    if start.at_s - float(time_s[0]) < 2.0 * trace.interval_s:
        if time_s[0] <= first_heard_s:
            return say(BEGINS_WITH_SESSION)
        return say(BEGINS_LATE, speed=rpm(start.rpm))
    soon_s = max(2.0 * trace.interval_s, SOON_S)
    for last in silences(time_s).tolist():
        left_s, back_s = float(time_s[last]), float(time_s[last + 1])
        if back_s - left_s > AWAY_S and left_s <= start.at_s <= back_s + soon_s:
            silence = amount(back_s - left_s, "s", 1)
            return say(BEGINS_BEHIND_SILENCE, silence=silence, speed=rpm(trace.at(back_s)))
    return None


def begins_late(bounds_notes: Iterable[Statement]) -> bool:
    """Whether a pull's notes say that its beginning is missing."""
    return any(note.key in BEGINNING_MISSING for note in bounds_notes)


def notes(intent: Intent, sweep: Trace, missing: Statement | None) -> tuple[Statement, ...]:
    """Most important first."""
    found = []
    if not intent.is_position:
        found.append(say("note-demand-from-pressure", demand=word(intent.quantity)))
    elif intent.quantity is Quantity.THROTTLE_POSITION:
        found.append(say("note-demand-from-throttle"))
    if intent.is_position and intent.is_learned:
        full = amount(intent.full, HOUSE_UNIT[intent.quantity], 1)
        found.append(say("note-full-learned", full=full, channel=intent.channel.name))
    if missing is not None:
        found.append(missing)
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
