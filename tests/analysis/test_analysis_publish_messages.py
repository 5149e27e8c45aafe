import json
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from jsonschema import Draft202012Validator

from analysis.judging.limits_file import default_limits
from analysis.judging.pull_report import PullReport
from analysis.model.events import Alert, AlertKind, AlertState, Phase
from analysis.model.findings import Finding, Severity
from analysis.model.pull import EndReason, Pull, PullBounds, Refused
from analysis.model.setup import Air, Car
from analysis.phrases.say import as_written
from analysis.phrases.units import HOUSE
from analysis.publish.live.view import LiveView
from analysis.publish.messages.analysis import analysis_message, sounded
from analysis.publish.messages.comparison import comparison_message
from analysis.publish.messages.layout import HelloMessage
from analysis.publish.messages.live_page import LastPull
from analysis.publish.messages.message import VERSION, Versioned
from analysis.publish.messages.schemas import MESSAGES, schema_file, schema_text
from analysis.publish.messages.station import (
    AlertMessage,
    FindingMessage,
    LiveMessage,
    PullMessage,
    StatusMessage,
    VerdictMessage,
    because,
)
from analysis.publish.page.readouts import layout
from analysis.readiness.watch import ReadinessWatch
from analysis.stages.comparison import Comparison, Overlay
from analysis.stages.statistics import Interval
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

COMPARISON = Comparison(
    names=("baseline", "calibration A"),
    runs=(2, 1),
    engine_speed_rpm=np.array([2000.0, 2050.0]),
    overlays={
        "boost_pressure": Overlay(
            "boost_pressure",
            "kPa",
            mean_baseline=np.array([100.0, 101.0]),
            mean_changed=np.array([np.nan, 111.0]),
            difference=np.array([np.nan, 10.0]),
            half_width=np.array([np.nan, np.nan]),
        )
    },
    peak_gain=Interval(3.0, 1.0, 5.0, "kW"),
    area_gain=None,
    corrected_peak_gain=None,
    corrected_area_gain=None,
    drift=None,
    claimed=False,
    assessable=False,
    statements=(as_written("too few runs"),),
    conditions=(),
)

CHANNELS = {
    "rpm": Channel("rpm", "rpm", Quantity.ENGINE_SPEED),
    "boost": Channel("boost", "kPa", Quantity.BOOST_PRESSURE),
    "knock 3": Channel("knock 3", "deg", Quantity.KNOCK_RETARD, 3),
}


SESSION: dict[str, Any] = {"station": "bay-1", "session_id": "s"}
PULL_OF_SESSION: dict[str, Any] = {**SESSION, "number": 4, "pull_id": 17}


def live_view() -> LiveView:
    """A page that has something of everything."""
    live = LiveView({"rpm": Channel("rpm", "rpm", Quantity.ENGINE_SPEED)}, "bay-1")
    live.update({"rpm": Samples(np.arange(3.0), np.array([1.0, 2.0, np.nan]))}, 2.0)
    live.alert(replace(ALERT, state=AlertState.RAISED))
    live.air = Air(101.325, 20.0, 40.0, altitude_m=500.0)
    live.last_pull = LastPull(None, 1, Severity.STOP, (as_written("knock"),))
    live.readiness = ReadinessWatch(live.channels, default_limits()).judge()
    return live


SENT: tuple[Versioned, ...] = (
    StatusMessage(station="bay-1", state="online"),
    LiveMessage(
        **SESSION, at_s=1.5, phase=Phase.HOLD, values={"rpm": 2000.0, "lambda": float("nan")}
    ),
    AlertMessage(**SESSION, alert=ALERT),
    PullMessage(**SESSION, event="started", start_s=0.5, start_rpm=2000.0),
    PullMessage(**PULL_OF_SESSION, event="ended", start_s=0.5, end_s=12.5, bounds=BOUNDS),
    PullMessage(**SESSION, event="refused", start_s=0.5, reason=as_written("too short")),
    *(FindingMessage(**PULL_OF_SESSION, finding=finding) for finding in REPORT.findings),
    VerdictMessage(
        **PULL_OF_SESSION, verdict=Severity.STOP, because=because(REPORT.findings, Severity.STOP)
    ),
    analysis_message(
        [REPORT], [Refused(0.5, 1.0, as_written("too short"))], sounded([ALERT], [REPORT])
    ),
    live_view().now(),
    comparison_message(COMPARISON),
    HelloMessage(layout=layout(CHANNELS, Car(), HOUSE), history={"rpm": [(0.04, None)]}),
)


def name_of(message: Versioned) -> str:
    return next(name for name, model in MESSAGES.items() if isinstance(message, model))


@pytest.mark.parametrize("name", MESSAGES)
def test_the_committed_schema_is_the_one_generated(name: str) -> None:
    """Mend with: python -m analysis.publish.messages.schemas. Another release of pydantic may
    describe the same message in other words, and say less of what else may stand in it."""
    committed = json.loads(schema_file(name).read_text(encoding="utf-8"))
    assert form(committed) == form(json.loads(schema_text(name)))


def form(schema: Any) -> Any:
    """A JSON Schema without its descriptions, and without what it says of further properties."""
    if isinstance(schema, list):
        return [form(part) for part in schema]
    if not isinstance(schema, dict):
        return schema
    return {
        key: {name: form(part) for name, part in value.items()}
        if key in ("properties", "$defs")
        else form(value)
        for key, value in schema.items()
        if key not in ("description", "additionalProperties")
    }


@pytest.mark.parametrize("name", MESSAGES)
def test_a_schema_is_a_schema(name: str) -> None:
    Draft202012Validator.check_schema(json.loads(schema_text(name)))


def test_every_kind_of_message_is_sent_here() -> None:
    assert {name_of(message) for message in SENT} == set(MESSAGES)


@pytest.mark.parametrize("message", SENT, ids=name_of)
def test_what_is_built_is_what_the_schema_says(message: Versioned) -> None:
    sent = json.loads(message.model_dump_json(), parse_constant=pytest.fail)
    Draft202012Validator(json.loads(schema_text(name_of(message)))).validate(sent)
    assert sent["version"] == VERSION


def test_the_schema_refuses_what_is_not_a_message() -> None:
    validator = Draft202012Validator(json.loads(schema_text("verdict")))
    verdict = VerdictMessage(**PULL_OF_SESSION, verdict=Severity.STOP)
    good = json.loads(verdict.model_dump_json())
    assert validator.is_valid(good)
    assert not validator.is_valid({**good, "verdict": "fine"})
    assert not validator.is_valid({**good, "version": 1})
    assert not validator.is_valid({key: good[key] for key in good if key != "id"})
    assert not validator.is_valid({**good, "more": 1})


def test_a_finding_has_one_form_wherever_it_is_sent() -> None:
    finding = REPORT.findings[0]
    sent = FindingMessage(**PULL_OF_SESSION, finding=finding).model_dump(mode="json")
    printed = analysis_message([REPORT], [], []).model_dump(mode="json")
    assert sent["finding"] == finding.to_json() == printed["pulls"][0]["findings"][0]
    assert sent["finding"]["statements"][0]["text"] == "as asked"


def test_the_verdict_says_what_decided_it() -> None:
    assert [str(statement) for statement in because(REPORT.findings, Severity.STOP)] == [
        "held back"
    ]
