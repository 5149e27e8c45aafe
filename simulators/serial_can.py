"""A CAN adapter that sends the plain binary frames of python-can's interface `serial`.

    AA  stamp in ms  data length  identifier  data    BB
    1   uint32       1            uint32      0 to 8  1     bytes, little endian

The identifier's highest bit says that it has 29 bits.
"""

import struct
from typing import Final

from simulators.frames import FrameTable

START: Final = 0xAA
END: Final = 0xBB
EXTENDED: Final = 0x8000_0000
MS: Final = 1e3


def serial_can_frames(frames: FrameTable) -> list[bytes]:
    """Each frame as the adapter sends it."""
    return [
        struct.pack("<BIBI", START, round(MS * at_s), length, identifier | EXTENDED * extended)
        + data[:length].tobytes()
        + bytes([END])
        for at_s, identifier, extended, length, data in zip(
            frames.time_s.tolist(),
            frames.identifier.tolist(),
            frames.extended.tolist(),
            frames.length.tolist(),
            frames.data,
            strict=True,
        )
    ]
