"""What a fuzz run throws at every parser, and an independent word on what may come out.

A target makes one input from a source of chance and feeds it. It returns True where something was
read, raises RefusedError or a PullwatchError where nothing could be, and fails its own assertion
where a value came out that should not have. Whatever else is raised is a crash. The judges here
share no code with what they judge.
"""

import random
import struct
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

import isotp
import numpy as np

from capture.recording_pieces import pieces
from capture.sources.checksums import SIMPLE, checksum
from capture.sources.framing import Escape, FrameFormat, Framer
from capture.sources.isotp_link import ISOTP_PARAMETERS
from capture.sources.k_line import KLineReader
from capture.sources.line_splitter import LineSplitter
from capture.sources.recording import read_recording
from capture.sources.slcan_frames import parse_frames
from capture.sources.table import read_table
from decode.channel_map import parse_map
from decode.decoder import Decoder
from decode.formulas import Formula
from decode.naming import propose
from decode.network_files import map_text, read_network
from decode.quantities import HOUSE_UNIT
from decode.records import Flag, RecordBatch, SessionInfo, SourceInfo, SourceKind

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
NETWORK: Final = """\
VERSION ""
NS_ :
BS_:
BU_: A
BO_ 256 Engine: 8 A
 SG_ Speed : 0|16@1+ (0.25,0) [0|16383.75] "rpm" A
 SG_ Torque : 23|12@0- (0.5,-100) [-1124|923.5] "Nm" A
BO_ 2566844672 Page: 8 A
 SG_ Which M : 0|8@1+ (1,0) [0|255] "" A
 SG_ Ratio m0 : 8|32@1- (1,0) [0|0] "" A
CM_ SG_ 256 Speed "of the crankshaft";
VAL_ 2566844672 Which 0 "first" 1 "second" ;
SIG_VALTYPE_ 2566844672 Ratio : 1;
"""

Chance = random.Random


class RefusedError(Exception):
    """The input was told to be wrong."""


@dataclass(frozen=True)
class Target:
    """share: of the inputs of a run; what is slow gets fewer. feed: see the module."""

    name: str
    share: int
    feed: Callable[[Chance, Path], bool]


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
    """What a person would take from a line: both numbers, or nothing."""
    text = line.decode("utf-8", "replace").strip("\r\n\x00")
    cells = [cell.strip() for cell in text.split(";")]
    if not text.startswith("D") or len(cells) != 4:
        return None
    roller, force = person(cells[1]), np.nan if cells[3] == "--" else person(cells[3])
    return None if roller is None or force is None else (roller, 2.0 * force)


def person(cell: str) -> float | None:
    """A number as a person writes it, or None."""
    if not cell or set(cell) - set("0123456789.+-eE"):
        return None
    try:
        number = float(cell)
    except ValueError:
        return None
    return number if np.isfinite(number) else None


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
        lambda timeout=0.0: inbox.pop(0) if inbox else None,
        lambda message: None,
        address,
        params=ISOTP_PARAMETERS,
    )
    received = []
    while inbox:
        stack.process()
        while stack.available():
            received.append(bytes(stack.recv()))
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


# files of the user

CSV_WORDS: Final = ("", "n/a", "NaN", "1e400", "--", "#", '"', "true", "1.2.3", "0x10", "12:00")


def csv_cells(chance: Chance, folder: Path) -> bool:
    """A sound layout with some cells that are no numbers: every number is where it was."""
    delimiter, decimal = chance.choice(
        ((";", ","), (";", "."), (",", "."), ("\t", ","), ("|", "."))
    )
    head = ["Time [s]", "Drehzahl [1/min]", "Öldruck [bar]"]
    cells = [
        [f"{0.05 * i:.2f}", f"{900 + i}.{i % 10}", f"{chance.uniform(0, 6):.3f}"] for i in range(30)
    ]
    for _ in range(chance.randrange(4)):
        cells[chance.randrange(30)][chance.randrange(1, 3)] = chance.choice(CSV_WORDS)
    rows = [head, *([c.replace(".", decimal) for c in row] for row in cells)]
    text = chance.choice(("\n", "\r\n")).join(delimiter.join(row) for row in rows)
    file = folder / "cells.csv"
    file.write_bytes(text.encode(chance.choice(("utf-8", "utf-8-sig", "utf-16", "cp1252"))))
    recording = read_table(file)
    numbers = [{person(row[column]) for row in cells} for column in range(3)]
    for batch in recording.batches():
        for column, value in zip(batch.address, batch.data.view("<f8"), strict=True):
            assert any(n is not None and abs(n - value) < 1e-9 for n in numbers[column])
    return True


