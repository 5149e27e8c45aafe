"""The real daemon under a full bus: frames lost, CPU, alert latency, how soon a pull is announced.

    PYTHONPATH=tests python tests/benchmarks/live.py [seconds] [--only]

A process of its own plays an slcan adapter (a pty, 9,000 frames/s, 200 channels of 50 identifiers)
and a dyno (live_load.py); the daemon is `python -m capture run`, with its page, looked at by one
WebSocket client, and with mosquitto. Then the rate rises until the first frame is lost; --only
leaves that out. Latency: from just before the frame is written on the pty to the subscriber, both
read from the machine's one monotonic clock. The bare client's latency, and the load average, tell
what the machine adds by itself; `chrt -f 5` before the command keeps other work on the machine out
of the figures, but for the kernel's own worker that carries bytes through a pty ("to the reader").
Needs a POSIX pty and /proc.
"""

import asyncio
import contextlib
import json
import os
import re
import signal
import sys
import tempfile
import time
from collections.abc import AsyncIterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

import aiomqtt
import numpy as np
import websockets
from live_load import map_text
from mosquitto_broker import Mosquitto
from numpy.typing import NDArray
from rich.console import Console
from rich.table import Table

from capture.recording.reader import read_recording

FloatArray = NDArray[np.float64]
RATE: Final = 9_000.0  # a full 1 Mbit/s bus (design)
STEPS: Final = (2.0, 4.0, 6.0, 8.0, 12.0, 16.0)  # times RATE, until a frame is lost
STEP_SECONDS: Final = 12.0  # one pull and a little more
READY_S: Final = 20.0
SETTLE_S: Final = 2.0  # after the last frame, for the last pull to be told
BARE_PERIOD_S: Final = 0.05
HERE: Final = Path(__file__).parent
COLUMNS: Final = (
    "frames/s",
    "s",
    "sent",
    "not recorded (by\nthe full adapter)",
    "dropped before\nanalysis",
    "CPU of\none core",
    "alert, ms\np50/p99/max (n)",
    "to the reader\nto the alert\nto the subscriber",
    "missed",
    "pull told after\nthe lift, ms",
    "bare MQTT, ms",
    "load",
)
TICKS_PER_S: Final = os.sysconf("SC_CLK_TCK")
STATION: Final = """\
pullwatch_station: 1
name: bench
map: map.yaml
store: store
sources:
  engine: {{can: {{interface: slcan, channel: "{engine}", bitrate: 1000000, listen_only: true}}}}
  dyno: {{lines: {{url: "{dyno}"}}}}
broker: {{host: 127.0.0.1, port: {port}}}
page: {{host: 127.0.0.1, port: 0}}
car: {{cylinders: 8, max_engine_speed_rpm: 7000}}
dyno: {{inertia_kg_m2: 10, roller_radius_m: 0.2}}
"""


@dataclass
class Heard:
    """By the subscriber, in ns of the monotonic clock. alerts: when its record came from the
    adapter, when the alert was made, when it was heard."""

    alerts: dict[str, tuple[int, int, int]] = field(default_factory=dict)
    ended: list[int] = field(default_factory=list)
    bare_ms: list[float] = field(default_factory=list)
    health: list[dict[str, Any]] = field(default_factory=list)


@dataclass(frozen=True)
class Measured:
    """One run. cpu_share: of one core, over the time in which frames were sent."""

    rate: float
    seconds: float
    sent: int
    lost_in_adapter: int
    recorded: int
    cpu_share: float
    alert_ms: FloatArray  # [n, 3]: frame to reader, reader to alert, alert to subscriber
    missed: int
    announced_ms: list[float]
    bare_ms: list[float]
    dropped_by_analysis: int
    load: float


def cpu_s(process: int) -> float:
    """User and system time of all threads of a process so far."""
    fields = Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / TICKS_PER_S


async def listen(port: int, heard: Heard) -> None:
    """Subscribe to everything."""
    wall_ahead_ns = time.time_ns() - time.monotonic_ns()
    async with aiomqtt.Client("127.0.0.1", port) as client:
        await client.subscribe("pullwatch/#", qos=1)
        await client.subscribe("bare", qos=1)
        async for message in client.messages:
            now_ns = time.monotonic_ns()
            topic = message.topic.value.rsplit("/", 1)[-1]
            if topic == "live":
                continue
            document = json.loads(bytes(message.payload))
            if topic == "bare":
                heard.bare_ms.append((now_ns - document) / 1e6)
            elif topic == "alert" and document["alert"]["kind"] == "knock_retard":
                alert = document["alert"]
                arrived_ns = document["record_arrived_unix_ns"] - wall_ahead_ns
                made_ns = document["created_unix_ns"] - wall_ahead_ns
                key = f"{alert['channel']} {alert['value']:g}"
                heard.alerts[key] = (arrived_ns, made_ns, now_ns)
            elif topic == "pull" and document["event"] == "ended":
                heard.ended.append(now_ns)


async def publish_bare(port: int) -> None:
    """What broker and machine need by themselves."""
    async with aiomqtt.Client("127.0.0.1", port) as client:
        while True:
            await client.publish("bare", json.dumps(time.monotonic_ns()), qos=1)
            await asyncio.sleep(BARE_PERIOD_S)


