"""A CAN or CAN FD bus through python-can, listened to and never sent on.

Interface `slcan` is read by our own `slcan.SlcanBus` (see there why); python-can has all others.
A reader thread that drains in batches costs 4 to 10 us a frame, python-can's Notifier 20 to 35.
"""

import logging
import threading
import time
from collections.abc import Iterator, Mapping
from typing import Any, Final

import can

from capture.sources.base.adapter_time import AdapterClock
from capture.sources.base.clock import Clock
from capture.sources.base.settings import CanSettings
from capture.sources.base.source import DRAIN_INTERVAL_S, Emit
from decode.errors import SourceError
from decode.records import NO_ADAPTER_TIME, Flag, RecordBatch, SourceInfo, SourceKind

# How each interface is told not even to acknowledge; socketcan takes it from the system's set-up.
LISTEN_ONLY_OPTION: Final[dict[str, dict[str, Any]]] = {
    "cantact": {"monitor": True},
    "kvaser": {"driver_mode": False},
    "nixnet": {"listen_only": True},
    "pcan": {"state": can.BusState.PASSIVE},
    "seeedstudio": {"operation_mode": "silent"},
    "systec": {"state": can.BusState.PASSIVE},
    "vector": {"listen_only": True},
}
# Interfaces whose stamp is this machine's wall clock, taken when the frame came in: it says how
# old the frame is. All others stamp with a clock of the adapter's.
HOST_STAMPED: Final = frozenset(
    {"neousys", "robotell", "slcan", "socketcan", "socketcand", "udp_multicast", "virtual"}
)
DATA_BITRATE_OPTION: Final = {"nixnet": "fd_bitrate"}  # all others: data_bitrate
OLDEST_S: Final = 1.0  # a frame that seems older was stamped before the wall clock was set
# After how long the adapter's counter starts again at 0: 32 bits of microseconds, of milliseconds.
COUNTER_PERIOD_NS: Final = {"gs_usb": 2**32 * 1_000, "serial": 2**32 * 1_000_000}

# linux/can/error.h: error class "controller problems", and its detail "receive buffer overflow".
ERROR_CONTROLLER: Final = 0x004
ERROR_RECEIVE_OVERFLOW: Final = 0x01

logger = logging.getLogger(__name__)


class CanBus:
    """The frames of one python-can bus; error frames become ERROR records."""

    def __init__(self, name: str, settings: CanSettings, clock: Clock) -> None:
        self.info = SourceInfo(name, SourceKind.CAN)
        self._settings = settings
        # kept while the adapter is away: many count on without anybody listening
        self._stamps = _Stamps(settings.interface, clock)

    def run(self, emit: Emit, stop: threading.Event) -> None:
        """Deliver frames until `stop`; SourceError when the bus cannot be opened or goes away."""
        with _open_bus(self.info.name, self._settings) as bus:
            while not stop.is_set():
                until_s = time.monotonic() + DRAIN_INTERVAL_S
                messages = list(_waiting(self.info.name, bus, until_s))
                if messages:
                    emit(_batch(self.info.name, messages, self._stamps))
                time.sleep(max(0.0, until_s - time.monotonic()))


def _open_bus(name: str, settings: CanSettings) -> can.BusABC:
    options: dict[str, Any] = {"channel": settings.channel, "bitrate": settings.bitrate}
    if settings.fd:
        data_bitrate = DATA_BITRATE_OPTION.get(settings.interface, "data_bitrate")
        options |= {"fd": True, data_bitrate: settings.data_bitrate}
    if settings.listen_only:
        options |= LISTEN_ONLY_OPTION.get(settings.interface, {})
    where = bus_label(name, settings.interface, settings.channel)
    return open_bus(where, settings.interface, options, settings.options)


def bus_label(name: str, interface: str, channel: str | int | None) -> str:
    """A bus as errors call it: its source, its interface and, where it has one, its channel."""
    return f"{name}: {interface} {'' if channel is None else channel}".strip()


def open_bus(
    where: str, interface: str, options: Mapping[str, Any], own: Mapping[str, Any]
) -> can.BusABC:
    """A bus of any python-can interface. where: as errors call it. options: those that are None
    are left to python-can. own: the user's, which win. SourceError where it cannot be opened."""
    given = {key: value for key, value in options.items() if value is not None}
    try:
        return can.Bus(interface=interface, **given | dict(own))
    except Exception as error:  # NameError too: kvaser's, where its driver is not installed
        raise SourceError(f"{where} cannot be opened: {error}") from error


def _waiting(name: str, bus: can.BusABC, until_s: float) -> Iterator[can.Message]:
    """The frames that have come in. An interface may wait for the next whatever it is told
    (`serial` does, 0.1 s): on a busy bus there would be no end to it."""
    try:
        while (message := bus.recv(timeout=0)) is not None:
            yield message
            if time.monotonic() > until_s:
                return
    except Exception as error:  # interfaces raise what their driver does, not only CanError
        raise SourceError(f"{name}: {bus.channel_info} has gone: {error}") from error


def _batch(name: str, messages: list[can.Message], stamps: "_Stamps") -> RecordBatch:
    arrived_ns, adapter_ns = stamps.of(messages)
    return RecordBatch.of(
        name,
        arrived_ns,
        [message_data(m) for m in messages],
        [m.arbitration_id for m in messages],
        [message_flags(m) for m in messages],
        adapter_ns,
        sum(map(_is_overflow, messages)),
    )


def message_data(message: can.Message) -> bytes:
    """The data bytes; a remote frame names a length and carries none."""
    return b"" if message.is_remote_frame else bytes(message.data)


def message_flags(message: can.Message) -> int:
    """The record flags of a python-can message."""
    return (
        Flag.EXTENDED * message.is_extended_id
        | Flag.FD * message.is_fd
        | Flag.REMOTE * message.is_remote_frame
        | Flag.ERROR * message.is_error_frame
    )


def _is_overflow(message: can.Message) -> bool:
    return (
        message.is_error_frame
        and bool(message.arbitration_id & ERROR_CONTROLLER)
        and len(message.data) > 1
        and bool(message.data[1] & ERROR_RECEIVE_OVERFLOW)
    )


class _Stamps:
    """When the frames of a batch arrived, and what their adapter stamped."""

    def __init__(self, interface: str, clock: Clock) -> None:
        self._host_stamped = interface in HOST_STAMPED
        self._clock = clock
        self._adapter_clock = AdapterClock(COUNTER_PERIOD_NS.get(interface))
        self._newest_ns = 0

    def of(self, messages: list[can.Message]) -> tuple[list[int], list[int]]:
        now_ns = self._clock.now_ns()
        if not self._host_stamped:
            stamps_ns = [round(message.timestamp * 1e9) for message in messages]
            return [now_ns] * len(messages), [self._on_session(s, now_ns) for s in stamps_ns]
        wall_s = time.time()
        arrived_ns = [self._arrived(now_ns, wall_s - message.timestamp) for message in messages]
        return arrived_ns, [NO_ADAPTER_TIME] * len(messages)

    def _on_session(self, stamp_ns: int, now_ns: int) -> int:
        return self._adapter_clock.unroll(stamp_ns, now_ns) if stamp_ns > 0 else NO_ADAPTER_TIME

    def _arrived(self, now_ns: int, age_s: float) -> int:
        if not 0.0 <= age_s <= OLDEST_S:
            age_s = 0.0
        self._newest_ns = max(self._newest_ns, now_ns - round(age_s * self._clock.speed * 1e9))
        return self._newest_ns
