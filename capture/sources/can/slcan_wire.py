"""A CAN bus behind an slcan adapter, as the gate takes it: the way to poll through one.

python-can reads this protocol byte by byte, takes 80 us a frame, and raises ValueError at a damaged
byte (hardbyte/python-can#2027); then a response of three frames costs a slow ECU's time again.
What may be sent is decided by the `GatedBus` in front; nothing else holds a SlcanWire.
"""

import contextlib
import time
from collections import deque
from typing import Final

import can

from capture.sources.base.settings import PortSettings, SlcanSettings
from capture.sources.can.slcan import DONE, REFUSED, open_channel, send_command
from capture.sources.gate.slcan_frames import LONGEST_LINE, parse_frames
from capture.sources.serial.line_splitter import LineSplitter
from capture.sources.serial.serial_link import SerialLink
from decode.errors import SourceError
from decode.records import Flag

POLL_S: Final = 0.0003  # what a response waits at most until it is seen; 3 % of a processor
NOT_DATA: Final = int(Flag.REMOTE | Flag.FD)


class SlcanWire:
    """Opens the adapter to send and to receive; SourceError when it refuses or goes away."""

    def __init__(self, settings: SlcanSettings) -> None:
        self._url = settings.channel
        self._splitter = LineSplitter(LONGEST_LINE, whole_first=True)
        self._filters: can.typechecking.CanFilters = ()
        self._frames: deque[can.Message] = deque()
        port = PortSettings(
            url=settings.channel, baud=settings.baud, flow_control=settings.flow_control
        )
        with contextlib.ExitStack() as stack:
            self._link = stack.enter_context(SerialLink(port))
            self._take(open_channel(self._link, settings))
            self._open = stack.pop_all()

    def send(self, msg: can.Message, timeout: float | None = None) -> None:
        """Put one frame on the bus. timeout: the port has its own."""
        identifier, data = msg.arbitration_id, bytes(msg.data)
        head = f"T{identifier:08X}" if msg.is_extended_id else f"t{identifier:03X}"
        line = f"{head}{len(data)}{data.hex().upper()}"
        self._link.write(line.encode() + DONE)

    def recv(self, timeout: float | None = None) -> can.Message | None:
        """The next frame that passes the filters."""
        deadline_s = time.monotonic() + (timeout or 0.0)
        self._take(self._link.read())
        while not self._frames and time.monotonic() < deadline_s:
            time.sleep(POLL_S)
            self._take(self._link.read())
        return self._frames.popleft() if self._frames else None

    def set_filters(self, filters: can.typechecking.CanFilters | None = None) -> None:
        """Only frames that agree with one of these; all without one."""
        self._filters = filters or ()

    def shutdown(self) -> None:
        """Close the channel and the port."""
        with self._open, contextlib.suppress(SourceError):
            send_command(self._link, "C")

    def _take(self, received: bytes) -> None:
        if not received:
            return
        # a refusal is a byte without a line end
        lines = self._splitter.feed(received.replace(REFUSED, DONE + REFUSED + DONE))
        frames = parse_frames(lines)
        if REFUSED in frames.others:
            raise SourceError(f"{self._url}: the adapter refuses to send; is the bus connected?")
        for address, flags, data in zip(frames.address, frames.flags, frames.payloads, strict=True):
            extended = bool(flags & Flag.EXTENDED)
            if not flags & NOT_DATA and self._is_wanted(address, extended):
                self._frames.append(
                    can.Message(arbitration_id=address, is_extended_id=extended, data=data)
                )

    def _is_wanted(self, identifier: int, extended: bool) -> bool:
        return not self._filters or any(
            (identifier ^ one["can_id"]) & one["can_mask"] == 0
            and one.get("extended", extended) == extended
            for one in self._filters
        )
