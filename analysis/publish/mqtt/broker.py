"""A broker inside this program, for the demo and first use; on this machine only.

It keeps nothing for clients that are away, and no retained messages: amqtt hands those to
subscribers who never asked for them. For real use name a broker of its own in the station file.
"""

import asyncio
import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import partial
from typing import Any, Final

from amqtt.broker import Broker

from analysis.publish.mqtt.address import BrokerAddress
from decode.errors import PullwatchError

LOOPBACK: Final = "127.0.0.1"
# We open the port ourselves: that way the system picks a free one without a race.
_CONFIG: Final[dict[str, Any]] = {
    "listeners": {"default": {"type": "external"}},
    "plugins": {"amqtt.plugins.authentication.AnonymousAuthPlugin": {"allow_anonymous": True}},
}


class EmbeddedBrokerError(PullwatchError):
    """The embedded broker cannot start: its port is taken."""


class _Unretained(Broker):  # type: ignore[misc]  # amqtt ships no types
    async def retain_message(self, *_message: object, **_more: object) -> None:
        """Keep nothing."""


@asynccontextmanager
async def embedded_broker(port: int = 0) -> AsyncIterator[BrokerAddress]:
    """Run the broker; 0 picks a free port. Raises EmbeddedBrokerError."""
    # It reports every client that leaves without a goodbye.
    logging.getLogger("amqtt").setLevel(logging.ERROR)
    logging.getLogger("transitions").setLevel(logging.ERROR)
    broker = _Unretained(_CONFIG)
    await broker.start()
    connected = partial(broker.stream_connected, listener_name="default")
    try:
        server = await asyncio.start_server(connected, LOOPBACK, port)
    except OSError as error:
        await broker.shutdown()
        raise EmbeddedBrokerError(f"embedded broker: {error}") from error
    try:
        yield BrokerAddress(LOOPBACK, server.sockets[0].getsockname()[1], retained=False)
    finally:
        server.close()
        await broker.shutdown()
        await server.wait_closed()
