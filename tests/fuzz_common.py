"""What all fuzz targets share: one map and its decoder, damage, and how an outcome is told."""

import random
from functools import cache
from typing import Any, Final

import numpy as np

from decode.channel_map import parse_map
from decode.decoder import Decoder
from decode.records import SessionInfo, SourceInfo, SourceKind

MAP: Final = """\
pullwatch_map: 1
lines: {dyno: {delimiter: ";", starts_with: "D", fields: 4, decimal: "."}}
channels:
  engine_speed: {quantity: engine_speed, source: bus, unit: rpm,
    can: {identifier: 0x100, start_bit: 4, bits: 12, scale: 0.5}}
  torque: {source: bus, unit: Nm, can: {identifier: 0x100, start_bit: 23, bits: 16,
    byte_order: big_endian, signed: true, not_available: [0x8000]}}
  ratio: {source: bus, can: {identifier: 0x101, extended: true, start_bit: 32, bits: 32,
    kind: float}}
  page: {source: bus, can: {identifier: 0x102, start_bit: 8, bits: 8, highest_raw: 250,
    multiplexer: {start_bit: 0, bits: 4, equals: 3}}}
  roller: {quantity: roller_speed, source: dyno, unit: km/h, line: {field: 1}}
  force: {source: dyno, unit: N, line: {field: 3, scale: 2.0, not_available: ["--"]}}
  speed: {quantity: engine_speed, source: ecu, unit: rpm, diagnostic: {service: 1, parameter: 12}}
  load: {source: ecu, unit: "%", diagnostic: {service: 1, parameter: 4}}
  word: {source: ecu, diagnostic: {service: 0x22, identifier: 0xF40D, start_bit: 7, bits: 16,
    byte_order: big_endian, length: 2}}
  slip: {formula: "roller / (engine_speed + 1)"}
"""
SOURCES: Final = (
    SourceInfo("bus", SourceKind.CAN),
    SourceInfo("dyno", SourceKind.LINES),
    SourceInfo("ecu", SourceKind.DIAGNOSTICS),
)
SESSION: Final = SessionInfo("s", "b", 0, 0, SOURCES, MAP)
Chance = random.Random


class RefusedError(Exception):
    """The input was told to be wrong."""


def mutated(chance: Chance, data: bytes, words: tuple[bytes, ...] = ()) -> bytes:
    """Some bytes changed, lost, doubled, moved or put in."""
    for _ in range(chance.choice((0, 1, 1, 2, 3, 8))):
        at, end = sorted(chance.randrange(len(data) + 1) for _ in range(2))
        match chance.randrange(6):
            case 0:
                data = data[:at] + chance.randbytes(1) + data[at + 1 :]
            case 1:
                data = data[:at] + data[min(end, at + 8) :]
            case 2:
                data = data[:end] + data[at:end][:40] + data[end:]
            case 3:
                data = data[:at] + chance.randbytes(chance.randrange(5)) + data[at:]
            case 4 if words:
                data = data[:at] + chance.choice(words) + data[at:]
            case _:
                data = data[:end]
    return data


def times(records: list[Any]) -> list[int]:
    return [1_000_000 * number for number in range(len(records))]


@cache
def decoder(source: str) -> Decoder:
    return Decoder(parse_map(MAP), SESSION)


def told(read: bool) -> bool:
    if not read:
        raise RefusedError
    return True


def assert_values(samples: Any, name: str, expected: list[float]) -> None:
    found = samples[name].value if name in samples else np.empty(0)
    assert np.array_equal(found, np.array(expected), equal_nan=True), (name, found, expected)


def person(cell: str) -> float | None:
    """A number as a person writes it, or None."""
    if not cell or set(cell) - set("0123456789.+-eE"):
        return None
    try:
        number = float(cell)
    except ValueError:
        return None
    return number if np.isfinite(number) else None
