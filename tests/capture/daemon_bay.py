"""A bay for tests of the daemon: one line source over a pty, driven through a short pull."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Final

import numpy as np
from patience import PATIENCE_S
from transports import Plug

from capture.bay.daemon import Daemon
from capture.station.station import load_station

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


def bay(
    folder: Path,
    url: str,
    broker: str = "none",
    page: str = "none",
    map_text: str = MAP,
    more: str = "",
) -> Daemon:
    """A daemon of this bay, not yet running. more: lines of the station file."""
    (folder / "map.yaml").write_text(map_text, "utf-8")
    station = folder / "station.yaml"
    station.write_text(STATION.format(url=url, broker=broker, page=page) + more, "utf-8")
    return Daemon(load_station(station))


@asynccontextmanager
async def at_work(daemon: Daemon, plug: Plug | None = None) -> AsyncIterator[Daemon]:
    """Run it while the block lasts; what run() raises comes out of the block.

    plug: of the ECU; then the block begins when the ECU is heard, which says HELLO until it is.
    """
    stop, ready = asyncio.Event(), asyncio.Event()
    async with asyncio.timeout(PATIENCE_S):
        running = asyncio.create_task(daemon.run(stop, ready))
        waiting = asyncio.create_task(ready.wait())
        await asyncio.wait((running, waiting), return_when=asyncio.FIRST_COMPLETED)
        waiting.cancel()
        try:
            while plug is not None and not any(s.records for s in daemon.live.health):
                plug.write(HELLO + b"\n")
                await asyncio.sleep(0.05)
            yield daemon
        finally:
            stop.set()
            await running