def csv_bytes(chance: Chance, folder: Path) -> bool:
    rows = "\n".join(f"{0.1 * i:.1f};{i};{-i}" for i in range(12))
    text = f"a preamble\nTime;speed [rpm];b\ns;rpm;-\n{rows}".encode()
    file = folder / "bytes.csv"
    file.write_bytes(mutated(chance, text, (b";", b"\n", b'"', b"\x00", b"\xff\xfe", b"Time")))
    recording = read_table(file)
    for batch in recording.batches():
        assert np.isfinite(batch.data.view("<f8")).all()
        assert (np.diff(batch.arrived_ns) >= 0).all()
    return True


MAP_WORDS: Final = (b"{", b"}", b": ", b"[", b"&a ", b"*a", b"channels:", b"1e9", b"-1", b"!!int ")


def maps(chance: Chance, _: Path) -> bool:
    text = mutated(chance, MAP.encode(), MAP_WORDS).decode("utf-8", "replace")
    loaded = parse_map(text)
    for channel in loaded.channels.values():
        assert channel.quantity is None or channel.unit == HOUSE_UNIT[channel.quantity]
    fresh = Decoder(loaded, SESSION)
    payloads = [chance.randbytes(8) for _ in range(4)]
    batch = RecordBatch.of("bus", times(payloads), payloads, address=[0x100, 0x101, 0x102, 0])
    fresh.decode(batch)
    return True


def networks(chance: Chance, folder: Path) -> bool:
    file = folder / "network.dbc"
    file.write_bytes(mutated(chance, NETWORK.encode(), (b"SG_", b"|", b"@1-", b"m0", b'"', b"-1")))
    parse_map(map_text(read_network(file, "bus"), file.name))
    return True


def recordings(chance: Chance, folder: Path) -> bool:
    file = folder / "session.arrows"
    file.write_bytes(mutated(chance, recorded()))
    recording = read_recording(file)
    fresh = Decoder(parse_map(MAP), SESSION)
    for batch in recording.batches():
        assert batch.source in {source.name for source in recording.session.sources}
        assert len(batch.data) == batch.offsets[-1]
        fresh.decode(batch)
    whole = sum(piece.records for piece in pieces(recording))
    return told(whole > 0)


@cache
def recorded() -> bytes:
    import pyarrow as pa

    from capture.recording_format import schema_of, to_arrow

    sink = pa.BufferOutputStream()
    payloads = [bytes([i] * 8) for i in range(20)]
    bus = RecordBatch.of("bus", times(payloads), payloads, address=[0x100] * 20)
    dyno = RecordBatch.of("dyno", [5, 6], [b"D;1.0;x;2", b"D;1.5;x;2"])
    options = pa.ipc.IpcWriteOptions(compression="zstd")
    with pa.ipc.new_stream(sink, schema_of(SESSION), options=options) as writer:
        for _ in range(3):
            writer.write_batch(to_arrow([bus, dyno], {"bus": 0, "dyno": 1}))
    return bytes(sink.getvalue())


FORMULA_WORDS: Final = (
    *(b"a", b"b", b"+", b"-", b"*", b"/", b"**", b"(", b")", b"<", b"==", b" if ", b" else "),
    *(b"sqrt(", b"where(", b"9e9", b"0", b"1", b".", b"[", b"__class__", b"lambda", b" and ", b","),
)


def formulas(chance: Chance, _: Path) -> bool:
    """Half from nothing, half sound ones damaged."""
    count = chance.randrange(1, 14)
    text = b"".join(chance.choice(FORMULA_WORDS) for _ in range(count))
    if chance.random() < 0.5:
        text = mutated(chance, b"where(a > 0, sqrt(a) / (b - 1), min(a, 2 * b))", FORMULA_WORDS)
    formula = Formula.parse(text.decode("utf-8", "replace"))
    values = {name: np.array([0.0, -1.5, np.nan, 1e300]) for name in formula.names}
    assert not np.isinf(formula(values)).any()
    return True


def names(chance: Chance, _: Path) -> bool:
    text = mutated(chance, "Zündwinkelrücknahme Zyl. 3 [°KW]".encode(), (b"_", b"[", b"rpm", b"12"))
    found = propose(text.decode("utf-8", "replace"), chance.choice(("", "deg", "rpm", "\x00")))
    assert all(0.0 <= p.confidence <= 1.0 for p in found)
    return told(bool(found))


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


TARGETS: Final = (
    Target("text lines", 60, lines),
    Target("CAN frames", 40, can_frames),
    Target("slcan lines", 40, slcan),
    Target("binary frames", 20, frames),
    Target("K-line frames", 20, k_line),
    Target("ISO-TP", 10, iso_tp),
    Target("diagnostic responses", 20, diagnostics),
    Target("formulas", 12, formulas),
    Target("channel names", 12, names),
    Target("CSV, cells", 2, csv_cells),
    Target("CSV, bytes", 2, csv_bytes),
    Target("channel maps", 3, maps),
    Target("network files", 2, networks),
    Target("recordings", 3, recordings),
)
