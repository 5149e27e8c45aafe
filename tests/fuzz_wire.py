"""Fuzz targets for what comes over a wire: lines, frames, responses."""

import struct
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import isotp
import numpy as np
from fuzz_common import (
    Chance,
    RefusedError,
    assert_values,
    decoder,
    mutated,
    person,
    times,
    told,
)

from capture.sources.base.checksums import SIMPLE, checksum
from capture.sources.gate.slcan_frames import parse_frames
from capture.sources.polled.isotp_link import ISOTP_PARAMETERS
from capture.sources.polled.k_line import KLineReader
from capture.sources.serial.framing import Escape, FrameFormat, Framer
from capture.sources.serial.line_splitter import LineSplitter
from decode.records import Flag, RecordBatch

# text lines

LINE_WORDS: Final = (b";", b"D", b"--", b"nan", b"inf", b"1e999", b"-", b".", b"\xff", b"1_0", b" ")


def lines(chance: Chance, _: Path) -> bool:
    whole = f"D;{chance.uniform(-10, 300):.2f};x;{chance.randrange(-99, 9999)}".encode()
    sent = [mutated(chance, whole, LINE_WORDS) for _ in range(chance.randrange(1, 4))]
    splitter = LineSplitter(64, whole_first=True)
    found = [line for part in sent for line in splitter.feed(part + b"\r\n")]
    samples = decoder("dyno").decode(RecordBatch.of("dyno", times(found), found))
    expected = [pair for line in found if (pair := line_values(line)) is not None]
    assert_values(samples, "roller", [roller for roller, _ in expected])
    assert_values(samples, "force", [force for _, force in expected])
    return told(bool(expected))


def line_values(line: bytes) -> tuple[float, float] | None:
    """What a person would take from a line: both numbers, or nothing (a NUL may be a lost sign)."""
    text = line.decode("utf-8", "replace").strip("\r\n")
    cells = [cell.strip() for cell in text.split(";")]
    if not text.startswith("D") or len(cells) != 4:
        return None
    roller, force = person(cells[1]), np.nan if cells[3] == "--" else person(cells[3])
    return None if roller is None or force is None else (roller, 2.0 * force)


# CAN frames


def can_frames(chance: Chance, _: Path) -> bool:
    count = chance.randrange(1, 6)
    address = [chance.choice((0x100, 0x100, 0x101, 0x102, 0x103, 0x1FFFFFFF)) for _ in range(count)]
    flags = [chance.choice((0, 0, 0, 0, 1, 1, 1, 2, 4, 8, 16, 32, 63)) for _ in range(count)]
    payloads = [chance.randbytes(chance.choice((8, 8, 8, *range(9), 64))) for _ in range(count)]
    batch = RecordBatch.of("bus", times(payloads), payloads, address=address, flags=flags)
    samples = decoder("bus").decode(batch)
    expected: dict[str, list[float]] = {}
    for frame in zip(address, flags, payloads, strict=True):
        for name, value in can_values(*frame):
            expected.setdefault(name, []).append(value)
    for name in ("engine_speed", "torque", "ratio", "page"):
        assert_values(samples, name, expected.get(name, []))
    return told(bool(expected))


def can_values(address: int, flags: int, payload: bytes) -> Iterator[tuple[str, float]]:
    if flags & (Flag.REMOTE | Flag.ERROR | Flag.SENT | Flag.GAP):
        return
    extended = bool(flags & Flag.EXTENDED)
    if address == 0x100 and not extended:
        if len(payload) >= 2:
            yield "engine_speed", (int.from_bytes(payload[:2], "little") >> 4) * 0.5
        if len(payload) >= 4:
            torque = int.from_bytes(payload[2:4], "big", signed=True)
            yield "torque", np.nan if torque == -0x8000 else float(torque)
    if address == 0x101 and extended and len(payload) >= 8:
        yield "ratio", struct.unpack("<f", payload[4:8])[0]
    if address == 0x102 and not extended and len(payload) >= 2 and payload[0] & 0xF == 3:
        yield "page", float(payload[1]) if payload[1] <= 250 else np.nan


