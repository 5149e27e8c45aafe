"""What `pullwatch watch` shows: never as if it were so now what was so long ago."""

from io import StringIO
from typing import Any

import pytest
from rich.console import Console

from capture.commands import watch
from capture.commands.watch import SILENT_AFTER_S, _Station

ALERT = {
    "key": "knock:3",
    "state": "raised",
    "severity": "stop",
    "statement": {"text": "Cylinder 3 knocks"},
}


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


def told(*said: tuple[str, dict[str, Any]]) -> _Station:
    station = _Station()
    for topic, message in said:
        station.take(topic, message)
    return station


ONLINE = ("status", {"state": "online"})
LIVE = ("live", {"phase": "sweep", "values": {"boost": 97.0}})


def test_values_are_shown_while_they_come(clock: At) -> None:
    station = told(ONLINE, LIVE)
    assert "station online; sweep" in shown(station)
    assert "boost 97" in shown(station)
    clock.now_s += SILENT_AFTER_S + 0.1
    assert "station online; blind: no data comes" in shown(station)
    assert "boost" not in shown(station)


@pytest.mark.usefixtures("clock")
def test_a_station_that_went_has_no_values() -> None:
    assert "boost" not in shown(told(ONLINE, LIVE, ("status", {"state": "offline"})))


@pytest.mark.usefixtures("clock")
def test_alerts_stand_until_they_are_cleared_or_another_session_begins() -> None:
    station = told(ONLINE, LIVE, ("alert", {"alert": ALERT}))
    assert "Cylinder 3 knocks" in shown(station)
    station.take("alert", {"alert": ALERT | {"state": "cleared"}})
    assert "Cylinder 3" not in shown(station)
    station.take("alert", {"alert": ALERT})
    station.take(*ONLINE)
    assert "Cylinder 3" not in shown(station)
