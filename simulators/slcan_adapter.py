"""A CAN adapter that speaks the open serial-line CAN protocol (slcan): commands in, frames out."""

from typing import Final

from simulators.frames import FrameTable
from simulators.ports import Port

OK: Final = b"\r"
ERROR: Final = b"\a"
STAMP_WRAP_MS: Final = 60_000  # the 16-bit millisecond stamp starts again every minute
VERSION: Final = b"V1013\r"
SERIAL_NUMBER: Final = b"NS001\r"
FLAGS_CLEAR: Final = b"F00\r"
FRAME_COMMANDS: Final = frozenset("tTrR")


class SlcanAdapter:
    """State as of the real thing: channel open or not, listening only, stamps on or off."""

    def __init__(self, port: Port) -> None:
        self.port = port
        self.open = False
        self.listen_only = False
        self.stamps = False
        self.sent_by_host: list[str] = []  # frames the host asked to send: a listener has none
        self._pending = b""

    def poll(self) -> None:
        """Answer every whole command that has arrived."""
        self._pending += self.port.read()
        *commands, self._pending = self._pending.split(b"\r")
        for command in commands:
            self.port.write(self._answer(command.decode("ascii", "replace").strip("\n\0")))

    def send(self, data: bytes) -> None:
        """Formatted frames; a closed channel passes none."""
        if self.open:
            self.port.write(data)

    def _answer(self, command: str) -> bytes:
        match command[:1]:
            case "":
                return OK
            case "S" | "s" | "X" | "W" | "M" | "m" | "Q" | "U":
                return OK if not self.open else ERROR
            case "O" | "L":
                return self._open(listen_only=command == "L")
            case "C":
                self.open = False
                return OK
            case "Z":
                self.stamps = command == "Z1"
                return OK
            case "V" | "v":
                return VERSION
            case "N":
                return SERIAL_NUMBER
            case "F":
                return FLAGS_CLEAR if self.open else ERROR
            case letter if letter in FRAME_COMMANDS:
                return self._sent(command)
            case _:
                return ERROR

    def _open(self, listen_only: bool) -> bytes:
        if self.open:
            return ERROR
        self.open, self.listen_only = True, listen_only
        return OK

    def _sent(self, command: str) -> bytes:
        self.sent_by_host.append(command)
        if not self.open or self.listen_only:
            return ERROR
        return b"z\r" if command[0] in "tr" else b"Z\r"


def frame_lines(frames: FrameTable, stamps: bool) -> list[bytes]:
    """Each frame as the adapter sends it: t iii l dd.. or T iiiiiiii l dd.., stamp where asked."""
    text = frames.data.tobytes().hex().upper()
    stamped_ms = (frames.time_s * 1000.0).astype(int) % STAMP_WRAP_MS
    lines = []
    for index, (identifier, extended, length, stamp) in enumerate(
        zip(
            frames.identifier.tolist(),
            frames.extended.tolist(),
            frames.length.tolist(),
            stamped_ms.tolist(),
            strict=True,
        )
    ):
        head = f"T{identifier:08X}{length}" if extended else f"t{identifier:03X}{length}"
        data = text[16 * index : 16 * index + 2 * length]
        tail = f"{stamp:04X}\r" if stamps else "\r"
        lines.append((head + data + tail).encode())
    return lines
