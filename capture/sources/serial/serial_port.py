"""Text lines of a serial device: lambda controllers, dyno controllers, weather stations."""

import threading
import time
from typing import Final

from capture.sources.base.clock import Clock
from capture.sources.base.settings import LineSettings
from capture.sources.base.source import Emit
from capture.sources.serial.line_splitter import LineSplitter
from capture.sources.serial.serial_link import SerialLink
from decode.records import Flag, RecordBatch, SourceInfo, SourceKind

LONGEST_LINE: Final = 4_096  # bytes; a line of 200 fields of 12 characters is about 2,600
QUIET_S: Final = 0.05  # a device that sends on is heard in this time, at 20 lines a second or more
# What no text line contains. A byte the receiver could not frame arrives as NUL or as noise.
CONTROL_CHARACTERS: Final = bytes([*range(0x09), *range(0x0A, 0x20), 0x7F])


class SerialLines:
    """The lines of one port, each stamped when the batch that completed it was read.

    A line with a control character in it is kept, flagged ERROR: it was damaged on the way.
    Lines beyond LONGEST_LINE are counted as lost.
    """

    def __init__(self, name: str, settings: LineSettings, clock: Clock) -> None:
        self.info = SourceInfo(name, SourceKind.LINES)
        self._settings = settings
        self._clock = clock

    def run(self, emit: Emit, stop: threading.Event) -> None:
        """Deliver lines until `stop`; SourceError when the port cannot be opened or goes away."""
        delivered = False
        with SerialLink(self._settings) as link:
            whole = self._settings.first_line_whole and not _is_sending(link)
            splitter = LineSplitter(LONGEST_LINE, whole)
            for command in self._settings.send:
                link.write(command.encode())
            for data in link.chunks(stop):
                arrived_ns = self._clock.now_ns()
                lines = splitter.feed(data) if data else []
                if lines:
                    emit(self._batch(lines, arrived_ns, splitter.taken_overlong()))
                    delivered = True
            if not delivered and (why := link.nothing_understood("text line")):
                raise why

    def _batch(self, lines: list[bytes], arrived_ns: int, lost: int) -> RecordBatch:
        flags = [Flag.ERROR if _damaged(line) else Flag.NONE for line in lines]
        return RecordBatch.of(
            self.info.name,
            [arrived_ns] * len(lines),
            lines,
            flags=[int(flag) for flag in flags],
            dropped_before=lost,
        )


def _is_sending(link: SerialLink) -> bool:
    """Whether the device still sends because it was told before: plugged in again, or the bay
    opened anew. Then the first line is a fragment all the same."""
    time.sleep(QUIET_S)
    return bool(link.read())


def _damaged(line: bytes) -> bool:
    return len(line.translate(None, CONTROL_CHARACTERS)) != len(line)
