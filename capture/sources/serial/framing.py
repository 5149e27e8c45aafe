"""Cuts a byte stream into binary frames, whatever damage it carries.

    sync | content (length field, data, checksum), escaped or not | end

A frame is handed out only when it can be trusted: with a checksum of 16 bits or more at once;
with 8 bits where it follows directly on another frame, because one in 256 pieces of noise passes;
with escaping and an end, because that cannot stand in its content; otherwise when the next frame's
sync stands right behind it. Without a checksum nothing tells that a byte within a frame is wrong.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Literal, NamedTuple

from capture.sources.base.checksums import Checksum

ByteOrder = Literal["little", "big"]


@dataclass(frozen=True, slots=True)
class CarriedLength:
    """A length field at byte `at` of the frame. The frame, sync to checksum, is `adds` longer."""

    at: int
    size: int = 1
    byte_order: ByteOrder = "big"
    adds: int = 0

    def of(self, frame: bytes) -> int | None:
        """How long the whole frame is; None while the field has not come in."""
        end = self.at + self.size
        if len(frame) < end:
            return None
        return int.from_bytes(frame[self.at : end], self.byte_order) + self.adds


@dataclass(frozen=True, slots=True)
class Escape:
    """`byte` changes the meaning of the next: by `replaces`, else by exclusive or with `xor`."""

    byte: int
    xor: int = 0
    replaces: Mapping[int, int] = field(default_factory=dict)

    def plain(self, escaped: int) -> int:
        """What the byte behind the escape byte stands for."""
        return self.replaces.get(escaped, escaped ^ self.xor)


@dataclass(frozen=True, slots=True)
class FrameFormat:
    """How a device frames. length: fixed, carried, or None where `end` closes the frame.

    covers_from: the first byte of the frame that the checksum, its last bytes, is computed over.
    longest: a carried length beyond it is damage.
    """

    sync: bytes
    length: int | CarriedLength | None
    end: bytes = b""
    checksum: Checksum | None = None
    covers_from: int = 0
    checksum_order: ByteOrder = "little"
    escape: Escape | None = None
    longest: int = 4096


class Found(NamedTuple):
    """frame: sync to checksum, plain. raw: how many bytes of the stream it took, with its end."""

    frame: bytes
    raw: int


class NotFound(Enum):
    """Why a stream that begins with sync holds no frame there."""

    INCOMPLETE = "more bytes are needed to say"
    DAMAGED = "no frame begins here"


def read_frame(stream: bytes, form: FrameFormat) -> Found | NotFound:
    """The frame at the start of `stream`, which begins with the format's sync."""
    content = _by_end(stream, form) if form.length is None else _by_length(stream, form)
    if isinstance(content, NotFound):
        return content
    return content if _is_whole(content.frame, form) else NotFound.DAMAGED


def _by_end(stream: bytes, form: FrameFormat) -> Found | NotFound:
    start = len(form.sync)
    at = _end(stream, form)
    if at < 0 or at - start > 2 * form.longest:  # escaping at most doubles a frame
        return NotFound.DAMAGED if len(stream) > 2 * form.longest else NotFound.INCOMPLETE
    content, used = unescape(stream[start:at], form.escape)
    if used < at - start or start + len(content) > form.longest:
        return NotFound.DAMAGED
    shared = form.end == form.sync  # one flag both ends a frame and begins the next
    return Found(form.sync + content, at if shared else at + len(form.end))


def _end(stream: bytes, form: FrameFormat) -> int:
    """Where the frame's end begins, or -1. Where the end begins with the escape byte (DLE ETX),
    one whose escape byte is itself escaped (DLE DLE ETX) is content."""
    start = len(form.sync)
    at = stream.find(form.end, start)
    if form.escape is not None and form.end[0] == form.escape.byte:
        while at >= 0 and unescape(stream[start:at], form.escape)[1] < at - start:
            at = stream.find(form.end, at + 1)
    return at


def _by_length(stream: bytes, form: FrameFormat) -> Found | NotFound:
    start = len(form.sync)
    length = _length(stream, form)
    if length is None:
        return NotFound.INCOMPLETE
    if not start <= length <= form.longest:
        return NotFound.DAMAGED
    content, used = unescape(stream[start:], form.escape, length - start)
    if len(content) < length - start:
        return NotFound.INCOMPLETE
    raw = start + used
    end = stream[raw : raw + len(form.end)]
    if end != form.end:
        return NotFound.INCOMPLETE if form.end.startswith(end) else NotFound.DAMAGED
    return Found(form.sync + content, raw + len(form.end))


