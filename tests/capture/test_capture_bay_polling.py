"""The bay and an ECU that asks for patience: it may think for seconds (ISO 14229-2, P2*)."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from uuid import uuid4

import can
import pytest
from patience import until
from small_bay import at_work

from capture.station.station import load_station

THINKS_S = 1.6  # longer than a source that is only listened to may be silent
MAP = """\
pullwatch_map: 1
channels:
  pressure: {source: ecu, diagnostic: {service: 0x22, identifier: 1, start_bit: 0, bits: 8}}
"""
STATION = """\
pullwatch_station: 1
name: bay
map: map.yaml
sources:
  ecu: {diagnostics: {interface: virtual, channel: %s, request: 0x7E0}}
broker: none
page: none
"""


@contextmanager
def thinking_ecu(channel: str) -> Iterator[None]:
    stop = threading.Event()

    def work() -> None:
        with can.Bus(interface="virtual", channel=channel) as bus:
            while not stop.is_set():
                if bus.recv(0.02) is None:
                    continue
                for wait_s, data in ((0.0, "03 7F 22 78"), (THINKS_S, "04 62 00 01 2A")):
                    stop.wait(wait_s)
                    payload = bytes.fromhex(data)
                    bus.send(can.Message(0.0, 0x7E8, is_extended_id=False, data=payload))

    thread = threading.Thread(target=work)
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join()


async def test_an_ecu_that_asks_for_patience_is_not_opened_anew(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    channel = str(uuid4())
    (tmp_path / "map.yaml").write_text(MAP)
    (tmp_path / "station.yaml").write_text(STATION % channel)
    with thinking_ecu(channel):
        async with at_work(load_station(tmp_path / "station.yaml")) as bay:
            await until(lambda: bay.live.values().get("pressure") is not None)
    assert bay.live.values()["pressure"] == 42.0
    assert "nothing was heard" not in caplog.text