def slcan(chance: Chance, _: Path) -> bool:
    letter = chance.choice(b"tTrRdDbB")
    digits = 8 if chr(letter).isupper() else 3
    length = chance.randrange(9)
    data = b"" if letter in b"rR" else chance.randbytes(length)
    identifier = chance.randrange(1 << 29 if digits == 8 else 1 << 11)
    line = f"{letter:c}{identifier:0{digits}X}{length:X}".encode() + data.hex().encode()
    broken = mutated(chance, line, (b"t", b"T", b" ", b"G", b"1234"))
    frames = parse_frames([broken])
    for address, payload in zip(frames.address, frames.payloads, strict=True):
        head = 9 if broken[:1] in (b"T", b"R", b"D", b"B") else 4
        assert int(broken[1:head], 16) == address
        assert broken[head + 1 :][: 2 * len(payload)].lower() == payload.hex().encode()
        assert len(broken) in {head + 1 + 2 * len(payload) + stamp for stamp in (0, 4)}
    return told(bool(frames.address))


# binary frames, K-line, ISO-TP

CRC: Final = checksum("CRC-16/MODBUS")
FORMATS: Final = (
    FrameFormat(b"\xaa\x55", 8, checksum=CRC),
    FrameFormat(b"\x7e", None, end=b"\x7e", checksum=CRC, escape=Escape(0x7D, xor=0x20)),
    FrameFormat(b"\x3a", 5, checksum=SIMPLE["SUM-8"]),
)


def frames(chance: Chance, _: Path) -> bool:
    form = chance.choice(FORMATS)
    plain = [framed(form, chance.randbytes(chance.randrange(2, 12))) for _ in range(4)]
    stream = mutated(chance, b"".join(on_the_wire(form, frame) for frame in plain))
    framer, found = Framer(form), []
    while stream:
        size = chance.randrange(1, 20)
        found += [frame for _, frame in framer.feed(stream[:size], 1)]
        stream = stream[size:]
    for frame in found:
        size = form.checksum.size if form.checksum else 0
        carried = int.from_bytes(frame[-size:], "little")
        assert frame.startswith(form.sync)
        assert carried == (modbus(frame[:-2]) if size == 2 else sum(frame[:-1]) & 0xFF)
    return told(bool(found))


def framed(form: FrameFormat, content: bytes) -> bytes:
    size = form.checksum.size if form.checksum else 0
    if isinstance(form.length, int):
        content = content.ljust(64, b"\x00")[: form.length - len(form.sync) - size]
    body = form.sync + content
    value = modbus(body) if size == 2 else sum(body) & 0xFF
    return body + value.to_bytes(size, "little")


def on_the_wire(form: FrameFormat, frame: bytes) -> bytes:
    content = frame[len(form.sync) :]
    if form.escape is not None:
        for byte in (0x7D, 0x7E):
            content = content.replace(bytes([byte]), bytes([0x7D, byte ^ 0x20]))
    return form.sync + content + form.end


def modbus(data: bytes) -> int:
    """CRC-16/MODBUS bit by bit, from its parameters in the catalogue."""
    register = 0xFFFF
    for byte in data:
        register ^= byte
        for _ in range(8):
            register = register >> 1 ^ (0xA001 if register & 1 else 0)
    return register


def k_line(chance: Chance, _: Path) -> bool:
    data = b"\x41\x0c" + chance.randbytes(2)
    header = chance.choice((bytes([0x84, 0xF1, 0x11]), b"\x80\xf1\x11\x04", b"\x04", b"\x00\x04"))
    frame = header + data
    stream = mutated(chance, frame + bytes([sum(frame) & 0xFF]))
    reader, read = KLineReader(), None
    now_s, fed = 0.0, b""
    while stream and read is None:
        size = chance.randrange(1, 12)
        now_s += 0.001
        piece, stream = stream[:size], stream[size:]
        fed += piece
        read = reader.feed(piece, now_s)
    if read is None:
        reader.feed(b"", now_s + 10.0)
        assert not reader.receiving  # damage does not block what comes after a silence
        raise RefusedError
    size = len(read.data)
    ends = [end for end in range(len(fed)) if fed[:end].endswith(read.data)]
    heads = [(end - size - header, end) for end in ends for header in (1, 2, 3, 4)]
    assert any(sum(fed[start:end]) & 0xFF == fed[end] for start, end in heads if start >= 0)
    return True


