import asyncio
import json
import time
from pathlib import Path
from typing import Any, Literal

import pytest
from jsonschema import Draft202012Validator
from mosquitto_broker import Mosquitto
from mqtt_peers import Gate, Subscriber, subscriber
from patience import until

from analysis.model.events import Alert, AlertKind, AlertState, Phase
from analysis.model.findings import Finding, Severity
from analysis.phrases.say import as_written
from analysis.publish.messages.schemas import schema_text
from analysis.publish.messages.station import (
    AlertMessage,
    FindingMessage,
    LiveMessage,
    PullMessage,
    StationMessage,
    StatusMessage,
    Topic,
    VerdictMessage,
)
from analysis.publish.mqtt.address import BrokerAddress
from analysis.publish.mqtt.publisher import (
    ANSWER_TIMEOUT_S,
    MqttPublisher,
    PublishError,
    PublisherState,
)
from analysis.publish.mqtt.topics import LIVE_BEHIND

PUBACK_BYTES = 4
ENOUGH = 30  # messages of a topic, to be in the middle of the flow
KEPT = (Topic.ALERT, Topic.PULL, Topic.FINDING, Topic.VERDICT)


def message(topic: Topic, number: int) -> StationMessage:
    """A small message of the topic that carries a number."""
    session: dict[str, Any] = {"station": "bay-1", "session_id": "session-1"}
    match topic:
        case Topic.ALERT:
            return AlertMessage(**session, alert=alert(at_s=float(number)))
        case Topic.PULL:
            return PullMessage(**session, event="refused", start_s=float(number))
        case Topic.FINDING:
            finding = Finding("boost", Severity.HEALTHY, (as_written("as asked"),))
            return FindingMessage(**session, number=number, finding=finding)
        case Topic.VERDICT:
            return VerdictMessage(**session, number=number, verdict=Severity.HEALTHY)
    raise AssertionError(topic)


def live_message(at_s: float, phase: Phase, values: dict[str, float | None]) -> LiveMessage:
    return LiveMessage(
        station="bay-1", session_id="session-1", at_s=at_s, phase=phase, values=values
    )


def number_of(topic: Topic, received: dict[str, Any]) -> int:
    match topic:
        case Topic.ALERT:
            return int(received["alert"]["at_s"])
        case Topic.PULL:
            return int(received["start_s"])
    return int(received["number"])


def alert(at_s: float = 1.0) -> Alert:
    return Alert(
        key="knock_retard/3",
        kind=AlertKind.KNOCK_RETARD,
        state=AlertState.RAISED,
        severity=Severity.STOP,
        statement=as_written("Cylinder 3 is held back by 6.5 deg."),
        since_s=0.5,
        at_s=at_s,
        value=6.5,
        limit=4.0,
        unit="deg",
        cylinder=3,
    )


def publisher(port: int, folder: Path) -> MqttPublisher:
    return MqttPublisher(
        BrokerAddress(port=port), "workshop", "bay-1", folder / "outbox" / "mqtt.sqlite"
    )


def numbers(seen: Subscriber, topic: Topic) -> list[int]:
    return [number_of(topic, received) for received in seen.once(topic)]


async def test_every_topic_arrives_as_its_schema_says(mosquitto: Mosquitto, tmp_path: Path) -> None:
    async with (
        subscriber(mosquitto.port, "workshop/bay-1/#") as seen,
        publisher(mosquitto.port, tmp_path) as out,
    ):
        await until(lambda: out.health.state is PublisherState.ONLINE)
        for topic in KEPT:
            out.put(message(topic, 1))
        values: dict[str, float | None] = {"engine_speed": 4012.5, "lambda": float("nan")}
        out.put(live_message(3.25, Phase.SWEEP, values))
        await until(lambda: {name for name, *_ in seen.messages} == set(Topic))
    for topic in Topic:
        for received in seen.of(topic):
            Draft202012Validator(json.loads(schema_text(topic))).validate(received)
            assert (received["version"], received["station"]) == (3, "bay-1")
    (live,) = seen.of("live")
    assert live["values"] == {"engine_speed": 4012.5, "lambda": None}
    assert len({received["id"] for _, received, _ in seen.messages}) == len(seen.messages)


