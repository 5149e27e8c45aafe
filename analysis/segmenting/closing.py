"""A watched stretch of full demand becomes a pull with its bounds, or is refused."""

from dataclasses import dataclass
from typing import Final

from analysis.model.pull import EndReason, PullBounds, Refused, Section, SectionKind
from analysis.phrases.say import amount, say, word
from analysis.phrases.statement import Statement
from analysis.segmenting.bounds import SHARP_S, Bend, Trace, find_end, find_plateau, find_start
from analysis.segmenting.intent import Intent
from analysis.segmenting.notes import missing_beginning, notes
from analysis.segmenting.refusal import TOP_SHARE, Candidate, why_refused
from analysis.segmenting.sections import sections
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import FloatArray

LIMITER_SHARE: Final = 0.02  # of the known top speed: a sweep that stops rising here is limited
WHOLE_RATIO: Final = 2.6  # end over start speed that stands for "whole" while no top is known
MOSTLY_SHARE: Final = 0.4  # of a pull a stand-in throttle must be open; closures are shorter
LIMITER_BACK_S: Final = 0.3  # the smoothed peak comes at most this long after the true one ...
PRESSURE_LAG_S: Final = 0.25  # a manifold empties in less
FOOT_LAG_S: Final = 0.06  # half a foot's travel: torque is gone before the pedal is up
LIMITER_AHEAD_S: Final = 0.06  # ... or before it, where noise lifts an early reading


@dataclass(frozen=True, slots=True)
class Closing:
    """Why and when a sweep ended, as far as the watch saw it: between earliest_s and latest_s."""

    reason: EndReason
    earliest_s: float
    latest_s: float
    peak_s: float
    swept_s: float | None  # when the sweep was noticed; None: never


@dataclass(frozen=True, slots=True)
class ClosingContext:
    """All that is looked at once a candidate is over.

    road_s, road_kmh: the first road speed that speaks; empty where none does. closures: found
    by the throttle. not_before_s: end of the pull before. first_heard_s: when engine speed came for
    the first time in the session.
    """

    trace: Trace
    first_heard_s: float
    intent: Intent
    open_s: float
    not_before_s: float
    closing: Closing
    now_s: float
    top_rpm: float | None
    on_roller: bool
    road_name: str
    road_s: FloatArray
    road_kmh: FloatArray
    closed: tuple[Section, ...]


def locate(context: ClosingContext) -> PullBounds | Refused:
    """Bounds of the pull, or why it is none."""
    closing, intent, trace = context.closing, context.intent, context.trace
    if closing.swept_s is None:
        return _refused_without_sweep(context)
    sure_s = closing.swept_s if intent.is_the_foot else context.open_s
    open_from_s, open_to_s = intent.window(context.open_s, sure_s)
    if not intent.reached(context.open_s, closing.latest_s):
        return Refused(context.open_s, closing.latest_s, _never_full(intent))
    end, reason = _end(context)
    open_from_s = max(open_from_s, context.not_before_s)
    open_to_s = max(open_to_s, open_from_s)
    start = find_start(trace, open_from_s, open_to_s, min(closing.peak_s, end.at_s))
    reason_against = why_refused(_candidate(context, start, end))
    if reason_against is not None:
        return Refused(open_to_s, closing.latest_s, reason_against)
    if intent.open_share(start.at_s, end.at_s) < MOSTLY_SHARE:
        return Refused(open_to_s, closing.latest_s, _partly_open(intent))
    missing = missing_beginning(trace, start, context.first_heard_s)
    inside = tuple(s for s in context.closed if start.at_s < s.start_s < end.at_s)
    return PullBounds(
        start_s=start.at_s,
        end_s=end.at_s,
        start_rpm=start.rpm,
        end_rpm=end.rpm,
        complete=missing is None and _is_complete(reason, start.rpm, end.rpm, context.top_rpm),
        end_reason=reason,
        intent=intent.quantity,
        full_open=intent.full_as_read,
        sections=sections(open_to_s, start.at_s, end.at_s, context.now_s, reason, inside),
        notes=notes(intent, trace.between(start.at_s, end.at_s), missing),
    )