async def watch_page(url: str, heard: Heard) -> None:
    """One page looks on."""
    async with websockets.connect(url.replace("http", "ws") + "api/v1/live") as socket:
        async for message in socket:
            document = json.loads(message)
            if document["kind"] == "now":
                heard.health = document["health"]


@contextlib.asynccontextmanager
async def started(*command: str) -> AsyncIterator[asyncio.subprocess.Process]:
    """A process that speaks by lines; ended with the block."""
    process = await asyncio.create_subprocess_exec(
        sys.executable, *command, stdin=asyncio.subprocess.PIPE, stdout=asyncio.subprocess.PIPE,
        limit=1 << 24,
    )  # fmt: skip
    try:
        yield process
    finally:
        if process.returncode is None:
            process.kill()
        await process.wait()


async def line(process: asyncio.subprocess.Process) -> str:
    """The next line a process says."""
    assert process.stdout is not None
    text = await process.stdout.readline()
    assert text, "a process ended early"
    return text.decode()


async def page_of(daemon: asyncio.subprocess.Process) -> str:
    """Where the daemon says its page is."""
    async with asyncio.timeout(READY_S):
        while not (found := re.search(r"Page: (\S+)", await line(daemon))):
            pass
    return found[1]


async def measure(rate: float, seconds: float, broker: int, folder: Path) -> Measured:
    """One daemon, one load."""
    heard = Heard()
    (folder / "map.yaml").write_text(map_text())
    load_command = (str(HERE / "live_load.py"), str(rate), str(seconds), "1")
    async with started(*load_command) as load:
        ports = json.loads(await line(load))
        station = folder / "station.yaml"
        station.write_text(STATION.format(**ports, port=broker))
        async with started("-m", "capture", "run", str(station)) as daemon:
            page = await page_of(daemon)
            tasks = [
                asyncio.create_task(work)
                for work in (listen(broker, heard), publish_bare(broker), watch_page(page, heard))
            ]
            await line(load)
            before_s, began = cpu_s(daemon.pid), time.monotonic()
            said = json.loads(await line(load))
            share = (cpu_s(daemon.pid) - before_s) / (time.monotonic() - began)
            await asyncio.sleep(SETTLE_S)
            for task in tasks:
                task.cancel()
            daemon.send_signal(signal.SIGINT)
            await daemon.communicate()
            assert daemon.returncode == 0, f"the daemon ended with {daemon.returncode}"
    (recording,) = (folder / "store" / "recordings").iterdir()
    recorded = sum(len(b) for b in read_recording(recording).batches() if b.source == "engine")
    due: dict[str, int] = said["knocks"]
    known = [key for key in due if key in heard.alerts]
    return Measured(
        rate=rate,
        seconds=seconds,
        sent=said["sent"],
        lost_in_adapter=said["dropped"],
        recorded=recorded,
        cpu_share=share,
        alert_ms=np.array([np.diff([due[key], *heard.alerts[key]]) / 1e6 for key in known]).reshape(
            -1, 3
        ),
        missed=len(due.keys() - heard.alerts.keys()),
        announced_ms=[
            (ended - lift) / 1e6 for lift, ended in zip(said["lifts"], heard.ended, strict=False)
        ],
        bare_ms=heard.bare_ms,
        dropped_by_analysis=sum(s["dropped"] for s in heard.health if s["name"] == "analysis"),
        load=os.getloadavg()[0],
    )


def percentiles(values: list[float] | FloatArray) -> str:
    """p50 / p99 / worst in ms."""
    if not len(values):
        return "none"
    p50, p99, worst = np.percentile(values, (50, 99, 100))
    return f"{p50:.1f} / {p99:.1f} / {worst:.1f} ({len(values)})"


def row(m: Measured) -> list[str]:
    """One line of the table."""
    lost = m.sent - m.recorded
    return [
        f"{m.rate:,.0f}",
        f"{m.seconds:g}",
        f"{m.sent:,}",
        f"{lost} ({m.lost_in_adapter})",
        str(m.dropped_by_analysis),
        f"{m.cpu_share:.0%}",
        percentiles(m.alert_ms.sum(axis=1)),
        "\n".join(percentiles(part) for part in m.alert_ms.T),
        str(m.missed),
        percentiles(m.announced_ms),
        percentiles(m.bare_ms),
        f"{m.load:.1f}",
    ]


async def main(seconds: float, raise_the_rate: bool) -> None:
    """Measure and print."""
    table = Table(*COLUMNS)
    with tempfile.TemporaryDirectory() as name:
        mosquitto = Mosquitto(Path(name))
        mosquitto.start()
        try:
            loads = [(RATE, seconds)]
            loads += [(RATE * step, STEP_SECONDS) for step in STEPS] if raise_the_rate else []
            for number, (rate, duration) in enumerate(loads):
                folder = Path(name) / str(number)
                folder.mkdir()
                measured = await measure(rate, duration, mosquitto.port, folder)
                table.add_row(*row(measured))
                if measured.recorded < measured.sent:
                    break
        finally:
            mosquitto.kill()
    Console(width=200).print(table)


if __name__ == "__main__":
    wanted = [argument for argument in sys.argv[1:] if argument != "--only"]
    asyncio.run(main(float(wanted[0]) if wanted else 60.0, "--only" not in sys.argv))