def iso_tp(chance: Chance, _: Path) -> bool:
    """Frames lost, doubled, swapped or with damaged control bytes: never other data."""
    sent = bytes([0x41]) + chance.randbytes(chance.choice((3, 6, 7, 20, 60, 200)))
    segments = damaged_segments(chance, segmented(sent))
    inbox = [isotp.CanMessage(arbitration_id=0x7E8, data=s) for s in segments]
    address = isotp.Address(isotp.AddressingMode.Normal_11bits, txid=0x7E0, rxid=0x7E8)
    stack = isotp.TransportLayerLogic(
        lambda _timeout: inbox.pop(0) if inbox else None,
        lambda message: None,
        address,
        params=ISOTP_PARAMETERS,
    )
    received = []
    while inbox:
        stack.process()
        while stack.available():
            received.append(bytes(stack.recv() or b""))
    for payload in received:
        assert any(payload == b"".join(p)[: len(payload)] for p in runs(segments)), payload.hex()
        diagnostic(payload)
    return told(bool(received))


def segmented(payload: bytes) -> list[bytes]:
    if len(payload) <= 7:
        return [bytes([len(payload)]) + payload.ljust(7, b"\xcc")]
    first = bytes([0x10 | len(payload) >> 8, len(payload) & 0xFF]) + payload[:6]
    rest = [payload[i : i + 7].ljust(7, b"\xcc") for i in range(6, len(payload), 7)]
    return [first, *(bytes([0x20 | (n + 1) & 0xF]) + part for n, part in enumerate(rest))]


def damaged_segments(chance: Chance, segments: list[bytes]) -> list[bytes]:
    for _ in range(chance.choice((0, 1, 2))):
        if not segments:
            break
        at = chance.randrange(len(segments))
        match chance.randrange(4):
            case 0:
                del segments[at]
            case 1:
                segments.insert(at, segments[at])
            case 2:
                segments[at] = chance.randbytes(1) + segments[at][1:]
            case 3:
                segments[at] = segments[at][: chance.randrange(8)]
    return segments


def runs(segments: list[bytes]) -> Iterator[list[bytes]]:
    """Everything a receiver may rightly put together: a first frame and those that count on."""
    for start, frame in enumerate(segments):
        if frame and frame[0] >> 4 == 0:
            yield [frame[1:]]
        if len(frame) >= 2 and frame[0] >> 4 == 1:
            joined, number = [frame[2:]], 1
            for following in segments[start + 1 :]:
                if following and following[0] == 0x20 | number & 0xF:
                    joined.append(following[1:])
                    number += 1
            yield joined


def diagnostics(chance: Chance, _: Path) -> bool:
    whole = chance.choice((b"\x41\x0c\x1a\xf8\x04\x80", b"\x62\xf4\x0d\x12\x34", b"\x7f\x01\x12"))
    return told(diagnostic(mutated(chance, whole, (b"\x41", b"\x0c", b"\x62\xf4\x0d", b"\x00"))))


def diagnostic(response: bytes) -> bool:
    batch = RecordBatch.of("ecu", [0], [response], address=[0x7E8])
    samples = decoder("ecu").decode(batch)
    if "speed" in samples:
        found = {int.from_bytes(response[i + 1 : i + 3], "big") * 0.25 for i in _at(response, 0x0C)}
        assert set(samples["speed"].value) <= found
        assert response[0] == 0x41
    if "word" in samples:
        assert response[0] == 0x62
        assert samples["word"].value[0] == int.from_bytes(response[3:5], "big")
    return bool(samples)


def _at(response: bytes, byte: int) -> list[int]:
    return [i for i in range(1, len(response) - 2) if response[i] == byte]