def _refused_without_sweep(context: ClosingContext) -> Refused:
    """The watch never saw the speed rise: the readings say by how much it did."""
    closing = context.closing
    during = context.trace.between(context.open_s, closing.latest_s)
    at_s, rpm = (during.time_s, during.rpm) if len(during.time_s) else (None, None)
    low, high = (0.0, 0.0) if rpm is None else (float(rpm.min()), float(rpm[-1]))
    start_s = context.open_s if at_s is None else float(at_s[0])
    reason = why_refused(Candidate(start_s, closing.latest_s, low, max(low, high)))
    return Refused(context.open_s, closing.latest_s, reason or say("refused-speed-held"))


def _never_full(intent: Intent) -> Statement:
    return say(
        "refused-never-fully-open",
        demand=word(intent.quantity),
        full=amount(intent.full_as_read, HOUSE_UNIT[intent.quantity]),
    )


def _partly_open(intent: Intent) -> Statement:
    return say("refused-partly-open", demand=word(intent.quantity))


def _end(context: ClosingContext) -> tuple[Bend, EndReason]:
    closing, trace = context.closing, context.trace
    if closing.reason in (EndReason.LIFT, EndReason.SESSION_END, EndReason.STALLED):
        plateau = find_plateau(trace, closing.peak_s, closing.latest_s)
        if plateau is not None and not _in_closure(plateau.at_s, context.closed):
            top_rpm = context.top_rpm
            limited = top_rpm is not None and plateau.rpm > (1.0 - LIMITER_SHARE) * top_rpm
            return plateau, EndReason.LIMITER if limited else EndReason.STALLED
    if closing.reason in (EndReason.SESSION_END, EndReason.SOURCE_LOST):
        return trace.bend(closing.latest_s), closing.reason
    if closing.reason is EndReason.LIFT:
        return _lift(context), closing.reason
    earliest_s, latest_s = closing.peak_s - LIMITER_BACK_S, closing.peak_s + LIMITER_AHEAD_S
    return find_end(trace, earliest_s, latest_s, closing.peak_s), closing.reason


def _lift(context: ClosingContext) -> Bend:
    """Where the foot came up: between two readings of the wish, or, where those are far apart or
    follow it late, a little before the engine speed bends."""
    closing, trace = context.closing, context.trace
    earliest_s, latest_s = closing.earliest_s, closing.latest_s
    if not context.intent.is_position:
        earliest_s -= PRESSURE_LAG_S
    bend = find_end(trace, earliest_s, latest_s, closing.peak_s)
    if latest_s - earliest_s <= SHARP_S:
        return bend
    return trace.bend(min(max(bend.at_s - FOOT_LAG_S, earliest_s), latest_s))


def _in_closure(at_s: float, closed: tuple[Section, ...]) -> bool:
    return any(
        section.kind is SectionKind.CLOSURE and section.start_s - 0.2 <= at_s <= section.end_s
        for section in closed
    )


def _candidate(context: ClosingContext, start: Bend, end: Bend) -> Candidate:
    road = context.road_kmh
    first, last = (
        (None, None)
        if not len(road)
        else (
            float(_held(context.road_s, road, start.at_s)),
            float(_held(context.road_s, road, end.at_s)),
        )
    )
    return Candidate(
        start_s=start.at_s,
        end_s=end.at_s,
        start_rpm=start.rpm,
        end_rpm=end.rpm,
        is_guessed=not context.intent.is_position,
        is_stand_in=context.intent.quantity is Quantity.THROTTLE_POSITION,
        on_roller=context.on_roller,
        top_rpm=context.top_rpm,
        road_start_kmh=first,
        road_end_kmh=last,
        road_name=context.road_name,
    )


def _held(time_s: FloatArray, value: FloatArray, at_s: float) -> float:
    index = max(int(time_s.searchsorted(at_s, side="right")) - 1, 0)
    return float(value[index])


def _is_complete(
    reason: EndReason, start_rpm: float, end_rpm: float, top_rpm: float | None
) -> bool:
    """Whole: the limiter was reached, or the lift came near the top the engine is known to have."""
    if reason in (EndReason.SESSION_END, EndReason.SOURCE_LOST):
        return False
    if reason is EndReason.LIMITER:
        return True
    if top_rpm is None:
        return end_rpm >= WHOLE_RATIO * start_rpm
    return end_rpm >= TOP_SHARE * top_rpm
