"""CAN logs of other programs, by python-can's readers: candump, ASC, BLF, TRC, MF4, also .gz."""

import math
import struct
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final

import can
from can.io.blf import BLFParseError

from capture.sources.can.can_bus import message_data, message_flags
from capture.sources.tables.packed_file import DAMAGED, open_bytes
from decode.errors import RecordingError
from decode.records import RecordBatch, SessionInfo, SourceInfo, SourceKind

SUFFIXES: Final = (".log", ".asc", ".blf", ".trc", ".mf4")
# Frames of one bus within so much log time make one batch: short enough that the buses stay
# together in time, long enough that a batch is worth decoding at once.
WINDOW_NS: Final = 20_000_000
NS_PER_S: Final = 1e9
NO_CHANNEL: Final = "can"
LARGEST_STEP_BACK_S: Final = 1.0  # more is no disorder of several buses but a second log
DATED_S: Final = 1e8  # later times are seconds since 1970, of which this is 1973
# What the readers raise on a line or a block that is cut short or no log at all.
UNREADABLE: Final = (
    *DAMAGED,
    ValueError,
    IndexError,
    KeyError,
    struct.error,
    can.CanError,
    BLFParseError,
)
BLF_START: Final = b"LOGG"


class ForeignRecording:
    """The frames of a log, one source for each bus in it.

    names: a source's name in the channel map for each bus of the log; a bus keeps its own name
    (`can0`) where none is given. Frames the log has out of order come at the time of the one
    before them.
    """

    def __init__(self, path: Path, names: Mapping[str, str] | None = None) -> None:
        self.torn: str | None = None
        self._path = path
        self._names = names or {}
        buses, self._first_s = self._survey()
        self.session = SessionInfo(
            session_id=path.name.split(".")[0],
            station="log",
            started_ns=0,
            started_unix_ns=round(self._first_s * NS_PER_S) if self._first_s > DATED_S else 0,
            sources=tuple(SourceInfo(bus, SourceKind.CAN) for bus in buses),
        )

    def batches(self) -> Iterator[RecordBatch]:
        """The frames, window by window, up to where the log is whole."""
        self.torn = None
        window: dict[str, list[tuple[int, can.Message]]] = {}
        window_ends_ns, now_ns = WINDOW_NS, 0
        for message in self._messages():
            now_ns = max(now_ns, round((message.timestamp - self._first_s) * NS_PER_S))
            if now_ns >= window_ends_ns:
                yield from map(_batch, window, window.values())
                window, window_ends_ns = {}, now_ns + WINDOW_NS
            window.setdefault(self._bus(message), []).append((now_ns, message))
        yield from map(_batch, window, window.values())

    def _survey(self) -> tuple[list[str], float]:
        """The buses, and the first time; the log is read once for it, so memory stays flat."""
        buses: set[str] = set()
        first_s: float | None = None
        for message in self._messages():
            first_s = message.timestamp if first_s is None else first_s
            buses.add(self._bus(message))
        if first_s is None:
            raise RecordingError(f"{self._path}: {self.torn or 'holds no CAN frame'}")
        return sorted(buses), first_s

    def _bus(self, message: can.Message) -> str:
        bus = NO_CHANNEL if message.channel is None else str(message.channel)
        bus = f"can{bus}" if bus.isdigit() else bus
        return self._names.get(bus, bus)

    def _messages(self) -> Iterator[can.Message]:
        count, newest_s = 0, -math.inf
        try:
            with can.LogReader(self._path) as reader:
                for message in reader:
                    if getattr(reader, "timestamps_format", "") == "relative":  # read as if not
                        raise ValueError("its times are steps; write it with absolute timestamps")
                    _check_time(message.timestamp, newest_s)
                    newest_s = max(newest_s, message.timestamp)
                    count += 1
                    yield message
                self._check_whole(reader)
        except UNREADABLE as error:
            self.torn = f"is unreadable after {count} frames: {error}"

    def _check_whole(self, reader: object) -> None:
        """Raises EOFError for a BLF file shorter than it says, which its reader passes over."""
        said, there = getattr(reader, "file_size", 0), self._path.stat().st_size
        if said > there and self._path.suffix.lower() != ".gz":
            raise EOFError(f"it is cut off at {there} of {said} bytes")


def read_foreign(path: Path, names: Mapping[str, str] | None = None) -> ForeignRecording:
    """Open a log by its file name; RecordingError where there is no frame in it."""
    suffixes = [suffix.lower() for suffix in path.suffixes if suffix.lower() != ".gz"]
    if suffixes[-1:] == [".blf"] and not _starts_with(path, BLF_START):
        # python-can's reader would say so too, but leaves the file open
        raise RecordingError(f"{path}: is no BLF file")
    if suffixes[-1:] and suffixes[-1] in SUFFIXES:
        return ForeignRecording(path, names)
    raise RecordingError(f"{path}: a CAN log is one of {', '.join(SUFFIXES)}, also with .gz")


def _starts_with(path: Path, start: bytes) -> bool:
    try:
        with open_bytes(path) as file:
            return file.read(len(start)) == start
    except DAMAGED:
        return False


def _check_time(time_s: float, newest_s: float) -> None:
    if not math.isfinite(time_s):
        raise ValueError(f"its time is {time_s}")
    if time_s < newest_s - LARGEST_STEP_BACK_S:
        raise ValueError(
            f"time goes back from {newest_s:.3f} s to {time_s:.3f} s: these are two logs in one "
            "file; split it there"
        )


def _batch(bus: str, frames: list[tuple[int, can.Message]]) -> RecordBatch:
    return RecordBatch.of(
        bus,
        [now_ns for now_ns, _ in frames],
        [message_data(message) for _, message in frames],
        [message.arbitration_id for _, message in frames],
        [message_flags(message) for _, message in frames],
    )
