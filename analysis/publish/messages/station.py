"""What a station says over MQTT: one message a topic."""

import time
import uuid
from collections.abc import Sequence
from enum import StrEnum
from typing import Annotated, ClassVar, Literal

from pydantic import BaseModel, Field, ValidationError

from analysis.model.events import Alert, Phase
from analysis.model.findings import Finding, Severity
from analysis.model.pull import PullBounds
from analysis.phrases.statement import Statement
from analysis.power.figures import PowerFigures
from analysis.publish.messages.message import VERSION, Versioned
from decode.errors import PullwatchError

SessionId = Annotated[str, Field(description="The recording this belongs to.")]
PullNumber = Annotated[int, Field(description="From 1 in the session.")]
PullId = Annotated[int | None, Field(description="In the store; null where it was not stored.")]
Seconds = Annotated[float, Field(description="Seconds since the session started.")]


class Topic(StrEnum):
    """The last part of the topic's name."""

    STATUS = "status"
    LIVE = "live"
    ALERT = "alert"
    PULL = "pull"
    FINDING = "finding"
    VERDICT = "verdict"


class StationMessage(Versioned):
    """What every message carries. A consumer drops a message whose id it has seen: after an
    outage the last one may come twice."""

    topic: ClassVar[Topic]

    id: str = Field(default_factory=lambda: uuid.uuid4().hex)
    station: str
    created_unix_ns: int = Field(default_factory=time.time_ns, description="Wall clock.")


class StatusMessage(StationMessage):
    """Whether the station is there. The broker itself says offline when the station is cut off."""

    topic = Topic.STATUS

    state: Literal["online", "offline"]
    reason: str = ""
    session_id: str | None = None


class LiveMessage(StationMessage):
    """The newest value of every channel, in the channel's unit; null where there is none."""

    topic = Topic.LIVE

    session_id: SessionId
    at_s: Seconds
    phase: Phase
    values: dict[str, float | None]


class AlertMessage(StationMessage):
    """One change of one alert."""

    topic = Topic.ALERT

    session_id: SessionId
    alert: Alert
    record_arrived_unix_ns: int | None = Field(
        default=None,
        description="Wall clock when the record behind this change came from its adapter; null "
        "where none did (silence, an acknowledgement).",
    )


class PullMessage(StationMessage):
    """A pull has started or ended, or a candidate was refused; reason says why it was."""

    topic = Topic.PULL

    session_id: SessionId
    event: Literal["started", "ended", "refused"]
    start_s: Seconds
    end_s: float | None = None
    start_rpm: float | None = None
    number: int | None = None
    pull_id: PullId = None
    bounds: PullBounds | None = None
    reason: Statement | None = None


class FindingMessage(StationMessage):
    """One finding of one pull."""

    topic = Topic.FINDING

    session_id: SessionId
    number: PullNumber
    pull_id: PullId = None
    finding: Finding


class VerdictMessage(StationMessage):
    """What the findings of a pull add up to. because: what was seen that decided it. power: the
    peaks with their uncertainty; null without a dyno."""

    topic = Topic.VERDICT

    session_id: SessionId
    number: PullNumber
    pull_id: PullId = None
    verdict: Severity
    because: tuple[Statement, ...] = ()
    power: PowerFigures | None = None


STATION_MESSAGES: tuple[type[StationMessage], ...] = (
    StatusMessage,
    LiveMessage,
    AlertMessage,
    PullMessage,
    FindingMessage,
    VerdictMessage,
)
MESSAGE_OF = {message.topic: message for message in STATION_MESSAGES}


class UnreadMessageError(PullwatchError):
    """What came under a station's topics is no message that this version knows."""


class _AnyVersion(BaseModel):
    """What a message of every version has."""

    version: int


def read_message(topic: str, payload: bytes) -> StationMessage:
    """The message that came under a topic; topic: the last part of its name.

    Raises UnreadMessageError for an unknown topic, for another version, for what is no message.
    """
    if topic not in MESSAGE_OF:
        raise UnreadMessageError(f"{topic}: no topic of version {VERSION}")
    try:
        return MESSAGE_OF[Topic(topic)].model_validate_json(payload)
    except ValidationError as error:
        raise UnreadMessageError(f"{topic}: {_why_unread(payload, error)}") from error


def _why_unread(payload: bytes, error: ValidationError) -> str:
    try:
        version = _AnyVersion.model_validate_json(payload).version
    except ValidationError:
        return "what came is no message of pullwatch"
    if version == VERSION:
        first = error.errors()[0]
        return f"{'.'.join(map(str, first['loc']))} is not as it must be: {first['msg']}"
    sender = "a newer" if version > VERSION else "an older"
    return (
        f"a message of version {version} from {sender} pullwatch, this one reads "
        f"version {VERSION}: install the same version at both ends"
    )


def because(findings: Sequence[Finding], verdict: Severity) -> tuple[Statement, ...]:
    """The first statement of every finding that made the verdict."""
    return tuple(finding.statements[0] for finding in findings if finding.severity is verdict)
