"""The MQTT broker that a station names, or its own, and what publishes there."""

from contextlib import AsyncExitStack
from typing import Final

from analysis.publish.mqtt.address import BrokerAddress
from analysis.publish.mqtt.broker import embedded_broker
from analysis.publish.mqtt.publisher import MqttPublisher
from capture.station.station import BrokerSettings, Station
from decode.errors import SourceError

EMBEDDED_ROOT: Final = "pullwatch"


async def open_broker(
    station: Station, stack: AsyncExitStack
) -> tuple[BrokerAddress, MqttPublisher] | tuple[None, None]:
    """Where the broker is, and its publisher, not yet running. Raises PullwatchError."""
    if station.broker == "none":
        return None, None
    if station.broker == "embedded":
        address, root = await stack.enter_async_context(embedded_broker()), EMBEDDED_ROOT
    else:
        address, root = _address(station.broker), station.broker.root
    return address, MqttPublisher(address, root, station.name, station.store / "outbox.db")


def _address(broker: BrokerSettings) -> BrokerAddress:
    file = broker.password_file
    try:
        password = file.read_text("utf-8").strip() if file else None
    except OSError as error:
        raise SourceError(f"the broker's password file cannot be read: {error}") from error
    return BrokerAddress(broker.host, broker.port, broker.username, password, broker.tls)
