import json
from typing import Any

import numpy as np
import pytest
from jsonschema import Draft202012Validator

from analysis.judging.pull_report import PullReport
from analysis.model.events import Alert, AlertKind, AlertState, Phase, PullStarted
from analysis.model.findings import Finding, Severity
from analysis.model.pull import EndReason, Pull, PullBounds, Refused
from analysis.phrases.say import as_written
from analysis.publish.mqtt import documents
from analysis.publish.mqtt.topics import Topic
from decode.quantities import Quantity
from decode.samples import Channel, Samples

BOUNDS = PullBounds(
    0.5, 12.5, 2000.0, 6500.0, True, EndReason.LIMITER, Quantity.PEDAL_POSITION, 99.0
)
REPORT = PullReport(
    pull=Pull(
        4,
        BOUNDS,
        {"rpm": Channel("rpm", "rpm", Quantity.ENGINE_SPEED)},
        {"rpm": Samples(np.arange(3.0), np.arange(3.0))},
    ),
    findings=(
        Finding("boost", Severity.HEALTHY, (as_written("as asked"),)),
        Finding("ignition", Severity.STOP, (as_written("held back"),), value=float("nan")),
    ),
    verdict=Severity.STOP,
    power=None,
)
ALERT = Alert(
    "blind",
    AlertKind.BLIND,
    AlertState.CLEARED,
    Severity.LOOK_CLOSER,
    as_written("sees again"),
    1.0,
    2.0,
)


@pytest.mark.parametrize("topic", Topic)
def test_the_committed_schema_is_the_one_generated(topic: Topic) -> None:
    """Mend with: python -m analysis.publish.mqtt.documents"""
    assert documents.schema_file(topic).read_text(encoding="utf-8") == documents.schema_text(topic)


@pytest.mark.parametrize("topic", Topic)
def test_a_schema_is_a_schema(topic: Topic) -> None:
    Draft202012Validator.check_schema(json.loads(documents.schema_text(topic)))


@pytest.mark.parametrize(
    ("topic", "document"),
    [
        (Topic.STATUS, {"state": "online"}),
        (
            Topic.LIVE,
            documents.live_document("s", 1.5, Phase.HOLD, {"rpm": 2000.0, "lambda": np.nan}),
        ),
        (Topic.ALERT, documents.alert_document("s", ALERT)),
        (Topic.PULL, documents.pull_started_document("s", PullStarted(0.5, 2000.0))),
        (Topic.PULL, documents.pull_ended_document("s", 4, BOUNDS, pull_id=17)),
        (
            Topic.PULL,
            documents.pull_refused_document("s", Refused(0.5, 1.0, as_written("too short"))),
        ),
        *((Topic.FINDING, each) for each in documents.finding_documents("s", REPORT, 17)),
        (Topic.VERDICT, documents.verdict_document("s", REPORT, 17)),
    ],
)
def test_what_is_built_is_what_the_schema_says(topic: Topic, document: dict[str, Any]) -> None:
    message = documents.MODELS[topic](station="bay-1", **document)
    sent = json.loads(message.model_dump_json(), parse_constant=pytest.fail)
    Draft202012Validator(json.loads(documents.schema_text(topic))).validate(sent)
    for key, value in document.items():
        if isinstance(value, str | int):
            assert sent[key] == value


def test_the_schema_refuses_what_is_not_a_message() -> None:
    validator = Draft202012Validator(json.loads(documents.schema_text(Topic.VERDICT)))
    verdict = documents.MODELS[Topic.VERDICT](
        station="bay-1", **documents.verdict_document("s", REPORT)
    )
    good = json.loads(verdict.model_dump_json())
    assert validator.is_valid(good)
    assert not validator.is_valid({**good, "verdict": "fine"})
    assert not validator.is_valid({**good, "version": 2})
    assert not validator.is_valid({key: good[key] for key in good if key != "id"})
    assert not validator.is_valid({**good, "more": 1})


def test_a_finding_arrives_whole_and_the_verdict_says_why() -> None:
    boost, ignition = documents.finding_documents("s", REPORT)
    sent = documents.MODELS[Topic.FINDING](station="bay-1", **boost).model_dump(mode="json")
    assert sent["finding"] == REPORT.findings[0].to_json()
    assert (ignition["number"], ignition["pull_id"]) == (4, None)
    assert documents.verdict_document("s", REPORT)["because"] == ["held back"]
