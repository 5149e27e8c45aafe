"""Binary frames of a dyno controller: sync, length, count, numbers, CRC.

    AA 55  length  count  roller speed  roller torque  CRC-16/MODBUS
    2      1       1      uint16        int16          2              bytes, big endian

length: of what the checksum covers after it. count: 0 to 255 and again. Speed in 0.01 km/h, torque
in 0.5 Nm; the checksum is over length, count and numbers, its low byte first.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np

from decode.samples import FloatArray
from simulators.channels import ChannelSpec
from simulators.sensors import Trace, read

SYNC: Final = b"\xaa\x55"
SPEED_STEP_KMH: Final = 0.01
TORQUE_STEP_NM: Final = 0.5
_CONTENT: Final = np.dtype([("length", "u1"), ("count", "u1"), ("speed", ">u2"), ("torque", ">i2")])
MODBUS_POLYNOMIAL: Final = 0xA001  # x^16 + x^15 + x^2 + 1, lowest bit first
MODBUS_START: Final = 0xFFFF


def dyno_frames(
    trace: Trace, specs: Mapping[str, ChannelSpec], time_s: FloatArray, random: np.random.Generator
) -> list[bytes]:
    """One frame for each time."""
    content = np.zeros(len(time_s), _CONTENT)
    content["length"] = _CONTENT.itemsize - 1
    content["count"] = np.arange(len(time_s)) % 256
    for field, channel, step in (
        ("speed", "roller_speed", SPEED_STEP_KMH),
        ("torque", "roller_torque", TORQUE_STEP_NM),
    ):
        limits = np.iinfo(_CONTENT[field])
        raw = np.rint(read(trace, specs[channel], time_s, random) / step)
        content[field] = np.clip(raw, limits.min, limits.max)
    return [SYNC + row.tobytes() + crc(row.tobytes()).to_bytes(2, "little") for row in content]


def crc(data: bytes) -> int:
    """CRC-16/MODBUS, bit by bit: a twin of the one the reader uses."""
    value = MODBUS_START
    for byte in data:
        value ^= byte
        for _ in range(8):
            value = value >> 1 ^ MODBUS_POLYNOMIAL * (value & 1)
    return value
