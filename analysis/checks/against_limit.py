"""A value against its limit: how sure it is beyond it, where in the pull, and the finding."""

import math
from typing import Final

from analysis.model.findings import Finding, Severity, Where
from analysis.model.limits import Limit
from analysis.phrases.say import amount, rpm, say
from analysis.phrases.statement import Statement

BETWEEN_COUNTS: Final = 0.5  # of whole things: a limit of three lies between two and three of them


def place_phrase(where: Where) -> Statement:
    """ "between 4,200 and 6,100 rpm", or "at 4,200 rpm" where both ends are the same."""
    if where.start_rpm is None or where.end_rpm is None:
        start, end = amount(where.start_s, "s", 1), amount(where.end_s, "s", 1)
        return say("where-time", start=start, end=end)
    low, high = (rpm(end) for end in sorted((where.start_rpm, where.end_rpm)))
    if low == high:
        return say("where-at", speed=low)
    return say("where-between", low=low, high=high)


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
    statements: Statement | tuple[Statement, ...],
    value: float,
    where: Where | None = None,
    settled_by: Statement | None = None,
) -> Finding:
    """A finding against one limit; the check's name is the limit's first word."""
    return Finding(
        check=limit.name.split(".")[0],
        severity=severity,
        statements=statements if isinstance(statements, tuple) else (statements,),
        where=where,
        value=round(value, 3),
        limit=limit.value,
        unit=limit.unit,
        limit_origin=limit.origin,
        settled_by=settled_by,
    )
