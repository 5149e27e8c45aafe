"""A CAN adapter that speaks the plain binary frames of python-can's interface `serial`.

    AA  stamp in ms  data length  identifier  data    BB
    1   uint32       1            uint32      0 to 8  1     bytes, little endian

The identifier's highest bit says that it has 29 bits.
"""

import struct
import time
from typing import Final

import can

from simulators.frames import FrameTable
from simulators.ports import Port

HEAD: Final = struct.Struct("<BIBI")
START: Final = 0xAA
END: Final = 0xBB
EXTENDED: Final = 0x8000_0000
MS: Final = 1e3
POLL_S: Final = 0.0002


class SerialCanFarEnd:
    """The bus behind the adapter: what the host sends, and frames to it."""

    def __init__(self, port: Port) -> None:
        self._port = port
        self._received = b""

    def send(self, msg: can.Message) -> None:
        """To the host."""
        identifier = msg.arbitration_id | EXTENDED * msg.is_extended_id
        self._port.write(_frame(0, identifier, bytes(msg.data)))

    def recv(self, timeout: float | None = None) -> can.Message | None:
        """The next frame of the host."""
        deadline_s = time.perf_counter() + (timeout or 0.0)
        while (frame := self._next()) is None and time.perf_counter() < deadline_s:
            time.sleep(POLL_S)
        return frame

    def _next(self) -> can.Message | None:
        self._received += self._port.read()
        if len(self._received) < HEAD.size:
            return None
        _, _, length, identifier = HEAD.unpack_from(self._received)
        end = HEAD.size + length
        if len(self._received) <= end:
            return None
        data, self._received = self._received[HEAD.size : end], self._received[end + 1 :]
        return can.Message(
            arbitration_id=identifier & ~EXTENDED,
            is_extended_id=bool(identifier & EXTENDED),
            data=data,
        )


def serial_can_frames(frames: FrameTable) -> list[bytes]:
    """Each frame as the adapter sends it."""
    return [
        _frame(round(MS * at_s), identifier | EXTENDED * extended, data[:length].tobytes())
        for at_s, identifier, extended, length, data in zip(
            frames.time_s.tolist(),
            frames.identifier.tolist(),
            frames.extended.tolist(),
            frames.length.tolist(),
            frames.data,
            strict=True,
        )
    ]


def _frame(stamp_ms: int, identifier: int, data: bytes) -> bytes:
    return HEAD.pack(START, stamp_ms, len(data), identifier) + data + bytes([END])
