"""Our decoder beside cantools, signal by signal, on random payloads of a network description."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import cantools
import numpy as np
from cantools.database.can import Database, Message

from decode.can_signals import CanSignal, CanSignals
from decode.map_can import CanNumber
from decode.network_files import read_network
from decode.records import Flag, RecordBatch

# a 64-bit number is rounded once by us, while cantools scales whole numbers exactly
TOLERANCE = 1e-15
NO_CONVERSION = (1.0, 0.0)


@dataclass
class Counts:
    """messages, signals: compared. values: samples compared; exact: of them, equal in every bit.
    mismatches: in words. outside: signals that end behind their message's payload. not_taken:
    signals that the import leaves out, and says so."""

    messages: int = 0
    signals: int = 0
    values: int = 0
    exact: int = 0
    multiplexed: int = 0
    floats: int = 0
    fd: int = 0
    outside: int = 0
    not_taken: int = 0
    mismatches: list[str] = field(default_factory=list)

    def add(self, other: "Counts") -> None:
        for name, value in vars(other).items():
            setattr(self, name, getattr(self, name) + value)


def can_database(path: Path) -> Database:
    """A description as cantools reads it."""
    read = cantools.database.load_file(path, strict=False)
    assert isinstance(read, Database), f"{path} describes no CAN bus"
    return read


def numbers(message: Message, payload: bytes) -> dict[str, float]:
    """What cantools decodes of a payload, states as numbers."""
    decoded = message.decode_simple(payload, decode_choices=False, allow_truncated=True)
    return {name: value for name, value in decoded.items() if isinstance(value, int | float)}


def compare_network(path: Path, payloads: int, rng: np.random.Generator) -> Counts:
    """Every message and signal of one description that cantools reads."""
    database = can_database(path)
    network = read_network(path, "bus")
    names = iter(network.entries.items())  # in the order of the description
    skipped = {reason.partition(":")[0] for reason in network.skipped}
    counts = Counts(not_taken=len(skipped))
    for message in database.messages:
        taken = {
            (s.name, s.start, s.length, s.scale, s.offset): s  # once, though on several pages
            for s in message.signals
            if f"{message.name}.{s.name}" not in skipped
        }
        pairs = [(signal, *next(names)) for signal in taken.values()]
        counts.add(compare_message(message, pairs, payloads, rng))
    return counts


def compare_message(
    message: Any, taken: list[tuple[Any, str, Any]], payloads: int, rng: np.random.Generator
) -> Counts:
    """taken: of each signal that the map takes, itself, its channel and the channel's entry."""
    counts = Counts(messages=1)
    signals = [_signal(name, CanNumber.model_validate(e["can"])) for _, name, e in taken]
    rows = [_payload(message, i, rng) for i in range(payloads)]
    flags = int(Flag.EXTENDED) if message.is_extended_frame else 0
    batch = RecordBatch.of(
        "bus", list(range(payloads)), rows, [message.frame_id] * payloads, [flags] * payloads
    )
    ours = CanSignals(signals).decode(batch, np.arange(payloads, dtype=np.float64)).samples
    theirs = _decoded(message, rows)
    for (signal, name, _), taken_signal in zip(taken, signals, strict=True):
        if taken_signal.field.end_byte > message.length:
            counts.outside += 1
            continue
        counts.signals += 1
        counts.multiplexed += signal.multiplexer_ids is not None
        counts.floats += signal.is_float
        counts.fd += message.is_fd
        expected = {
            i: float(row[signal.name]) for i, row in enumerate(theirs) if signal.name in row
        }
        got = ours.get(name)
        _compare(counts, f"{message.name}.{signal.name}", expected, got)
    return counts


def _compare(counts: Counts, name: str, expected: dict[int, float], got: Any) -> None:
    times = [] if got is None else got.time_s.astype(int).tolist()
    if times != list(expected):
        counts.mismatches.append(f"{name}: samples of other frames")
        return
    values = np.array(list(expected.values()))
    values[np.isinf(values)] = np.nan  # here an infinite float is no value
    counts.values += len(values)
    if got is None:
        return
    counts.exact += int(((got.value == values) | (np.isnan(values) & np.isnan(got.value))).sum())
    if not np.allclose(got.value, values, rtol=TOLERANCE, atol=0.0, equal_nan=True):
        counts.mismatches.append(f"{name}: other values")


def _signal(name: str, can: CanNumber) -> CanSignal:
    return CanSignal(
        name,
        can.identifier,
        can.number(*NO_CONVERSION),
        can.extended,
        can.selectors(),
        can.identifier_mask,
    )


def _payload(message: Any, turn: int, rng: np.random.Generator) -> bytes:
    """Random bytes, in which every multiplexer has a value that the description knows."""
    length = max(0, message.length)  # a damaged description may say anything
    data = int.from_bytes(rng.bytes(length), "little")
    for multiplexer in (s for s in message.signals if s.is_multiplexer):
        ids = sorted(
            {
                value
                for signal in message.signals
                if signal.multiplexer_signal == multiplexer.name
                for value in signal.multiplexer_ids
            }
        )
        if ids:  # a multiplexer may have nothing behind it
            data = _with_bits(data, multiplexer, ids[turn % len(ids)])
    return data.to_bytes(length, "little")


def _with_bits(data: int, signal: Any, value: int) -> int:
    for significance, bit in enumerate(_bits(signal)):
        data = data & ~(1 << bit) | ((value >> significance & 1) << bit)
    return data


def _bits(signal: Any) -> Iterator[int]:
    """The bits of a signal from the least significant on, walked one by one."""
    if signal.byte_order == "little_endian":
        yield from range(signal.start, signal.start + signal.length)
        return
    bits = [signal.start]
    while len(bits) < signal.length:
        bit = bits[-1]
        bits.append(bit - 1 if bit % 8 else bit + 15)
    yield from reversed(bits)


def _decoded(message: Any, rows: list[bytes]) -> list[dict[str, Any]]:
    """What cantools says; signal by signal where it cannot read signals that overlap."""
    try:
        return [message.decode(row, decode_choices=False) for row in rows]
    except cantools.database.errors.Error:
        inside = [s for s in message.signals if max(_bits(s)) < 8 * message.length]
        alone = [(signal.name, _alone(message, signal)) for signal in inside]
        return [dict(_values(alone, row)) for row in rows]


def _alone(message: Any, signal: Any) -> Any:
    """A message of one signal and the multiplexers it depends on."""
    chain = [signal]
    while chain[-1].multiplexer_signal is not None:
        chain.append(message.get_signal_by_name(chain[-1].multiplexer_signal))
    return cantools.database.can.Message(1, "m", message.length, chain, strict=False)


def _values(alone: list[tuple[str, Any]], row: bytes) -> Iterator[tuple[str, Any]]:
    for name, message in alone:
        try:
            decoded = message.decode(row, decode_choices=False)
        except cantools.database.errors.DecodeError:
            continue  # the multiplexer has another signal's value
        if name in decoded:
            yield name, decoded[name]
