import asyncio
import socket
from dataclasses import replace

import pytest
from patience import PATIENCE_S, until

from analysis.model.events import Alert, AlertKind, AlertState
from analysis.model.findings import Severity
from analysis.phrases.say import as_written
from analysis.publish.live.lamp import WAITING_LINES, Lamp, lamp_line

RAISED = Alert(
    "knock_retard/3",
    AlertKind.KNOCK_RETARD,
    AlertState.RAISED,
    Severity.STOP,
    as_written("Cylinder 3 is held back."),
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
        (replace(RAISED, state=AlertState.UPDATED), "STOP knock_retard cylinder 3"),
        (
            replace(RAISED, kind=AlertKind.BLIND, severity=Severity.LOOK_CLOSER, cylinder=None),
            "LOOK_CLOSER blind retard_3",
        ),
        (replace(RAISED, kind=AlertKind.OVER_BOOST, cylinder=None, channel=""), "STOP over_boost"),
    ],
)
def test_one_line_tells_what_and_where(alert: Alert, line: str) -> None:
    assert lamp_line(alert) == line


async def shown(*alerts: Alert) -> list[str]:
    """The lines at the other end of the port."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(PATIENCE_S)
        async with Lamp(f"socket://127.0.0.1:{server.getsockname()[1]}") as lamp:
            peer, _ = await asyncio.to_thread(server.accept)
            for alert in alerts:
                lamp.show(alert)
        with peer, peer.makefile("rb") as lines:
            assert lamp.failure is None
            return lines.read().decode().splitlines()


async def test_lines_reach_the_port_in_order() -> None:
    worse = replace(RAISED, state=AlertState.UPDATED, value=9.0)
    over = replace(RAISED, state=AlertState.CLEARED, severity=Severity.HEALTHY)
    assert await shown(RAISED, worse, over) == [
        "STOP knock_retard cylinder 3",
        "CLEAR knock_retard cylinder 3",
    ]


async def test_a_more_serious_alert_and_one_that_comes_back_in_a_new_pull_are_lines_again() -> None:
    watch = replace(RAISED, severity=Severity.LOOK_CLOSER)
    stop = replace(RAISED, state=AlertState.UPDATED)
    new_pull = replace(stop, since_s=60.0, at_s=60.1)
    assert await shown(watch, stop, stop, new_pull) == [
        "LOOK_CLOSER knock_retard cylinder 3",
        *["STOP knock_retard cylinder 3"] * 2,
    ]


async def test_a_missing_port_is_said_and_holds_nobody_up() -> None:
    async with Lamp("/dev/no-such-port") as lamp:
        for _ in range(WAITING_LINES + 5):
            lamp.show(RAISED)
        await until(lambda: lamp.failure is not None)
        assert lamp.dropped == 5
    assert "no-such-port" in (lamp.failure or "")
