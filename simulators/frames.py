"""Engine channels as CAN frames: several identifiers, both byte orders, one multiplexed message.

Encoded a whole stretch at once; the map that decodes them is written from the same table.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from decode.samples import FloatArray
from simulators.channels import ChannelSpec
from simulators.sensors import Trace, read

PAYLOAD: Final = 8  # bytes of a classic CAN frame


@dataclass(frozen=True, slots=True)
class Signal:
    """start_bit: the least significant bit (little endian) or the most significant one in sawtooth
    numbering (big endian), as in CAN network descriptions. value = scale x raw + offset."""

    channel: str
    start_bit: int
    bits: int = 16
    scale: float = 1.0
    offset: float = 0.0
    signed: bool = False
    big_endian: bool = False


@dataclass(frozen=True, slots=True)
class Frame:
    """page: value of the multiplexer in byte 0, None where the message has none. phase_s: when,
    in its period, the sender sends it."""

    identifier: int
    period_s: float
    phase_s: float
    length: int
    signals: tuple[Signal, ...]
    extended: bool = False
    page: int | None = None


@dataclass(frozen=True)
class FrameTable:
    """Frames in order of time. time_s float64[n], identifier uint32[n], extended bool[n],
    length uint8[n], data uint8[n, 8]."""

    time_s: FloatArray
    identifier: NDArray[np.uint32]
    extended: NDArray[np.bool_]
    length: NDArray[np.uint8]
    data: NDArray[np.uint8]

    def __len__(self) -> int:
        return len(self.time_s)


def encode(
    trace: Trace,
    specs: Mapping[str, ChannelSpec],
    frames: Iterable[Frame],
    start_s: float,
    end_s: float,
    random: np.random.Generator,
) -> FrameTable:
    """Every frame sent in start_s <= time < end_s, with the values its sensors give then."""
    tables = []
    for frame in frames:
        first = int(np.ceil((start_s - frame.phase_s) / frame.period_s - 1e-9))
        last = int(np.ceil((end_s - frame.phase_s) / frame.period_s - 1e-9))
        time_s: FloatArray = frame.phase_s + frame.period_s * np.arange(
            first, last, dtype=np.float64
        )
        values = {s.channel: read(trace, specs[s.channel], time_s, random) for s in frame.signals}
        tables.append(_table(frame, time_s, payloads(frame, values, len(time_s))))
    return merged(tables)


def payloads(frame: Frame, values: Mapping[str, FloatArray], count: int) -> NDArray[np.uint8]:
    """uint8[count, 8]: raw values rounded, held inside their field, put in their bits."""
    little = np.zeros(count, dtype=np.uint64)
    big = np.zeros(count, dtype=np.uint64)
    for signal in frame.signals:
        raw = _raw(signal, values[signal.channel])
        if signal.big_endian:
            top = signal.start_bit // 8 * 8 + 7 - signal.start_bit % 8
            big |= raw << np.uint64(64 - top - signal.bits)
        else:
            little |= raw << np.uint64(signal.start_bit)
    if frame.page is not None:
        little |= np.uint64(frame.page)
    data = little.astype("<u8").view(np.uint8) | big.astype(">u8").view(np.uint8)
    return data.reshape(count, PAYLOAD)


def _raw(signal: Signal, value: FloatArray) -> NDArray[np.uint64]:
    low, high = 0, (1 << signal.bits) - 1
    if signal.signed:
        low, high = -(1 << (signal.bits - 1)), (1 << (signal.bits - 1)) - 1
    counts = np.clip(np.round((value - signal.offset) / signal.scale), low, high).astype(np.int64)
    mask = np.int64((1 << signal.bits) - 1)
    return (counts & mask).astype(np.uint64)


def _table(frame: Frame, time_s: FloatArray, data: NDArray[np.uint8]) -> FrameTable:
    count = len(time_s)
    return FrameTable(
        time_s,
        np.full(count, frame.identifier, np.uint32),
        np.full(count, frame.extended),
        np.full(count, frame.length, np.uint8),
        data,
    )


def merged(tables: Sequence[FrameTable]) -> FrameTable:
    """One table in order of time; of frames at the same time the lower identifier wins the bus."""
    time_s = np.concatenate([table.time_s for table in tables])
    identifier = np.concatenate([table.identifier for table in tables])
    order = np.lexsort((identifier, time_s))
    return FrameTable(
        time_s[order],
        identifier[order],
        np.concatenate([table.extended for table in tables])[order],
        np.concatenate([table.length for table in tables])[order],
        np.concatenate([table.data for table in tables])[order],
    )
