"""What a running session tells: pulls that start and end, and alerts that cannot wait."""

from dataclasses import dataclass
from enum import StrEnum

from analysis.model.findings import Severity
from analysis.model.pull import PullBounds, Refused
from analysis.phrases.statement import Statement


class Phase(StrEnum):
    """What the car is doing now, as the operator sees it."""

    IDLE = "idle"  # no wide-open throttle
    HOLD = "hold"  # full pedal, speed held
    SWEEP = "sweep"  # a pull is running
    DONE = "done"  # the last pull has just ended


@dataclass(frozen=True, slots=True)
class PullStarted:
    """A sweep has begun; its bounds are not known yet."""

    start_s: float
    start_rpm: float


@dataclass(frozen=True, slots=True)
class PullEnded:
    """A pull with its bounds decided; announced_s is the session time at which it was."""

    bounds: PullBounds
    announced_s: float


SegmenterEvent = PullStarted | PullEnded | Refused


class AlertKind(StrEnum):
    """What cannot wait for the end of the pull."""

    KNOCK_RETARD = "knock_retard"
    LEAN_UNDER_BOOST = "lean_under_boost"
    OVER_BOOST = "over_boost"
    LOW_FUEL_PRESSURE = "low_fuel_pressure"
    OVERHEATING = "overheating"
    LOW_OIL_PRESSURE = "low_oil_pressure"
    SOURCE_SILENT = "source_silent"
    BLIND = "blind"  # a channel that alerts depend on is missing or stale


class AlertState(StrEnum):
    """RAISED once, UPDATED while it gets worse, CLEARED when over or acknowledged."""

    RAISED = "raised"
    UPDATED = "updated"
    CLEARED = "cleared"


@dataclass(frozen=True, slots=True)
class Alert:
    """One change of one alert.

    key: the same for every change of one alert (kind, channel or cylinder). since_s: when the
    limit was first passed; at_s: the sample that caused this change. latched: it stays until
    somebody acknowledges it, though the value is fine again.
    """

    key: str
    kind: AlertKind
    state: AlertState
    severity: Severity
    statement: Statement
    since_s: float
    at_s: float
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    engine_speed_rpm: float | None = None
    cylinder: int | None = None
    channel: str = ""
    latched: bool = False
