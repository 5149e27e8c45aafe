"""What the operator states during a session, and what the bay notes itself: a record's payload.

Each record is JSON with a `kind` and a `version`. `read_operator_record` is the only place that
reads one and `operator_payload` the only one that writes one, so that a replay and the bay cannot
take a record for two different things.
"""

import json
from collections.abc import Mapping
from typing import Annotated, Any, Final, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

from decode.errors import RecordingError

VERSION: Final = 1


class _Record(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)
    version: Literal[1] = VERSION


class StageEntered(_Record):
    """Pulls fall into this stage from now on: the car is in another state. stage_id: its number
    in the store, None where the recording does not say."""

    kind: Literal["stage_entered"] = "stage_entered"
    job: str
    stage: str
    stage_id: int | None


class AlertAcknowledged(_Record):
    """Somebody has seen the alert of this key."""

    kind: Literal["alert_acknowledged"] = "alert_acknowledged"
    key: str


class AirRead(_Record):
    """What the operator read off instruments at the dyno; None: not read, so it stays as it was."""

    kind: Literal["air_read"] = "air_read"
    barometric_kpa: float | None = None
    temperature_degc: float | None = None
    relative_humidity_percent: float | None = None

    @property
    def readings(self) -> dict[str, float]:
        """What was read, by the name of its field."""
        return self.model_dump(exclude={"kind", "version"}, exclude_none=True)


class PointTicked(_Record):
    """The operator has looked at a point of the list before a pull, or takes it back. point: its
    place in the station's list, from 0."""

    kind: Literal["point_ticked"] = "point_ticked"
    point: Annotated[int, Field(ge=0)]
    done: bool


class SilencePassed(_Record):
    """Noted by the bay while no source delivers: the session's time goes on by this much."""

    kind: Literal["silence_passed"] = "silence_passed"
    duration_s: Annotated[float, Field(ge=0.0)]


OperatorRecord = StageEntered | AlertAcknowledged | AirRead | PointTicked | SilencePassed

_RECORD: Final[TypeAdapter[OperatorRecord]] = TypeAdapter(
    Annotated[OperatorRecord, Field(discriminator="kind")]
)


def operator_payload(record: OperatorRecord) -> bytes:
    """The record as a recording keeps it."""
    return record.model_dump_json().encode()


def read_operator_record(payload: bytes) -> OperatorRecord | None:
    """The record of a payload; None for one of an earlier version that has no effect any more.

    Raises RecordingError for a newer version and for a payload that is no such record.
    """
    try:
        document = json.loads(payload)
        if not isinstance(document, dict):
            raise ValueError("it is no JSON object")
        version = document.get("version", 0)
        if version == 0:
            return _of_version_0(document)
        if version != VERSION:
            raise ValueError(
                f"it has version {version}, and this pullwatch reads versions up to {VERSION}: "
                "read the recording with the pullwatch that made it, or a newer one"
            )
        return _RECORD.validate_python(document)
    except ValueError as error:  # pydantic's and json's are ValueErrors
        shown = payload.decode("utf-8", "replace")
        raise RecordingError(
            f"the operator's record {shown} cannot be read: {_reason(error)}"
        ) from error


def _of_version_0(document: Mapping[str, Any]) -> OperatorRecord | None:
    """Records had no version at first: each kind was known by a key of its own."""
    match document:
        case {"stage": stage}:
            job, stage_id = document.get("job", ""), document.get("stage_id")
            return StageEntered(job=job, stage=stage, stage_id=stage_id)
        case {"acknowledge": key}:
            return AlertAcknowledged(key=key)
        case {"air": dict(readings)}:
            return AirRead(**readings)
        case {"ticked": point, "done": done}:
            return PointTicked(point=point, done=done)
        case {"quiet_s": duration_s}:
            return SilencePassed(duration_s=duration_s)
    return None


def _reason(error: ValueError) -> str:
    if not isinstance(error, ValidationError):
        return str(error)
    return "; ".join(
        f"{'.'.join(map(str, each['loc']))}: {each['msg']}".removeprefix(": ")
        for each in error.errors()
    )
