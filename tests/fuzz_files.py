"""Fuzz targets for what users hand over: tables, maps, descriptions, recordings, formulas."""

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

import cantools
import numpy as np
from cantools_comparison import compare_network
from fuzz_common import (
    MAP,
    SESSION,
    Chance,
    mutated,
    person,
    times,
    told,
)

from capture.recording.format import BlockWriter
from capture.recording.pieces import pieces
from capture.recording.reader import read_recording
from capture.sources.tables.table import read_table
from decode.channel_map import parse_map
from decode.decoder import Decoder
from decode.formulas import Formula
from decode.naming import propose
from decode.network_files import map_text, read_network
from decode.quantities import HOUSE_UNIT
from decode.records import RecordBatch

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


PAYLOADS: Final = 6  # of each message of a description

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


NETWORK_WORDS: Final = {
    "dbc": (b"SG_", b"|", b"@1-", b"m0", b'"', b"-1"),
    "kcd": (b"<Signal ", b"/>", b'"', b"-1", b"</Message>", b'offset="60"', b"&amp;"),
    "sym": (b"Sig=", b"-m", b"Mux=", b'"', b"/f:", b"-1", b"h"),
    "arxml": (b"<V>", b"</V>", b"-1", b"<LENGTH>64</LENGTH>", b"/Signals/", b"&amp;"),
}
ARXML: Final = Path(__file__).parent / "capture" / "descriptions" / "engine.arxml"


def networks(chance: Chance, folder: Path) -> bool:
    """Where cantools reads the damaged description too, what it decodes judges us."""
    form = chance.choice(list(NETWORK_WORDS))
    file = folder / f"network.{form}"
    file.write_bytes(mutated(chance, network(form), NETWORK_WORDS[form]))
    parse_map(map_text(read_network(file, "bus"), file.name))
    counts = compare_network(file, PAYLOADS, np.random.default_rng(chance.randrange(1 << 32)))
    assert not counts.mismatches, counts.mismatches
    return True


@cache
def network(form: str) -> bytes:
    """The same description in each form that cantools writes; an ARXML of our own."""
    if form == "arxml":
        return ARXML.read_bytes()
    if form == "dbc":
        return NETWORK.encode()
    database = cantools.database.load_string(NETWORK, "dbc")
    return str(getattr(database, f"as_{form}_string")()).encode()


def recordings(chance: Chance, folder: Path) -> bool:
    file = folder / "session.arrows.zst"
    file.write_bytes(mutated(chance, recorded()))
    recording = read_recording(file)
    fresh = Decoder(parse_map(MAP), SESSION)
    for batch in recording.batches():
        assert batch.source in {source.name for source in recording.session.sources}
        assert len(batch.data) == batch.offsets[-1]
        assert batch.data.tobytes() in {one.data.tobytes() for one in put()}  # a block's checksum
        fresh.decode(batch)
    whole = sum(piece.records for piece in pieces(recording))
    return told(whole > 0)


@cache
def recorded() -> bytes:
    with TemporaryDirectory() as folder:
        file = Path(folder) / "session.arrows.zst"
        writer = BlockWriter(file.open("wb"), SESSION)
        for _ in range(3):
            writer.write(put())
        writer.close()
        return file.read_bytes()


def put() -> list[RecordBatch]:
    """A block of a recording."""
    payloads = [bytes([i] * 8) for i in range(20)]
    bus = RecordBatch.of("bus", times(payloads), payloads, address=[0x100] * 20)
    return [bus, RecordBatch.of("dyno", [5, 6], [b"D;1.0;x;2", b"D;1.5;x;2"])]


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
