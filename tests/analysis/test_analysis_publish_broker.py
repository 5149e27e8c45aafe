import socket
from pathlib import Path

import aiomqtt
import pytest
from mqtt_peers import subscriber
from patience import until

from analysis.model.findings import Severity
from analysis.publish.messages.station import VerdictMessage
from analysis.publish.mqtt.broker import EmbeddedBrokerError, embedded_broker
from analysis.publish.mqtt.publisher import MqttPublisher


async def test_the_publisher_speaks_through_the_embedded_broker(tmp_path: Path) -> None:
    async with embedded_broker() as address, subscriber(address.port, "workshop/#") as seen:
        async with MqttPublisher(address, "workshop", "bay-1", tmp_path / "outbox") as out:
            for number in range(1, 51):
                out.put(
                    VerdictMessage(
                        station="bay-1",
                        session_id="session-1",
                        number=number,
                        verdict=Severity.HEALTHY,
                    )
                )
            await until(lambda: len(seen.of("verdict")) == 50)
        await until(lambda: len(seen.of("status")) == 2)
    assert [d["number"] for d in seen.of("verdict")] == list(range(1, 51))
    assert [d["state"] for d in seen.of("status")] == ["online", "offline"]
    assert seen.retained == []


async def test_nothing_is_retained_whoever_asks_for_it() -> None:
    async with embedded_broker() as address:
        async with aiomqtt.Client(address.host, address.port) as client:
            await client.publish("note", b'{"kept": true}', qos=1, retain=True)
        async with (
            subscriber(address.port) as late,
            aiomqtt.Client(address.host, address.port) as client,
        ):
            await client.publish("end", b"{}", qos=1)
            await until(lambda: len(late.of("end")) == 1)
    assert late.of("note") == []


async def test_it_listens_on_loopback_only() -> None:
    async with embedded_broker() as address:
        with socket.create_connection((address.host, address.port), 1.0) as peer:
            assert peer.getpeername()[0] == "127.0.0.1"
        with socket.socket() as outside:
            # a wildcard listener would hold the port on every address
            outside.bind(("127.0.0.2", address.port))


async def test_a_port_that_is_taken_is_said() -> None:
    async with embedded_broker() as address:
        with pytest.raises(EmbeddedBrokerError, match=str(address.port)):
            async with embedded_broker(address.port):
                pass
