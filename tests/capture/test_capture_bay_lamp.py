"""The lamp beside the operator, from the station file to the cable."""

import asyncio
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from patience import PATIENCE_S, until
from small_bay import at_work, drive, station_in
from transports import Plug

from decode.operator_records import AlertAcknowledged


@pytest.fixture
def cable() -> Iterator[socket.socket]:
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(PATIENCE_S)
        yield server


def lamp_at(port: int) -> str:
    return f'lamp: {{url: "socket://127.0.0.1:{port}"}}\n'


async def test_knock_in_a_pull_lights_the_lamp_and_the_operator_puts_it_out(
    tmp_path: Path, plug: Plug, cable: socket.socket
) -> None:
    station = station_in(tmp_path, plug.url, more=lamp_at(cable.getsockname()[1]))
    async with at_work(station, plug) as bay:
        peer, _ = await asyncio.to_thread(cable.accept)
        await drive(plug, 0.0, 11.0)
        await until(lambda: any(alert.channel == "knock" for alert in bay.live.alerts))
        for alert in bay.live.alerts:
            bay.record(AlertAcknowledged(key=alert.key))
        await until(lambda: not bay.live.alerts)
    with peer, peer.makefile("rb") as lines:
        said = lines.read().decode().splitlines()
    assert [line for line in said if "knock" in line] == [
        "STOP knock_retard cylinder 1",
        "CLEAR knock_retard cylinder 1",
    ]


async def test_a_lamp_that_is_away_holds_up_neither_the_pull_nor_the_end(
    tmp_path: Path, plug: Plug, cable: socket.socket, caplog: pytest.LogCaptureFixture
) -> None:
    port = cable.getsockname()[1]
    cable.close()
    station = station_in(tmp_path, plug.url, more=lamp_at(port))
    async with at_work(station, plug) as bay:
        await drive(plug, 0.0, 11.0)
        await until(lambda: bay.live.last_pull is not None)
    assert len([line for line in caplog.messages if line.startswith("lamp socket://")]) == 1
