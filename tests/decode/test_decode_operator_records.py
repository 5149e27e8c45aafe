"""What the operator states, written and read in one place, in today's form and the first one."""

import json
from typing import Any

import pytest

from decode.errors import RecordingError
from decode.operator_records import (
    VERSION,
    AirRead,
    AlertAcknowledged,
    OperatorRecord,
    PointTicked,
    SilencePassed,
    StageEntered,
    operator_payload,
    read_operator_record,
)

RECORDS: list[OperatorRecord] = [
    StageEntered(job="Job 12", stage="more boost", stage_id=7),
    AlertAcknowledged(key="knock_retard:knock"),
    AirRead(barometric_kpa=97.3, temperature_degc=19.0),
    PointTicked(point=3, done=False),
    SilencePassed(duration_s=0.25),
]
# As the bay wrote them before records had a version.
VERSION_0: list[tuple[dict[str, Any], OperatorRecord | None]] = [
    ({"job": "Job 12", "stage": "more boost", "stage_id": 7}, RECORDS[0]),
    ({"stage": "as it came", "stage_id": 1}, StageEntered(job="", stage="as it came", stage_id=1)),
    ({"acknowledge": "knock_retard:knock"}, RECORDS[1]),
    ({"air": {"barometric_kpa": 97.3, "temperature_degc": 19}}, RECORDS[2]),
    ({"ticked": 3, "done": False}, RECORDS[3]),
    ({"quiet_s": 0.25}, RECORDS[4]),
    ({"heartbeat": True}, None),
]


@pytest.mark.parametrize("record", RECORDS, ids=lambda record: record.kind)
def test_what_is_written_is_read_again_and_names_kind_and_version(record: OperatorRecord) -> None:
    payload = operator_payload(record)
    assert read_operator_record(payload) == record
    document = json.loads(payload)
    assert (document["kind"], document["version"]) == (record.kind, VERSION)


@pytest.mark.parametrize(("document", "record"), VERSION_0, ids=lambda each: str(each)[:30])
def test_a_record_of_before_there_were_versions_is_read_as_one_of_today(
    document: dict[str, Any], record: OperatorRecord | None
) -> None:
    assert read_operator_record(json.dumps(document).encode()) == record


def test_only_what_was_read_is_a_reading() -> None:
    assert AirRead(relative_humidity_percent=40.0).readings == {"relative_humidity_percent": 40.0}


@pytest.mark.parametrize(
    ("payload", "why"),
    [
        (b'{"version": 2, "kind": "lap"}', "has version 2, and this pullwatch reads .* up to 1"),
        (b'{"version": 1, "kind": "lap"}', "'lap'"),
        (b'{"version": 1, "kind": "point_ticked", "point": 1}', "done: Field required"),
        (b'{"version": 1, "kind": "silence_passed", "duration_s": -1}', "duration_s"),
        (b'{"ticked": -1, "done": true}', "point"),
        (b'{"air": {"temperature": 20}}', "temperature"),
        (b"[1]", "no JSON object"),
        (b"\xff{", "cannot be read"),
    ],
)
def test_a_record_that_cannot_be_read_is_shown_with_the_reason(payload: bytes, why: str) -> None:
    with pytest.raises(RecordingError, match=f"the operator's record .*{why}"):
        read_operator_record(payload)
