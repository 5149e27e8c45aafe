"""Tells the world over MQTT, and never makes the pipeline wait for it.

Each topic has a sender of its own with one message under way: order is kept within a topic, and an
alert never stands behind findings. Messages of QoS 1 leave the outbox only when the broker has
acknowledged them. A broker that is away is asked again with growing pauses; meanwhile the outbox
keeps them. On Windows aiomqtt needs asyncio's SelectorEventLoop.
"""

import asyncio
import contextlib
import logging
import random
import socket
import ssl
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from types import TracebackType
from typing import Final, Self

import aiomqtt

from analysis.publish.messages.station import StationMessage, StatusMessage, Topic
from analysis.publish.mqtt.address import BrokerAddress
from analysis.publish.mqtt.outbox import Outbox, Outgoing
from analysis.publish.mqtt.topic_queue import TopicQueue
from analysis.publish.mqtt.topics import DELIVERY
from decode.errors import PullwatchError

log = logging.getLogger(__name__)

ANSWER_TIMEOUT_S: Final = 2.0  # a broker that takes longer to acknowledge is taken as gone
KEEPALIVE_S: Final = 10  # the broker says offline for us after one and a half times this
FIRST_PAUSE_S: Final = 0.25
LONGEST_PAUSE_S: Final = 5.0  # nobody should wait longer for the station once the broker is back
DRAIN_S: Final = 2.0  # at the end, for what still waits
FAREWELL_S: Final = 1.0  # at the end, for saying offline
NO_DELAY: Final = (socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)  # small packets leave at once


class PublishError(PullwatchError):
    """The root or the station's name cannot be part of an MQTT topic."""


class PublisherState(StrEnum):
    """How it stands with the broker."""

    CONNECTING = "connecting"
    ONLINE = "online"
    OFFLINE = "offline"  # waits to ask again


@dataclass(frozen=True, slots=True)
class PublisherHealth:
    """failure: of the broker; outbox_failure: of the disk; None while all is well."""

    state: PublisherState
    failure: str | None
    outbox_failure: str | None
    sent: int
    outages: int
    waiting: dict[Topic, int]
    dropped: dict[Topic, int]


