"""What `pullwatch watch` shows: never as if it were so now what was so long ago."""

from dataclasses import replace
from io import StringIO

import pytest
from rich.console import Console

from analysis.model.events import Alert, AlertKind, AlertState, Phase
from analysis.model.findings import Severity
from analysis.phrases.say import as_written
from analysis.publish.messages.station import (
    AlertMessage,
    LiveMessage,
    StationMessage,
    StatusMessage,
    VerdictMessage,
)
from capture.commands import watch
from capture.commands.watch import SILENT_AFTER_S, _Station

ALERT = Alert(
    "knock:3",
    AlertKind.KNOCK_RETARD,
    AlertState.RAISED,
    Severity.STOP,
    as_written("Cylinder 3 knocks"),
    1.0,
    1.2,
)


class At:
    """Instead of the monotonic clock."""

    now_s = 100.0

    def monotonic(self) -> float:
        return self.now_s


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> At:
    clock = At()
    monkeypatch.setattr(watch, "time", clock)
    return clock


def shown(station: _Station) -> str:
    console = Console(file=StringIO(), width=120)
    console.print(station.shown())
    return console.file.getvalue()  # type: ignore[attr-defined,no-any-return]


def told(*messages: StationMessage) -> _Station:
    station = _Station()
    for message in messages:
        tell(station, message)
    return station


def tell(station: _Station, message: StationMessage) -> None:
    """As it comes over MQTT."""
    station.take(message.topic, message.model_dump_json().encode())


def alerted(alert: Alert) -> AlertMessage:
    return AlertMessage(station="bay", session_id="s", alert=alert)


ONLINE = StatusMessage(station="bay", state="online")
LIVE = LiveMessage(
    station="bay", session_id="s", at_s=1.0, phase=Phase.SWEEP, values={"boost": 97.0}
)


def test_values_are_shown_while_they_come(clock: At) -> None:
    station = told(ONLINE, LIVE)
    assert "station online; sweep" in shown(station)
    assert "boost 97" in shown(station)
    clock.now_s += SILENT_AFTER_S + 0.1
    assert "station online; blind: no data comes" in shown(station)
    assert "boost" not in shown(station)


@pytest.mark.usefixtures("clock")
def test_a_station_that_went_has_no_values() -> None:
    assert "boost" not in shown(told(ONLINE, LIVE, StatusMessage(station="bay", state="offline")))


@pytest.mark.usefixtures("clock")
def test_alerts_stand_until_they_are_cleared_or_another_session_begins() -> None:
    station = told(ONLINE, LIVE, alerted(ALERT))
    assert "Cylinder 3 knocks" in shown(station)
    tell(station, alerted(replace(ALERT, state=AlertState.CLEARED)))
    assert "Cylinder 3" not in shown(station)
    tell(station, alerted(ALERT))
    tell(station, ONLINE)
    assert "Cylinder 3" not in shown(station)


@pytest.mark.usefixtures("clock")
def test_a_verdict_is_shown_with_what_decided_it() -> None:
    verdict = VerdictMessage(
        station="bay",
        session_id="s",
        number=4,
        verdict=Severity.STOP,
        because=(as_written("Cylinder 3 knocks"), as_written("and more")),
    )
    assert "pull 4: stop. Cylinder 3 knocks\n" in shown(told(ONLINE, verdict)).replace(" \n", "\n")


@pytest.mark.usefixtures("clock")
@pytest.mark.parametrize(
    ("payload", "why"),
    [
        (b'{"version": 4, "state": "calm"}', "version 4 from a newer pullwatch"),
        (b'{"version": 1, "state": "online"}', "version 1 from an older pullwatch"),
        (b'{"version": 3, "station": "bay", "state": "calm"}', "state is not as it must be"),
        (b"hello", "no message of pullwatch"),
    ],
)
def test_a_message_that_cannot_be_read_is_shown_as_such_and_ends_nothing(
    payload: bytes, why: str
) -> None:
    station = told(ONLINE, LIVE)
    station.take("status", payload)
    assert why in shown(station)
    assert "station online; sweep" in shown(station)
    station.take("weather", b"{}")
    assert "weather: no topic of version 3" in shown(station)