async def test_status_is_retained_and_offline_at_the_end(
    mosquitto: Mosquitto, tmp_path: Path
) -> None:
    async with publisher(mosquitto.port, tmp_path) as out:
        await until(lambda: out.health.state is PublisherState.ONLINE)
        out.put(StatusMessage(station="bay-1", state="online", session_id="session-1"))
        await until(lambda: not out.health.waiting[Topic.STATUS])
        async with subscriber(mosquitto.port) as late:
            await until(lambda: len(late.messages) == 1)
        assert [(d["state"], d["session_id"]) for d in late.retained] == [("online", "session-1")]
    async with subscriber(mosquitto.port) as after:
        await until(lambda: len(after.messages) == 1)
    assert [(d["state"], d["reason"]) for d in after.retained] == [("offline", "closed")]


async def test_the_last_will_speaks_when_the_station_is_cut_off(
    mosquitto: Mosquitto, tmp_path: Path
) -> None:
    async with (
        Gate(mosquitto.port) as gate,
        subscriber(mosquitto.port) as seen,
        publisher(gate.port, tmp_path) as out,
    ):
        await until(lambda: len(seen.of("status")) == 1)
        gate.shut()
        await until(lambda: len(seen.of("status")) == 2)
        assert seen.of("status")[-1]["state"] == "offline"
        assert seen.of("status")[-1]["reason"] == "connection lost"
        gate.open()
        await until(lambda: len(seen.of("status")) == 3)
        assert seen.of("status")[-1]["state"] == "online"
        assert out.health.outages == 1


async def test_a_killed_broker_loses_only_what_it_had_taken(
    mosquitto: Mosquitto, tmp_path: Path
) -> None:
    """SIGKILL while messages of four topics flow, then darkness, then a new broker.

    What a broker has acknowledged is the broker's: the newest of it may die undelivered. All else
    arrives, in order; no message comes twice under two ids.
    """
    seen, put, fed = Subscriber(), 0, asyncio.Event()
    async with Gate(mosquitto.port) as gate, publisher(gate.port, tmp_path) as out:

        async def feed() -> None:
            nonlocal put
            while not fed.is_set():
                for topic in KEPT:
                    out.put(message(topic, put))
                put += 1
                await asyncio.sleep(0.003)

        feeding = asyncio.create_task(feed())
        async with subscriber(mosquitto.port, seen=seen):
            await until(lambda: len(seen.once("alert")) > ENOUGH)
            mosquitto.kill()
            await until(lambda: out.health.state is not PublisherState.ONLINE)
            gate.shut()  # the new broker knows no sessions: let the subscriber come first
        taken = {topic: put - out.health.waiting[topic] for topic in KEPT}
        delivered = {topic: numbers(seen, topic) for topic in KEPT}
        await until(lambda: out.health.waiting[Topic.ALERT] > ENOUGH)
        mosquitto.start()
        async with subscriber(mosquitto.port, seen=seen):
            gate.open()
            await until(lambda: out.health.state is PublisherState.ONLINE)
            fed.set()
            await feeding
            await until(lambda: not any(out.health.waiting.values()))
            await until(lambda: all(put - 1 in numbers(seen, topic) for topic in KEPT))
        assert out.health.outages == 1
    for topic in KEPT:
        before = delivered[topic]
        assert before == list(range(len(before))), "in order and without a hole until the kill"
        after = numbers(seen, topic)[len(before) :]
        assert after == list(range(after[0], put)), "and from then on"
        assert len(before) <= after[0] <= max(taken[topic], len(before)), "no more is lost"


@pytest.mark.parametrize(("swallow", "copies"), [("to", 1), ("from", 2)])
async def test_what_is_not_acknowledged_is_sent_again_under_the_same_id(
    swallow: Literal["to", "from"], copies: int, mosquitto: Mosquitto, tmp_path: Path
) -> None:
    """The line breaks before the message or, second case, before the acknowledgement got over."""
    async with (
        Gate(mosquitto.port) as gate,
        subscriber(mosquitto.port) as seen,
        publisher(gate.port, tmp_path) as out,
    ):
        await until(lambda: len(seen.of("status")) == 1)
        gate.swallow = swallow
        for topic in KEPT:
            out.put(message(topic, 1))
            out.put(message(topic, 2))
        if swallow == "to":
            await until(lambda: all(f"/{topic}".encode() in gate.swallowed for topic in KEPT))
        else:
            await until(lambda: all(seen.of(topic) for topic in KEPT))
            await until(lambda: len(gate.swallowed) >= PUBACK_BYTES * len(KEPT))
        assert all(out.health.waiting[topic] == 2 for topic in KEPT)
        gate.shut()
        gate.swallow = "nothing"
        gate.open()
        await until(lambda: all(2 in numbers(seen, topic) for topic in KEPT))
    for topic in KEPT:
        assert [number_of(topic, received) for received in seen.of(topic)] == [1] * copies + [2]
        assert numbers(seen, topic) == [1, 2]