class MqttPublisher:
    """Use by `async with`, or run() in a task group and close() before the group ends."""

    def __init__(self, address: BrokerAddress, root: str, station: str, outbox: Path) -> None:
        """outbox: the file that keeps messages. Raises PublishError for a name MQTT cannot take."""
        self._address = address
        self._station = station
        self._names = {topic: f"{_checked(root)}/{_checked(station)}/{topic}" for topic in Topic}
        self._waiting = {topic: TopicQueue(DELIVERY[topic].bound) for topic in Topic}
        self._outbox = Outbox(outbox)
        self._closing = asyncio.Event()
        self._online = StatusMessage(station=station, state="online")
        self._state = PublisherState.CONNECTING
        self._failure: str | None = None
        self._sent = 0
        self._outages = 0
        self._attempts = 0
        self._tls: ssl.SSLContext | None = None
        self._running: asyncio.Task[None] | None = None

    @property
    def health(self) -> PublisherHealth:
        """How it goes, for the page and the log."""
        return PublisherHealth(
            state=self._state,
            failure=self._failure,
            outbox_failure=self._outbox.failure,
            sent=self._sent,
            outages=self._outages,
            waiting={topic: len(waiting) for topic, waiting in self._waiting.items()},
            dropped={topic: waiting.dropped for topic, waiting in self._waiting.items()},
        )

    def put(self, message: StationMessage) -> None:
        """Send the message as soon as can be. Never blocks, never waits.

        Call it in the event loop. A StatusMessage is repeated whenever the broker comes back.
        """
        outgoing = _outgoing(message)
        overflow = self._waiting[message.topic].put(outgoing)
        if isinstance(message, StatusMessage):
            self._online = message
        if DELIVERY[message.topic].kept:
            self._outbox.add(outgoing)
            if overflow is not None:
                self._outbox.remove(overflow)

    async def run(self) -> None:
        """Connect, send, reconnect, until close() or cancelled."""
        left_over = await asyncio.wrap_future(self._outbox.start())
        try:
            for topic, waiting in self._waiting.items():
                waiting.put_before([m for m in left_over if m.topic is topic])
            if self._address.tls:  # reads the system's certificates from disk
                self._tls = await asyncio.to_thread(ssl.create_default_context)
            await self._keep_connected()
        finally:
            self._state = PublisherState.OFFLINE
            await asyncio.to_thread(self._outbox.close)

    def close(self) -> None:
        """Let run() send what waits for a bounded time, say offline and return.

        What could not be sent stays on disk for the next start.
        """
        self._closing.set()

    async def __aenter__(self) -> Self:
        self._running = asyncio.create_task(self.run(), name="mqtt publisher")
        return self

    async def __aexit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()
        if self._running is not None:
            await self._running

    async def _keep_connected(self) -> None:
        while not self._closing.is_set():
            self._state = PublisherState.CONNECTING
            try:
                await self._one_connection()
            except* aiomqtt.MqttError as errors:
                self._log_failure(errors.exceptions[0])
            if not self._closing.is_set():
                await self._pause()

    async def _one_connection(self) -> None:
        client = self._client()
        try:
            async with client:
                await self._serve(client)
        finally:
            # aiomqtt leaves the socket open where a broker accepts it and then says nothing.
            client._client.disconnect()

    async def _serve(self, client: aiomqtt.Client) -> None:
        """Send until the connection breaks (MqttError) or the end has come."""
        self._log_online()
        self._waiting[Topic.LIVE].discard()
        self._waiting[Topic.STATUS].discard()
        await self._say(client, _again(self._online))
        try:
            async with asyncio.TaskGroup() as group:
                work = {topic.value: self._send(client, topic) for topic in Topic}
                work["connection"] = _watch(client)
                tasks = [group.create_task(each, name=f"mqtt {n}") for n, each in work.items()]
                await self._closing.wait()
                await self._drain()
                for task in tasks:
                    task.cancel()
        finally:
            # A lost connection makes this fail at once; the broker then speaks the last will.
            with contextlib.suppress(aiomqtt.MqttError):
                await self._say(client, self._offline("closed"), FAREWELL_S)

    async def _send(self, client: aiomqtt.Client, topic: Topic) -> None:
        delivery, waiting = DELIVERY[topic], self._waiting[topic]
        retained = delivery.retained and self._address.retained
        while True:
            message = await waiting.head()
            await client.publish(self._names[topic], message.payload, delivery.qos, retained)
            waiting.sent(message)
            self._sent += 1
            if delivery.kept:
                self._outbox.remove(message)

    async def _say(
        self, client: aiomqtt.Client, message: StatusMessage, timeout_s: float | None = None
    ) -> None:
        """Publish a status past the queue."""
        payload = _outgoing(message).payload
        name, retained = self._names[Topic.STATUS], self._address.retained
        await client.publish(name, payload, qos=1, retain=retained, timeout=timeout_s)

    async def _drain(self) -> None:
        with contextlib.suppress(TimeoutError):
            async with asyncio.timeout(DRAIN_S):
                for waiting in self._waiting.values():
                    await waiting.empty()

    async def _pause(self) -> None:
        """Twice as long at every attempt, with some chance in it, so that stations spread."""
        longest = min(FIRST_PAUSE_S * 2 ** min(self._attempts, 10), LONGEST_PAUSE_S)
        self._attempts += 1
        with contextlib.suppress(TimeoutError):
            async with asyncio.timeout(longest * random.uniform(0.75, 1.0)):
                await self._closing.wait()

    def _offline(self, reason: str) -> StatusMessage:
        return StatusMessage(station=self._station, state="offline", reason=reason)

    def _client(self) -> aiomqtt.Client:
        farewell = _outgoing(self._offline("connection lost"))
        return aiomqtt.Client(
            self._address.host,
            self._address.port,
            username=self._address.username,
            password=self._address.password,
            # Always the same, so that the broker ends a half-dead connection of ours, and speaks
            # its will, before it lets us in again, not after.
            identifier=f"pullwatch-{self._station}",
            will=aiomqtt.Will(
                self._names[Topic.STATUS], farewell.payload, qos=1, retain=self._address.retained
            ),
            timeout=ANSWER_TIMEOUT_S,
            keepalive=KEEPALIVE_S,
            tls_context=self._tls,
            socket_options=[NO_DELAY],
        )

    def _log_online(self) -> None:
        if self._failure is not None:
            log.info("MQTT broker %s: back", self._address.host)
        self._state, self._failure, self._attempts = PublisherState.ONLINE, None, 0

    def _log_failure(self, error: BaseException) -> None:
        """The first failure of an outage loudly, the later ones not."""
        if self._failure is None:
            self._outages += 1
            where = f"{self._address.host}:{self._address.port}"
            log.warning("MQTT broker %s: %s; messages are kept until it is back", where, error)
        self._state, self._failure = PublisherState.OFFLINE, str(error)


def _outgoing(message: StationMessage) -> Outgoing:
    return Outgoing(message.id, message.topic, message.model_dump_json().encode())


def _again(message: StatusMessage) -> StatusMessage:
    """The same state, said anew: a consumer drops an id that it has seen."""
    return StatusMessage(
        station=message.station,
        state=message.state,
        reason=message.reason,
        session_id=message.session_id,
    )


async def _watch(client: aiomqtt.Client) -> None:
    """Raises MqttError the moment the connection breaks: a publish under way would wait on."""
    async for _message in client.messages:
        pass  # nothing is subscribed to


def _checked(name: str) -> str:
    if not name or any(sign in name for sign in "+#\0") or name.startswith(("/", "$")):
        raise PublishError(f"{name!r} cannot be part of an MQTT topic: + # and a leading / or $")
    return name
