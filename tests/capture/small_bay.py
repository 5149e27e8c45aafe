"""A small bay for tests: one line source over a pty, driven through a short pull."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Final

import numpy as np
from patience import PATIENCE_S, until
from transports import Plug

from capture.bay.bay import Bay
from capture.bay.opening import open_bay
from capture.station.station import Station, load_station
from capture.supervision.reconnect import SourceState

SPEED: Final = 10.0  # session seconds a real second
RATE_HZ: Final = 50.0
MAP: Final = """\
pullwatch_map: 1
lines:
  ecu: {delimiter: ";", clock: {field: 0, unit: s}}
channels:
  engine_speed: {quantity: engine_speed, source: ecu, unit: rpm, line: {field: 1}}
  pedal: {quantity: pedal_position, source: ecu, unit: "%", line: {field: 2}}
  knock: {quantity: knock_retard, cylinder: 1, source: ecu, unit: deg, line: {field: 3}}
"""
STATION: Final = """\
pullwatch_station: 1
name: bay
map: map.yaml
store: store
clock_speed: 10
sources:
  ecu: {{lines: {{url: "{url}"}}}}
broker: {broker}
page: {page}
"""
HELLO: Final = b"still here"  # no line that the map knows
HELLO_PERIOD_S: Final = 0.05  # far below the silence after which a source is opened anew
IDLE_S, HOLD_S, SWEEP_S = 2.0, 1.0, 5.0


def line(at_s: float) -> bytes:
    """What the ECU says: idle, full pedal at 2000 rpm, a sweep to 6000 rpm with knock, a lift."""
    swept_s = at_s - IDLE_S - HOLD_S
    full = at_s >= IDLE_S and swept_s < SWEEP_S
    lifted_s = max(0.0, swept_s - SWEEP_S)
    rpm = np.clip(2000.0 + 800.0 * swept_s, 2000.0, 6000.0) - 1500.0 * min(lifted_s, 2.0)
    knock = 7.0 if full and 1.5 < swept_s < 2.5 else 0.0
    return f"{at_s:.3f};{rpm:.1f};{100.0 if full else 5.0};{knock}\n".encode()


async def drive(plug: Plug, from_s: float, to_s: float) -> None:
    """Send what the ECU says between two of its seconds, in its time."""
    loop = asyncio.get_running_loop()
    began = loop.time()
    for tick in range(round(from_s * RATE_HZ), round(to_s * RATE_HZ)):
        at_s = tick / RATE_HZ
        await asyncio.sleep(max(0.0, began + (at_s - from_s) / SPEED - loop.time()))
        plug.write(line(at_s))


def station_in(
    folder: Path,
    url: str,
    broker: str = "none",
    page: str = "none",
    map_text: str = MAP,
    more: str = "",
) -> Station:
    """The station of this bay. more: lines of the station file."""
    (folder / "map.yaml").write_text(map_text, "utf-8")
    station = folder / "station.yaml"
    station.write_text(STATION.format(url=url, broker=broker, page=page) + more, "utf-8")
    return load_station(station)


@asynccontextmanager
async def at_work(station: Station, plug: Plug | None = None) -> AsyncIterator[Bay]:
    """Its bay while the block lasts, which is not for ever.

    plug: of the ECU, which then says HELLO all the while; the block begins when it is heard.
    """
    async with asyncio.timeout(PATIENCE_S), open_bay(station) as bay:
        if plug is None:
            yield bay
            return
        talking = asyncio.create_task(_say_hello(plug))
        try:
            await ecu_is_heard(bay)
            yield bay
        finally:
            talking.cancel()
            await asyncio.wait([talking])


async def ecu_is_heard(bay: Bay) -> None:
    """Until its port is open for sure: opening it throws away what came before."""
    await until(lambda: bay.runners["ecu"].state is SourceState.DELIVERING)


async def _say_hello(plug: Plug) -> None:
    while True:
        if plug.is_in:
            plug.write(HELLO + b"\n")
        await asyncio.sleep(HELLO_PERIOD_S)
