"""The lines of the open serial-line CAN protocol (slcan) as frames.

A frame line, without the CR that ends it (a space here only for reading):

    t iii l dd..  [ssss]    11-bit identifier, length code, data bytes, optional stamp; all hex
    T iiiiiiii l dd.. [ssss]    29-bit identifier
    r, R: the same without data (remote frames);  d, D, b, B: CAN FD, b and B with a faster data
    phase.  Stamp: milliseconds, 0000 to EA5F (59,999).
"""

from binascii import Error as HexError
from binascii import unhexlify
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import compress
from typing import Final, NamedTuple

from decode.records import NO_ADAPTER_TIME, Flag

LONGEST_LINE: Final = 1 + 8 + 1 + 2 * 64 + 8  # an extended CAN FD frame with a stamp, and a margin

NOT_ALLOWED: Final = -1
CLASSIC_LENGTH: Final = (*range(9), *[NOT_ALLOWED] * 7)
FD_LENGTH: Final = (*range(9), 12, 16, 20, 24, 32, 48, 64)  # ISO 11898-1, data length code
REMOTE_LENGTH: Final = (*[0] * 9, *[NOT_ALLOWED] * 7)  # names a length, carries no data


class Form(NamedTuple):
    """How a frame line is laid out after its first letter, once its hex digits are bytes.

    pad: makes the digits of identifier and length code an even number. header: the bytes that
    they fill. lengths: data bytes by length code.
    """

    pad: bytes
    header: int
    highest_identifier: int
    flags: int
    lengths: tuple[int, ...]


def _standard(flags: Flag, lengths: tuple[int, ...]) -> Form:
    return Form(b"", 2, 0x7FF, int(flags), lengths)


def _extended(flags: Flag, lengths: tuple[int, ...]) -> Form:
    return Form(b"0", 5, 0x1FFF_FFFF, int(flags | Flag.EXTENDED), lengths)


FORMS: Final = {
    b"t": _standard(Flag.NONE, CLASSIC_LENGTH),
    b"T": _extended(Flag.NONE, CLASSIC_LENGTH),
    b"r": _standard(Flag.REMOTE, REMOTE_LENGTH),
    b"R": _extended(Flag.REMOTE, REMOTE_LENGTH),
    b"d": _standard(Flag.FD, FD_LENGTH),
    b"D": _extended(Flag.FD, FD_LENGTH),
    b"b": _standard(Flag.FD, FD_LENGTH),
    b"B": _extended(Flag.FD, FD_LENGTH),
}


@dataclass(slots=True)
class Frames:
    """Lines as columns: frames, what is no frame, and how many frame lines were damaged."""

    address: list[int] = field(default_factory=list)
    flags: list[int] = field(default_factory=list)
    payloads: list[bytes] = field(default_factory=list)
    stamp_ms: list[int] = field(default_factory=list)  # NO_ADAPTER_TIME where there is none
    others: list[bytes] = field(default_factory=list)
    damaged: int = 0

    def only_stamped(self) -> "Frames":
        """Where the adapter stamps every frame, one that has no stamp is damaged: it has lost four
        digits, and what should be its stamp stands in its data."""
        kept = [stamp_ms != NO_ADAPTER_TIME for stamp_ms in self.stamp_ms]
        return Frames(
            list(compress(self.address, kept)),
            list(compress(self.flags, kept)),
            list(compress(self.payloads, kept)),
            list(compress(self.stamp_ms, kept)),
            self.others,
            self.damaged + kept.count(False),
        )


def parse_frames(lines: Iterable[bytes]) -> Frames:
    """Read the lines. One loop without calls of our own per frame: this is the hot path.

    A batch of 5 ms holds 5 to 40 frames, where a loop over `unhexlify` beats numpy's fixed cost.
    """
    frames = Frames()
    for line in lines:
        form = FORMS.get(line[:1])
        if form is None:
            frames.others.append(line)
            continue
        pad, header, highest, flags, lengths = form
        try:
            raw = unhexlify(pad + line[1:])  # strict: no spaces, signs or underscores
        except HexError:
            frames.damaged += 1
            continue
        word = int.from_bytes(raw[:header], "big")
        length = lengths[word & 0xF]
        end = header + length
        stamp = raw[end:]
        if (
            word >> 4 > highest
            or length == NOT_ALLOWED
            or len(stamp) not in (0, 2)
            or len(raw) < end
        ):
            frames.damaged += 1
            continue
        frames.address.append(word >> 4)
        frames.flags.append(flags)
        frames.payloads.append(raw[header:end])
        frames.stamp_ms.append(int.from_bytes(stamp, "big") if stamp else NO_ADAPTER_TIME)
    return frames
