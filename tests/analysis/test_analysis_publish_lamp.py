import socket
from dataclasses import replace

import pytest

from analysis.events import Alert, AlertKind, AlertState
from analysis.findings import Severity
from analysis.publish.lamp import WAITING_LINES, Lamp, lamp_line

RAISED = Alert(
    "knock_retard/3",
    AlertKind.KNOCK_RETARD,
    AlertState.RAISED,
    Severity.STOP,
    "Cylinder 3 is held back.",
    1.0,
    1.2,
    cylinder=3,
    channel="retard_3",
)


@pytest.mark.parametrize(
    ("alert", "line"),
    [
        (RAISED, "STOP knock_retard cylinder 3"),
        (replace(RAISED, state=AlertState.CLEARED), "CLEAR knock_retard cylinder 3"),
        (replace(RAISED, state=AlertState.UPDATED), None),
        (
            replace(RAISED, kind=AlertKind.BLIND, severity=Severity.LOOK_CLOSER, cylinder=None),
            "LOOK_CLOSER blind retard_3",
        ),
        (replace(RAISED, kind=AlertKind.OVER_BOOST, cylinder=None, channel=""), "STOP over_boost"),
    ],
)
def test_one_line_tells_what_and_where(alert: Alert, line: str | None) -> None:
    assert lamp_line(alert) == line


def test_lines_reach_the_port_in_order() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(5.0)
        with Lamp(f"socket://127.0.0.1:{server.getsockname()[1]}") as lamp:
            peer, _ = server.accept()
            lamp.show(RAISED)
            lamp.show(replace(RAISED, state=AlertState.UPDATED))
            lamp.show(replace(RAISED, state=AlertState.CLEARED))
        with peer, peer.makefile("rb") as lines:
            assert lines.read() == b"STOP knock_retard cylinder 3\nCLEAR knock_retard cylinder 3\n"
    assert lamp.failure is None


def test_a_missing_port_is_said_and_holds_nobody_up() -> None:
    with Lamp("/dev/no-such-port") as lamp:
        for _ in range(WAITING_LINES + 5):
            lamp.show(RAISED)
        while lamp.failure is None:
            pass
        assert lamp.dropped == 5
    assert "no-such-port" in lamp.failure
