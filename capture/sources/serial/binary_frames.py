"""Binary frames of a serial device; each payload is the whole frame, plain, sync to checksum."""

import threading
from typing import Final

from capture.sources.base.checksums import checksum
from capture.sources.base.clock import Clock
from capture.sources.base.settings import FrameSettings, LengthSettings
from capture.sources.base.source import Emit
from capture.sources.serial.framing import ByteOrder, CarriedLength, Escape, FrameFormat, Framer
from capture.sources.serial.serial_link import SerialLink
from decode.records import RecordBatch, SourceInfo, SourceKind

BYTE_ORDER: Final[dict[str, ByteOrder]] = {"little_endian": "little", "big_endian": "big"}


class SerialFrames:
    """The frames of one port. Each time the stream falls out of step counts as one frame lost."""

    def __init__(self, name: str, settings: FrameSettings, clock: Clock) -> None:
        self.info = SourceInfo(name, SourceKind.FRAMES)
        self._settings = settings
        self._clock = clock

    def run(self, emit: Emit, stop: threading.Event) -> None:
        """Deliver frames until `stop`; SourceError when the port cannot be opened or goes away."""
        framer = Framer(frame_format(self._settings))
        delivered = False
        with SerialLink(self._settings) as link:
            for command in self._settings.send:
                link.write(command)
            for data in link.chunks(stop):
                frames = framer.feed(data, self._clock.now_ns()) if data else []
                if frames:
                    arrived_ns, payloads = map(list, zip(*frames, strict=True))
                    emit(
                        RecordBatch.of(
                            self.info.name,
                            arrived_ns,
                            payloads,
                            dropped_before=framer.taken_lost(),
                        )
                    )
                    delivered = True
            if not delivered and (why := link.nothing_understood("whole frame")):
                raise why


def frame_format(settings: FrameSettings) -> FrameFormat:
    """What the settings say, as the framer takes it."""
    summed, escape = settings.checksum, settings.escape
    return FrameFormat(
        sync=settings.sync,
        length=_carried(settings.length)
        if isinstance(settings.length, LengthSettings)
        else settings.length,
        end=settings.end,
        checksum=checksum(summed.kind) if summed else None,
        covers_from=summed.covers_from if summed else 0,
        checksum_order=BYTE_ORDER[summed.byte_order] if summed else "little",
        escape=Escape(escape.byte, escape.xor, escape.replaces) if escape else None,
        longest=settings.longest,
    )


def _carried(length: LengthSettings) -> CarriedLength:
    return CarriedLength(length.at, length.bytes, BYTE_ORDER[length.byte_order], length.adds)
