"""Frames of ISO 14230-2 (K-line): header forms, length and checksum.

    Fmt  [Tgt Src]  [Len]  data 1 to 255 bytes  checksum

Fmt, bits 7 and 6: 00 no addresses, 10 physical and 11 functional addresses follow (01 is another
protocol's header). Bits 5 to 0: the length of the data, or 0 where a length byte follows. The
checksum is the sum of all bytes before it, modulo 256.
"""

from dataclasses import dataclass
from enum import IntEnum
from typing import Final

LENGTH_BITS: Final = 0x3F
LONGEST_DATA: Final = 0xFF
TESTER: Final = 0xF1  # the address of external test equipment (ISO 14230-2, SAE J2178-1)
FUNCTIONAL_TARGET: Final = 0x33  # all ECUs that know J1979 (ISO 14230-4)


class Addressing(IntEnum):
    """Bits 7 and 6 of the format byte."""

    NONE = 0x00
    PHYSICAL = 0x80
    FUNCTIONAL = 0xC0


@dataclass(frozen=True, slots=True)
class KLineFrame:
    """One frame. target, source: 0 where it carries no addresses."""

    data: bytes
    addressing: Addressing = Addressing.NONE
    target: int = 0
    source: int = 0

    def encode(self, length_byte: bool = False) -> bytes:
        """Its bytes. length_byte: say the length in a byte of its own even where Fmt could."""
        length = len(self.data)
        if not 1 <= length <= LONGEST_DATA:
            raise ValueError(f"a frame holds 1 to {LONGEST_DATA} bytes, not {length}")
        own_byte = length_byte or length > LENGTH_BITS
        header = [self.addressing | (0 if own_byte else length)]
        if self.addressing is not Addressing.NONE:
            header += [self.target, self.source]
        if own_byte:
            header.append(length)
        frame = bytes(header) + self.data
        return frame + bytes([checksum(frame)])


def checksum(frame: bytes) -> int:
    """The sum of all bytes of a frame before its last, modulo 256."""
    return sum(frame) & 0xFF


def frame_size(received: bytes) -> int | None:
    """How many bytes the frame has that `received` begins with; None: not yet to be said.

    Raises ValueError where no frame begins so.
    """
    if not received:
        return None
    _, length, header = _header(received[0])
    if length:
        return header + length + 1
    if len(received) <= header:
        return None
    if received[header] == 0:
        raise ValueError("a frame without data")
    return header + 1 + received[header] + 1


def decode(frame: bytes) -> KLineFrame:
    """One whole frame; raises ValueError where it is none."""
    if frame_size(frame) != len(frame):
        raise ValueError(f"the header says another length than {len(frame)} bytes")
    if checksum(frame[:-1]) != frame[-1]:
        raise ValueError(f"checksum {frame[-1]:02X}, should be {checksum(frame[:-1]):02X}")
    addressing, length, header = _header(frame[0])
    data = frame[header if length else header + 1 : -1]
    if addressing is Addressing.NONE:
        return KLineFrame(data)
    return KLineFrame(data, addressing, frame[1], frame[2])


def _header(fmt: int) -> tuple[Addressing, int, int]:
    """What the format byte says: addressing, length (0: a byte of its own), bytes before that."""
    addressing = Addressing(fmt & ~LENGTH_BITS)  # ValueError for the header of another protocol
    return addressing, fmt & LENGTH_BITS, 1 if addressing is Addressing.NONE else 3
