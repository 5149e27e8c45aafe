"""Figures as a calibrator says them, and findings made of a limit and a sentence."""

import math
from collections.abc import Sequence
from typing import Final

from analysis.model.findings import Finding, Severity, Where
from analysis.model.limits import Limit
from analysis.phrases.say import amount, as_written, say
from analysis.phrases.say import rpm as engine_speed
from analysis.phrases.statement import Statement

BETWEEN_COUNTS: Final = 0.5  # of whole things: a limit of three lies between two and three of them


def rpm(value: float) -> str:
    """To the nearest 50: nobody reads an engine speed closer than that."""
    return f"{round(value / 50) * 50:,d}"


def span(where: Where) -> str:
    """ "between 4,200 and 6,100 rpm", or "at 4,200 rpm" where both ends are the same."""
    if where.start_rpm is None or where.end_rpm is None:
        return f"from {where.start_s:.1f} to {where.end_s:.1f} s"
    low, high = sorted((where.start_rpm, where.end_rpm))
    if rpm(low) == rpm(high):
        return f"at {rpm(low)} rpm"
    return f"between {rpm(low)} and {rpm(high)} rpm"


def place_phrase(where: Where) -> Statement:
    """ "between 4,200 and 6,100 rpm", or "at 4,200 rpm" where both ends are the same."""
    if where.start_rpm is None or where.end_rpm is None:
        start, end = amount(where.start_s, "s", 1), amount(where.end_s, "s", 1)
        return say("where-time", start=start, end=end)
    low, high = (engine_speed(end) for end in sorted((where.start_rpm, where.end_rpm)))
    if low == high:
        return say("where-at", speed=low)
    return say("where-between", low=low, high=high)


def listed(things: list[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    return things[0] if len(things) == 1 else f"{', '.join(things[:-1])} and {things[-1]}"


def sureness(value: float, limit: float, spread: float) -> float:
    """How sure a value lies beyond a limit, 0 to 1: a logistic step, 0.5 at the limit.

    spread: the value's own uncertainty (noise, resolution, what the limit leaves open), in the
    same unit, taken as a standard deviation. 1.702 makes the logistic match the normal
    distribution's cumulative curve within 0.01 (Haley 1952).
    """
    return 1.0 / (1.0 + math.exp(-max(-40.0, min(40.0, 1.702 * (value - limit) / spread))))


def beyond(
    limit: Limit,
    severity: Severity,
    statement: Statement | str | tuple[Statement, ...],
    value: float,
    where: Where | None = None,
    settled_by: Statement | str | None = None,
) -> Finding:
    """A finding against one limit; the check's name is the limit's first word."""
    return Finding(
        check=limit.name.split(".")[0],
        severity=severity,
        statements=all_statements(statement if isinstance(statement, tuple) else (statement,)),
        where=where,
        value=round(value, 3),
        limit=limit.value,
        unit=limit.unit,
        limit_origin=limit.origin,
        settled_by=as_written(settled_by) if isinstance(settled_by, str) else settled_by,
    )


def all_statements(statements: Sequence[Statement | str]) -> tuple[Statement, ...]:
    """Plain text becomes a statement that is only text."""
    return tuple(as_written(one) if isinstance(one, str) else one for one in statements)