def _length(stream: bytes, form: FrameFormat) -> int | None:
    """Of the frame; None while it is not known. Of a long stream no more is unescaped than holds
    it: what waits behind it would be unescaped again for every frame."""
    if not isinstance(form.length, CarriedLength):
        return form.length
    start = len(form.sync)
    head, _ = unescape(stream[start:], form.escape, form.length.at + form.length.size - start)
    return form.length.of(form.sync + head)


def _is_whole(frame: bytes, form: FrameFormat) -> bool:
    if form.checksum is None:
        return len(frame) > len(form.sync)
    at = len(frame) - form.checksum.size
    if at < max(form.covers_from, len(form.sync)):
        return False
    carried = int.from_bytes(frame[at:], form.checksum_order)
    return carried == form.checksum.of(frame[form.covers_from : at])


def unescape(raw: bytes, escape: Escape | None, wanted: int | None = None) -> tuple[bytes, int]:
    """Up to `wanted` plain bytes, and how many raw ones they took."""
    if escape is None or escape.byte not in raw:
        taken = raw[:wanted]
        return taken, len(taken)
    plain, at = bytearray(), 0
    while at < len(raw) and (wanted is None or len(plain) < wanted):
        escaped = raw[at] == escape.byte
        if escaped and at + 1 == len(raw):
            break  # what it changes has not come in
        plain.append(escape.plain(raw[at + 1]) if escaped else raw[at])
        at += 2 if escaped else 1
    return bytes(plain), at


class Framer:
    """Cuts one stream. A frame is stamped with the arrival of its last byte."""

    def __init__(self, form: FrameFormat) -> None:
        self._form = form
        self._stream = b""
        self._in_step = False  # the stream now begins right behind a good frame
        self._completed_ns: int | None = None  # of the frame that waits for the sync behind it
        self._lost = 0

    def feed(self, data: bytes, arrived_ns: int) -> list[tuple[int, bytes]]:
        """Arrival and bytes of every frame that `data` completes or confirms."""
        self._stream += data
        frames = []
        while self._seek_sync():
            found = self._confirmed(read_frame(self._stream, self._form), arrived_ns)
            if found is NotFound.INCOMPLETE:
                break
            if found is NotFound.DAMAGED:
                self._drop(1)
                continue
            frames.append((self._completed_ns or arrived_ns, found.frame))
            self._stream = self._stream[found.raw :]
            self._in_step, self._completed_ns = True, None
        return frames

    def taken_lost(self) -> int:
        """How often the stream fell out of step since last asked: at least so many are lost."""
        taken, self._lost = self._lost, 0
        return taken

    def _seek_sync(self) -> bool:
        """Drop what stands before the next sync; whether there is one."""
        sync = self._form.sync
        at = self._stream.find(sync)
        if at < 0:
            begun = next(n for n in range(len(sync) - 1, -1, -1) if self._stream.endswith(sync[:n]))
            at = len(self._stream) - begun
        if at:
            self._drop(at)
        while self._form.end == sync and self._stream.startswith(sync + sync):
            self._stream = self._stream[len(sync) :]  # flags that fill a pause
        return self._stream.startswith(sync)

    def _confirmed(self, found: Found | NotFound, arrived_ns: int) -> Found | NotFound:
        """The frame, if it can be trusted already."""
        if isinstance(found, NotFound) or self._is_trusted():
            return found
        behind = self._stream[found.raw : found.raw + len(self._form.sync)]
        if behind == self._form.sync:
            return found
        if not self._form.sync.startswith(behind):
            return NotFound.DAMAGED
        self._completed_ns = self._completed_ns or arrived_ns
        return NotFound.INCOMPLETE

    def _is_trusted(self) -> bool:
        checksum = self._form.checksum
        if checksum is not None and (checksum.size > 1 or self._in_step):
            return True
        return bool(self._form.end) and self._form.escape is not None

    def _drop(self, count: int) -> None:
        self._lost += self._in_step
        self._in_step, self._completed_ns = False, None
        self._stream = self._stream[count:]
