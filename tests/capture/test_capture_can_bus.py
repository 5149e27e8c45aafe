import threading
import uuid
from collections.abc import Iterator

import can
import numpy as np
import pytest
from can.interfaces.virtual import VirtualBus
from patience import wait_until
from transports import Plug, Running, running

from capture.sources.base.clock import Clock
from capture.sources.base.settings import CanSettings
from capture.sources.can.can_bus import CanBus
from decode.records import NO_ADAPTER_TIME, Flag

CLOCK = Clock()


@pytest.fixture
def sender() -> Iterator[VirtualBus]:
    with VirtualBus(channel=str(uuid.uuid4())) as bus:
        yield bus


def listener(sender: VirtualBus, clock: Clock = CLOCK) -> CanBus:
    settings = CanSettings(interface="virtual", channel=str(sender.channel_id), fd=True)
    return CanBus("engine", settings, clock)


def send(bus: VirtualBus, source: Running, *messages: can.Message) -> None:
    """Send once the source listens: a virtual bus keeps nothing for those who come late."""
    wait_until(lambda: len(bus.channel) == 2)
    for message in messages:
        bus.send(message)
    wait_until(lambda: len(source.payloads) == len(messages))


def test_frames_of_every_kind(sender: VirtualBus) -> None:
    with running(listener(sender)) as source:
        send(
            sender,
            source,
            can.Message(arbitration_id=0x310, data=[1, 2, 3], is_extended_id=False),
            can.Message(arbitration_id=0x18DAF110, data=[4]),
            can.Message(arbitration_id=0x7, data=bytes(64), is_fd=True, is_extended_id=False),
            can.Message(arbitration_id=0x8, dlc=4, is_remote_frame=True, is_extended_id=False),
            can.Message(arbitration_id=0x4, data=[0, 1], is_error_frame=True, is_extended_id=False),
        )
    assert source.column("address") == [0x310, 0x18DAF110, 0x7, 0x8, 0x4]
    assert source.column("flags") == [0, Flag.EXTENDED, Flag.FD, Flag.REMOTE, Flag.ERROR]
    assert source.payloads == [b"\x01\x02\x03", b"\x04", bytes(64), b"", b"\x00\x01"]
    assert sum(batch.dropped_before for batch in source.batches) == 1  # the error was an overflow


def test_a_host_stamp_gives_the_arrival_and_is_no_adapter_time(sender: VirtualBus) -> None:
    before_ns = CLOCK.now_ns()
    with running(listener(sender)) as source:
        send(sender, source, *(can.Message(arbitration_id=i) for i in range(200)))
    arrived_ns = np.array(source.column("arrived_ns"))
    assert set(source.column("adapter_ns")) == {NO_ADAPTER_TIME}
    assert before_ns < arrived_ns[0] <= arrived_ns[-1] < CLOCK.now_ns()
    assert (np.diff(arrived_ns) >= 0).all()
    assert len(np.unique(arrived_ns)) > 20  # finer than the few drains they came in


def test_nothing_is_lost_at_four_thousand_frames_a_second(sender: VirtualBus) -> None:
    with running(listener(sender)) as source:
        wait_until(lambda: len(sender.channel) == 2)
        pause = threading.Event()
        for _ in range(100):
            for number in range(40):
                sender.send(can.Message(arbitration_id=number, data=number.to_bytes(8, "big")))
            pause.wait(0.01)
        wait_until(lambda: len(source.payloads) == 4_000)
    assert [int.from_bytes(p, "big") for p in source.payloads] == [*range(40)] * 100


def test_a_bus_that_is_never_quiet_is_delivered_all_the_same(plug: Plug) -> None:
    """python-can's `serial` waits for the next frame 0.1 s, though told not to wait."""
    frame = b"\xaa" + bytes(4) + b"\x01\x10\x03\x00\x00\x2a\xbb"
    settings = CanSettings(interface="serial", channel=plug.url)
    with running(CanBus("engine", settings, CLOCK)) as source:

        def delivered() -> bool:
            plug.write(frame)
            return b"\x2a" in source.payloads

        wait_until(delivered)
    assert set(source.column("address")) == {0x310}


def test_two_buses_at_once_keep_their_own_frames() -> None:
    with (
        VirtualBus(channel="first") as first,
        VirtualBus(channel="second") as second,
        running(listener(first)) as from_first,
        running(listener(second)) as from_second,
    ):
        send(first, from_first, can.Message(arbitration_id=1))
        send(second, from_second, can.Message(arbitration_id=2), can.Message(arbitration_id=3))
    assert from_first.column("address") == [1]
    assert from_second.column("address") == [2, 3]


@pytest.mark.parametrize(
    "settings",
    [
        {"interface": "no such interface"},
        {"interface": "serial"},
        {"interface": "serial", "channel": "/dev/no such port"},
    ],
)
def test_what_cannot_be_opened_is_a_source_error(settings: dict[str, object]) -> None:
    with running(CanBus("engine", CanSettings.model_validate(settings), CLOCK)) as source:
        wait_until(lambda: source.error is not None)
    assert "engine" in str(source.error)


@pytest.mark.parametrize(
    ("interface", "said", "opened_with"),
    [
        ("cantact", {}, {"monitor": True}),
        ("kvaser", {}, {"driver_mode": False}),
        ("kvaser", {"listen_only": False}, {}),
        ("vector", {"options": {"listen_only": False}}, {"listen_only": False}),
        (
            "vector",
            {"fd": True, "data_bitrate": 2_000_000, "listen_only": False},
            {"fd": True, "data_bitrate": 2_000_000},
        ),
        (
            "nixnet",  # takes data_bitrate too, and does not use it
            {"fd": True, "data_bitrate": 2_000_000, "listen_only": False},
            {"fd": True, "fd_bitrate": 2_000_000},
        ),
    ],
)
def test_interfaces_are_told_by_their_own_words(
    interface: str,
    said: dict[str, object],
    opened_with: dict[str, object],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    told: dict[str, object] = {}

    def noting(**options: object) -> can.BusABC:
        told.update(options)
        raise can.CanInitializationError("not here")

    monkeypatch.setattr(can, "Bus", noting)
    settings = CanSettings.model_validate({"interface": interface, "channel": 0} | said)
    with running(CanBus("engine", settings, CLOCK)) as source:
        wait_until(lambda: source.error is not None)
    assert told == {"interface": interface, "channel": 0} | opened_with


def test_a_data_bit_rate_is_one_of_can_fd() -> None:
    with pytest.raises(ValueError, match='needs "fd: true"'):
        CanSettings(interface="vector", data_bitrate=2_000_000)


def test_whatever_an_interface_raises_when_it_is_opened_is_a_source_error(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Without its driver python-can's kvaser interface raises NameError, which ends the daemon."""

    def without_driver(**_: object) -> can.BusABC:
        raise NameError("name 'canGetNumberOfChannels' is not defined")

    monkeypatch.setattr(can, "Bus", without_driver)
    settings = CanSettings(interface="kvaser", channel=0)
    with running(CanBus("engine", settings, CLOCK)) as source:
        wait_until(lambda: source.error is not None)
    assert str(source.error).startswith("engine: kvaser 0 cannot be opened")
