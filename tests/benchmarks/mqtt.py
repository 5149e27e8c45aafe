"""From put() to a subscriber through mosquitto: latency under a steady load, and the most it does.

A bare client that publishes beside it shows what the machine and the broker take by themselves.

Run from the repository: PYTHONPATH=tests python tests/benchmarks/mqtt.py
"""

import asyncio
import json
import tempfile
import time
from pathlib import Path
from typing import Any, Final

import aiomqtt
import numpy as np
from mosquitto_broker import Mosquitto
from mqtt_peers import Subscriber, subscriber
from patience import until

from analysis.model.events import Alert, AlertKind, AlertState, Phase
from analysis.model.findings import Finding, Severity
from analysis.phrases.say import as_written
from analysis.publish.messages.station import AlertMessage, FindingMessage, LiveMessage, Topic
from analysis.publish.mqtt.address import BrokerAddress
from analysis.publish.mqtt.publisher import NO_DELAY, MqttPublisher, PublisherState

RATE_PER_S: Final = 200
SECONDS: Final = 20
LIVE_PER_S: Final = 25  # beside the load, 50 channels each
BARE_PER_S: Final = 50
FLOOD: Final = 5000
SESSION: Final[dict[str, Any]] = {"station": "bay", "session_id": "session-1"}
FINDING: Final = Finding("boost", Severity.HEALTHY, (as_written("x" * 150),))
CHANNELS: Final[dict[str, float | None]] = {
    f"channel_{number}": number * 1.5 for number in range(50)
}


def alert_at(put_s: float) -> Alert:
    """An alert that carries when it was put."""
    return Alert(
        key="knock_retard/3",
        kind=AlertKind.KNOCK_RETARD,
        state=AlertState.UPDATED,
        severity=Severity.STOP,
        statement=as_written("Cylinder 3 is held back by 6.5 deg, the limit is 4.0 deg."),
        since_s=1.0,
        at_s=put_s,
        value=6.5,
        limit=4.0,
        unit="deg",
        cylinder=3,
    )


async def steady(out: MqttPublisher) -> tuple[list[float], float]:
    """Alerts and findings in turn beside LIVE; seconds that each put() took, share of a core."""
    took_s: list[float] = []
    started, cpu = time.perf_counter(), time.process_time()
    for number in range(RATE_PER_S * SECONDS):
        await asyncio.sleep(max(0.0, started + number / RATE_PER_S - time.perf_counter()))
        now = time.perf_counter()
        if number % 2:
            out.put(AlertMessage(**SESSION, alert=alert_at(now)))
        else:
            out.put(FindingMessage(**SESSION, number=number, finding=FINDING))
        took_s.append(time.perf_counter() - now)
        if number % (RATE_PER_S // LIVE_PER_S) == 0:
            out.put(LiveMessage(**SESSION, at_s=now, phase=Phase.SWEEP, values=CHANNELS))
    return took_s, (time.process_time() - cpu) / (time.perf_counter() - started)


async def bare(port: int) -> None:
    """Publish straight through the client library until cancelled."""
    async with aiomqtt.Client("127.0.0.1", port, socket_options=[NO_DELAY]) as client:
        while True:
            payload = json.dumps({"id": "", "at_s": time.perf_counter(), "text": "x" * 300})
            await client.publish("bench/bay/bare", payload, qos=1)
            await asyncio.sleep(1 / BARE_PER_S)


async def flood(out: MqttPublisher, seen: Subscriber) -> float:
    """Alerts a second when all are put at once."""
    started, before = time.perf_counter(), len(seen.of("alert"))
    for _ in range(FLOOD):
        out.put(AlertMessage(**SESSION, alert=alert_at(started)))
    await until(lambda: not out.health.waiting[Topic.ALERT])
    rate = FLOOD / (time.perf_counter() - started)
    await until(lambda: len(seen.of("alert")) == before + FLOOD)
    return rate


def row(what: str, seconds: list[float]) -> str:
    """One line of the table."""
    p50, p99, worst = np.percentile(np.array(seconds) * 1e3, (50, 99, 100))
    return f"{what:<34}{len(seconds):>7}{p50:>9.3f}{p99:>9.3f}{worst:>9.3f}"


async def main(folder: Path) -> None:
    """Measure and print."""
    broker = Mosquitto(folder)
    broker.start()
    try:
        async with (
            subscriber(broker.port) as seen,
            MqttPublisher(BrokerAddress(port=broker.port), "bench", "bay", folder / "out") as out,
        ):
            await until(lambda: out.health.state is PublisherState.ONLINE)
            beside = asyncio.create_task(bare(broker.port))
            took_s, cpu = await steady(out)
            beside.cancel()
            await asyncio.wait([beside])
            await until(lambda: not any(out.health.waiting.values()))
            alerts = [a - d["alert"]["at_s"] for name, d, a in seen.messages if name == "alert"]
            live, alone = (
                [a - d["at_s"] for name, d, a in seen.messages if name == each]
                for each in ("live", "bare")
            )
            print(f"{'ms':<34}{'n':>7}{'p50':>9}{'p99':>9}{'max':>9}")
            print(row("put() itself", took_s))
            print(row("alert: put() to subscriber, QoS 1", alerts))
            print(row("live: put() to subscriber, QoS 0", live))
            print(row("bare client to subscriber, QoS 1", alone))
            print(f"CPU of both publishers and the subscriber: {cpu:.1%} of one core")
            print(f"flood: {await flood(out, seen):,.0f} alerts/s on one topic")
            print(f"dropped: {sum(out.health.dropped.values())}")
    finally:
        broker.kill()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as temporary:
        asyncio.run(main(Path(temporary)))
