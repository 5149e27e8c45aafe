"""`pullwatch map import` of KCD, ARXML and SYM gives a map that decodes as cantools does."""

from pathlib import Path

import cantools
import numpy as np
import pytest
from cantools.database.can import Database
from cantools_comparison import can_database, numbers
from typer.testing import CliRunner

from capture.cli import app
from decode.channel_map import ChannelMap, load_map
from decode.decoder import Decoder
from decode.quantities import Quantity
from decode.records import Flag, RecordBatch, SessionInfo, SourceInfo, SourceKind

PAYLOADS = 200
SECOND_NS = 1_000_000_000
ARXML = Path(__file__).parent / "descriptions" / "engine.arxml"
DBC = """\
VERSION ""
NS_ :
BS_:
BU_: A
BO_ 256 Motion: 8 A
 SG_ EngineSpeed : 0|16@1+ (0.25,0) [0|16383.75] "rpm" A
 SG_ Torque : 23|12@0- (0.5,-100) [-1124|923.5] "Nm" A
 SG_ Gear : 42|3@1+ (1,0) [0|7] "" A
BO_ 2566844672 Page: 8 A
 SG_ Which M : 0|8@1+ (1,0) [0|255] "" A
 SG_ Ratio m0 : 8|32@1- (1,0) [0|0] "" A
 SG_ Deep m1 : 16|8@1- (2,1) [0|0] "" A
 SG_ Always : 48|9@1+ (1,0) [0|0] "" A
CM_ SG_ 256 EngineSpeed "Of the crankshaft";
VAL_ 256 Gear 0 "neutral" 7 "reverse" ;
SIG_VALTYPE_ 2566844672 Ratio : 1;
"""


def described(form: str, folder: Path) -> tuple[Path, Database]:
    """A description in this form, and cantools' reading of it; of what it has itself written, its
    reading of the original."""
    if form == "arxml":
        return ARXML, can_database(ARXML)
    database = Database()
    database.add_dbc_string(DBC)
    file = folder / f"engine.{form}"
    cantools.database.dump_file(database, str(file))
    return file, database


def imported(file: Path, folder: Path) -> ChannelMap:
    target = folder / "map.yaml"
    words = ["map", "import", str(file), "--source", "engine", "-o", str(target)]
    result = CliRunner().invoke(app, words, catch_exceptions=False)
    assert result.exit_code == 0
    return load_map(target)


@pytest.mark.parametrize("form", ["kcd", "sym", "arxml"])
def test_the_imported_map_decodes_as_cantools_does(form: str, tmp_path: Path) -> None:
    file, database = described(form, tmp_path)
    channel_map = imported(file, tmp_path)
    session = SessionInfo("s", "bay", 0, 0, (SourceInfo("engine", SourceKind.CAN),))
    rng, compared = np.random.default_rng(7), set()
    for message in database.messages:
        payloads = [rng.bytes(message.length) for _ in range(PAYLOADS)]
        if message.is_multiplexed():
            payloads = [bytes([i % 2]) + payload[1:] for i, payload in enumerate(payloads)]
        flags = Flag.EXTENDED * message.is_extended_frame | Flag.FD * message.is_fd
        batch = RecordBatch.of(
            "engine",
            [i * SECOND_NS for i in range(PAYLOADS)],
            payloads,
            [message.frame_id] * PAYLOADS,
            [int(flags)] * PAYLOADS,
        )
        samples = Decoder(channel_map, session).decode(batch)
        decoded = [numbers(message, payload) for payload in payloads]
        for signal in message.signals:
            name = f"{message.name}_{signal.name}"
            there = [i for i, values in enumerate(decoded) if signal.name in values]
            expected = np.array([float(decoded[i][signal.name]) for i in there])
            found = samples[name]
            np.testing.assert_array_equal(found.time_s, there)
            conversion = channel_map.conversion(name)
            np.testing.assert_allclose(
                found.value, expected * conversion.factor + conversion.offset, rtol=1e-12
            )
            compared.add(name)
    assert compared == set(channel_map.channels)
    assert len(compared) == (4 if form == "arxml" else 7)


def test_a_signal_that_a_sym_repeats_on_every_page_is_one_channel(tmp_path: Path) -> None:
    file, _ = described("sym", tmp_path)
    assert file.read_text().count('Sig="Always"') == 3  # what it is, and on two pages
    always = imported(file, tmp_path).entries["Page_Always"].can
    assert always is not None
    assert always.multiplexer[0].equals == [0, 1]


@pytest.mark.parametrize("form", ["kcd", "sym", "arxml"])
def test_units_comments_and_words_are_kept(form: str, tmp_path: Path) -> None:
    channel_map = imported(described(form, tmp_path)[0], tmp_path)
    speed, gear = channel_map.entries["Motion_EngineSpeed"], channel_map.entries["Motion_Gear"]
    assert (speed.unit, speed.comment) == ("rpm", "Of the crankshaft")
    assert speed.quantity is Quantity.ENGINE_SPEED
    assert gear.words == {0: "neutral", 7: "reverse"}
    assert channel_map.entries["Motion_Torque"].unit == "Nm"