async def test_a_frozen_broker_is_given_up_and_come_back_to(
    mosquitto: Mosquitto, tmp_path: Path
) -> None:
    async with (
        subscriber(mosquitto.port) as seen,
        publisher(mosquitto.port, tmp_path) as out,
    ):
        await until(lambda: len(seen.of("status")) == 1)
        mosquitto.freeze()
        started = time.perf_counter()
        for number in range(20):
            out.put(message(Topic.ALERT, number))
        assert time.perf_counter() - started < ANSWER_TIMEOUT_S, "it waited for an answer"
        await until(lambda: out.health.failure is not None)
        mosquitto.thaw()
        await until(lambda: len(seen.once("alert")) == 20)
    assert numbers(seen, Topic.ALERT) == list(range(20))


async def test_an_alert_does_not_stand_behind_findings(
    mosquitto: Mosquitto, tmp_path: Path
) -> None:
    async with (
        subscriber(mosquitto.port) as seen,
        publisher(mosquitto.port, tmp_path) as out,
    ):
        await until(lambda: out.health.state is PublisherState.ONLINE)
        for number in range(1000):
            out.put(message(Topic.FINDING, number))
        out.put(message(Topic.ALERT, 1))
        await until(lambda: len(seen.of("finding")) == 1000)
    arrived = [name for name, *_ in seen.messages]
    assert arrived.index("alert") < 20


async def test_without_a_broker_it_waits_and_the_next_run_sends(
    mosquitto: Mosquitto, tmp_path: Path
) -> None:
    mosquitto.kill()
    async with publisher(mosquitto.port, tmp_path) as out:
        await until(lambda: out.health.state is PublisherState.OFFLINE)
        assert out.health.failure
        for number in range(5):
            out.put(message(Topic.PULL, number))
        assert out.health.waiting[Topic.PULL] == 5
    mosquitto.start()
    async with subscriber(mosquitto.port) as seen:
        again = publisher(mosquitto.port, tmp_path)
        again.put(message(Topic.PULL, 5))  # before it runs: still after the old ones
        async with again:
            await until(lambda: len(seen.of("pull")) == 6)
    assert [number_of(Topic.PULL, d) for d in seen.of("pull")] == list(range(6))


async def test_live_readouts_that_come_too_late_are_dropped_and_counted(tmp_path: Path) -> None:
    out = publisher(1, tmp_path)  # nobody listens on port 1
    async with out:
        for number in range(20):
            out.put(live_message(float(number), Phase.IDLE, {}))
        assert out.health.waiting[Topic.LIVE] == LIVE_BEHIND
        assert out.health.dropped[Topic.LIVE] == 20 - LIVE_BEHIND


async def test_cancelling_says_offline_too(mosquitto: Mosquitto, tmp_path: Path) -> None:
    out = publisher(mosquitto.port, tmp_path)
    async with subscriber(mosquitto.port) as seen:
        running = asyncio.create_task(out.run())
        await until(lambda: len(seen.of("status")) == 1)
        running.cancel()
        await asyncio.wait([running])
        await until(lambda: len(seen.of("status")) == 2)
    assert running.cancelled()
    assert seen.of("status")[-1]["state"] == "offline"


@pytest.mark.parametrize("name", ["", "bay+1", "bay/#", "/bay"])
async def test_a_name_mqtt_cannot_take_is_refused(name: str, tmp_path: Path) -> None:
    with pytest.raises(PublishError):
        MqttPublisher(BrokerAddress(), "workshop", name, tmp_path / "outbox.sqlite")
