"""What is said over MQTT: one versioned JSON document a topic, and its JSON Schema.

The models are built on the analysis' own types, so that a schema cannot drift from what is sent.
`python -m analysis.publish.mqtt.documents` writes the schemas that are committed beside this file.
"""

import json
import time
import uuid
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Final, Literal

from pydantic import BaseModel, ConfigDict, Field

from analysis.judging.pull_report import PullReport
from analysis.model.events import Alert, Phase, PullStarted
from analysis.model.findings import Finding, Severity
from analysis.model.pull import PullBounds, Refused
from analysis.publish.mqtt.topics import Topic

SCHEMAS: Final = Path(__file__).parent / "schemas"

SessionId = Annotated[str, Field(description="The recording this belongs to.")]
PullNumber = Annotated[int, Field(description="From 1 in the session.")]
PullId = Annotated[int | None, Field(description="In the store; null where it was not stored.")]
Seconds = Annotated[float, Field(description="Seconds since the session started.")]


class Message(BaseModel):
    """What every message carries. A consumer drops a message whose id it has seen: after an
    outage the last one may come twice."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        ser_json_inf_nan="null",  # they have no JSON of their own
        json_schema_serialization_defaults_required=True,  # every key is always sent
    )

    version: Literal[1] = 1
    id: str = Field(default_factory=lambda: uuid.uuid4().hex)
    station: str
    created_unix_ns: int = Field(default_factory=time.time_ns, description="Wall clock.")


class StatusMessage(Message):
    """Whether the station is there. The broker itself says offline when the station is cut off."""

    state: Literal["online", "offline"]
    reason: str = ""
    session_id: str | None = None


class LiveMessage(Message):
    """The newest value of every channel, in the channel's unit; null where there is none."""

    session_id: SessionId
    at_s: Seconds
    phase: Phase
    values: dict[str, float | None]


class AlertMessage(Message):
    """One change of one alert."""

    session_id: SessionId
    alert: Alert
    record_arrived_unix_ns: int | None = Field(
        description="Wall clock when the record behind this change came from its adapter; null "
        "where none did (silence, an acknowledgement)."
    )


class PullMessage(Message):
    """A pull has started or ended, or a candidate was refused; reason says why it was."""

    session_id: SessionId
    event: Literal["started", "ended", "refused"]
    start_s: Seconds
    end_s: float | None = None
    start_rpm: float | None = None
    number: int | None = None
    pull_id: PullId = None
    bounds: PullBounds | None = None
    reason: str = ""


class FindingMessage(Message):
    """One finding of one pull."""

    session_id: SessionId
    number: PullNumber
    pull_id: PullId = None
    finding: Finding


class VerdictMessage(Message):
    """What the findings of a pull add up to. because: the statements that decided it."""

    session_id: SessionId
    number: PullNumber
    pull_id: PullId = None
    verdict: Severity
    because: tuple[str, ...] = ()


MODELS: Final[Mapping[Topic, type[Message]]] = {
    Topic.STATUS: StatusMessage,
    Topic.LIVE: LiveMessage,
    Topic.ALERT: AlertMessage,
    Topic.PULL: PullMessage,
    Topic.FINDING: FindingMessage,
    Topic.VERDICT: VerdictMessage,
}


def live_document(
    session_id: str, at_s: float, phase: Phase, values: Mapping[str, float | None]
) -> dict[str, Any]:
    """For LIVE."""
    return {"session_id": session_id, "at_s": at_s, "phase": phase, "values": dict(values)}


def alert_document(
    session_id: str, alert: Alert, record_arrived_unix_ns: int | None = None
) -> dict[str, Any]:
    """For ALERT."""
    return {
        "session_id": session_id,
        "alert": alert,
        "record_arrived_unix_ns": record_arrived_unix_ns,
    }


def pull_started_document(session_id: str, started: PullStarted) -> dict[str, Any]:
    """For PULL, when a sweep begins."""
    return {
        "session_id": session_id,
        "event": "started",
        "start_s": started.start_s,
        "start_rpm": started.start_rpm,
    }


def pull_refused_document(session_id: str, refused: Refused) -> dict[str, Any]:
    """For PULL, when a candidate is no pull."""
    return {
        "session_id": session_id,
        "event": "refused",
        "start_s": refused.start_s,
        "end_s": refused.end_s,
        "reason": refused.reason.text,
    }


def pull_ended_document(
    session_id: str, number: int, bounds: PullBounds, pull_id: int | None = None
) -> dict[str, Any]:
    """For PULL, when a pull's bounds are decided."""
    return {
        "session_id": session_id,
        "event": "ended",
        "start_s": bounds.start_s,
        "end_s": bounds.end_s,
        "start_rpm": bounds.start_rpm,
        "number": number,
        "pull_id": pull_id,
        "bounds": bounds,
    }


def finding_documents(
    session_id: str, report: PullReport, pull_id: int | None = None
) -> list[dict[str, Any]]:
    """For FINDING, one of each finding, in their order."""
    number = report.pull.number
    return [
        {"session_id": session_id, "number": number, "pull_id": pull_id, "finding": finding}
        for finding in report.findings
    ]


def verdict_document(
    session_id: str, report: PullReport, pull_id: int | None = None
) -> dict[str, Any]:
    """For VERDICT."""
    return {
        "session_id": session_id,
        "number": report.pull.number,
        "pull_id": pull_id,
        "verdict": report.verdict,
        "because": [f.text for f in report.findings if f.severity is report.verdict],
    }


def schema_text(topic: Topic) -> str:
    """The JSON Schema of the topic's messages, as it is committed."""
    schema = MODELS[topic].model_json_schema(mode="serialization")
    schema = {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
    return json.dumps(schema, indent=2) + "\n"


def schema_file(topic: Topic) -> Path:
    """Where the topic's JSON Schema stands in the package."""
    return SCHEMAS / f"{topic.value}.schema.json"


if __name__ == "__main__":
    for each in Topic:
        schema_file(each).write_text(schema_text(each), encoding="utf-8", newline="\n")
