"""The other side of MQTT tests: a subscriber that keeps everything, and a gate before a broker."""

import asyncio
import contextlib
import json
import time
from collections.abc import AsyncIterator
from dataclasses import dataclass, field
from typing import Any, Literal

import aiomqtt


@dataclass
class Subscriber:
    """messages: (last part of the topic, document, arrival by time.perf_counter), in order."""

    messages: list[tuple[str, dict[str, Any], float]] = field(default_factory=list)
    retained: list[dict[str, Any]] = field(default_factory=list)

    def of(self, topic: str) -> list[dict[str, Any]]:
        return [document for name, document, _ in self.messages if name == topic]

    def once(self, topic: str) -> list[dict[str, Any]]:
        """The topic's messages, each id only the first time."""
        return list({document["id"]: document for document in reversed(self.of(topic))}.values())[
            ::-1
        ]


@contextlib.asynccontextmanager
async def subscriber(
    port: int, wanted: str = "#", seen: Subscriber | None = None
) -> AsyncIterator[Subscriber]:
    """Subscribe and collect until the end or until the broker goes."""
    seen = Subscriber() if seen is None else seen

    async def collect(client: aiomqtt.Client) -> None:
        with contextlib.suppress(aiomqtt.MqttError):
            async for message in client.messages:
                assert isinstance(message.payload, bytes)
                document = json.loads(message.payload)
                name = message.topic.value.rsplit("/", 1)[-1]
                seen.messages.append((name, document, time.perf_counter()))
                if message.retain:
                    seen.retained.append(document)

    async with aiomqtt.Client("127.0.0.1", port) as client:
        await client.subscribe(wanted, qos=1)
        task = asyncio.create_task(collect(client))
        try:
            yield seen
        finally:
            task.cancel()
            await asyncio.wait([task])


class Gate:
    """Passes connections on to a port while open; shutting it cuts them without a goodbye.

    swallow: where what comes "to" or "from" the broker goes nowhere, though the line stands.
    swallowed: what went nowhere.
    """

    def __init__(self, to_port: int) -> None:
        self._to_port = to_port
        self._open = True
        self.swallow: Literal["nothing", "to", "from"] = "nothing"
        self.swallowed = bytearray()
        self._writers: set[asyncio.StreamWriter] = set()
        self.port = 0

    async def __aenter__(self) -> "Gate":
        self._server = await asyncio.start_server(self._pass, "127.0.0.1", 0)
        self.port = self._server.sockets[0].getsockname()[1]
        return self

    async def __aexit__(self, *_error: object) -> None:
        self._server.close()
        self.shut()
        await self._server.wait_closed()
        await asyncio.sleep(0.01)

    def shut(self) -> None:
        self._open = False
        for writer in self._writers:
            writer.transport.abort()

    def open(self) -> None:
        self._open = True

    async def _pass(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        if not self._open:
            writer.transport.abort()
            return
        try:
            far_reader, far_writer = await asyncio.open_connection("127.0.0.1", self._to_port)
        except OSError:
            writer.transport.abort()
            return
        self._writers |= {writer, far_writer}
        await asyncio.gather(
            self._copy("to", reader, far_writer), self._copy("from", far_reader, writer)
        )
        self._writers -= {writer, far_writer}

    async def _copy(
        self, way: str, reader: asyncio.StreamReader, writer: asyncio.StreamWriter
    ) -> None:
        with contextlib.suppress(OSError):
            while data := await reader.read(65536):
                if way == self.swallow:
                    self.swallowed += data
                else:
                    writer.write(data)
        writer.close()
