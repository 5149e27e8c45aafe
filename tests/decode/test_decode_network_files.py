from pathlib import Path

import cantools.database
import numpy as np
import pytest
from cantools.database.errors import UnsupportedDatabaseFormatError
from cantools_comparison import Counts, compare_network

from decode.channel_map import load_map, parse_map
from decode.decoder import Decoder
from decode.errors import InputFileError
from decode.network_files import map_text, read_network
from decode.records import Flag, RecordBatch, SessionInfo, SourceInfo, SourceKind

EVERY_NTH_FILE = 12  # of the descriptions in opendbc; tests/benchmarks compares them all
PAYLOADS = 50

DBC = """\
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
 SG_ Inner m1M : 8|8@1+ (1,0) [0|255] "" A
 SG_ Deep m2 : 16|8@1+ (1,0) [0|255] "" A
CM_ BO_ 256 "What the engine does:
twice a line";
CM_ SG_ 256 Speed "of the \\"crankshaft\\", # not a comment";
VAL_ 2566844672 Which 0 "first page" 1 "second: page" ;
SIG_VALTYPE_ 2566844672 Ratio : 1;
SG_MUL_VAL_ 2566844672 Ratio Which 0-0, 7-9;
SG_MUL_VAL_ 2566844672 Inner Which 1-1;
SG_MUL_VAL_ 2566844672 Deep Inner 2-2;
"""


@pytest.fixture
def described(tmp_path: Path) -> Path:
    file = tmp_path / "car.dbc"
    file.write_text(DBC)
    return file


def test_comments_units_words_and_multiplexing_are_kept(described: Path) -> None:
    text = map_text(read_network(described, "engine"), "car.dbc")
    imported = parse_map(text)
    assert list(imported.channels) == [
        *("Engine_Speed", "Engine_Torque", "Page_Which", "Page_Ratio", "Page_Inner", "Page_Deep"),
    ]
    speed, which = imported.entries["Engine_Speed"], imported.entries["Page_Which"]
    assert speed.unit == "rpm"
    assert speed.comment == 'of the "crankshaft", # not a comment'
    assert which.words == {0: "first page", 1: "second: page"}
    assert "  # Engine: What the engine does:\n  # twice a line\n" in text
    ratio, deep = imported.entries["Page_Ratio"].can, imported.entries["Page_Deep"].can
    assert ratio is not None
    assert ratio.extended
    assert ratio.multiplexer[0].equals == [0, 7, 8, 9]
    assert deep is not None
    assert [m.equals for m in deep.multiplexer] == [[2], [1]]


def test_the_imported_map_decodes_as_cantools_does(described: Path) -> None:
    counts = compare_network(described, PAYLOADS, np.random.default_rng(1))
    assert counts.mismatches == []
    assert counts.signals == 6
    assert counts.multiplexed == 3
    assert counts.floats == 1
    assert counts.exact == counts.values


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("BO_ 256 Engine: 8 A\n SG_ Speed : 0|16@1+ 0.25,0)\n", ":2:"),
        ("BO_ 4096 Engine: 8 A\n", ":1:1: network description: cantools refuses it: "),
        ("\x00\xff", ":1:1: "),
    ],
)
def test_what_cantools_refuses_is_an_input_file_error(
    tmp_path: Path, text: str, place: str
) -> None:
    file = tmp_path / "wrong.dbc"
    file.write_text(text)
    with pytest.raises(InputFileError) as caught:
        read_network(file, "engine")
    assert str(caught.value).startswith(f"{file}{place}")


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("absent.dbc", "cannot be read: No such file"),
        ("notes.txt", "must end in one of .dbc, .kcd, .arxml, .sym"),
        ("broken.kcd", "cantools refuses it: KCD"),
        ("broken.arxml", "cantools refuses it: ARXML"),
        ("broken.sym", "cantools refuses it: SYM"),
    ],
)
def test_every_form_is_refused_with_what_to_do(tmp_path: Path, name: str, said: str) -> None:
    file = tmp_path / name
    if not name.startswith("absent"):
        file.write_text("<neither one nor the other")
    with pytest.raises(InputFileError, match=said):
        read_network(file, "engine")


def test_a_description_given_as_a_map_is_told_how_to_become_one(described: Path) -> None:
    with pytest.raises(InputFileError, match=r"pullwatch map import .*car\.dbc --source"):
        load_map(described)


@pytest.mark.needs_distribution("opendbc")
@pytest.mark.slow
def test_every_twelfth_description_of_opendbc_equals_cantools() -> None:
    import opendbc

    total = Counts()
    rng = np.random.default_rng(2)
    for path in sorted(Path(opendbc.__file__).parent.rglob("*.dbc"))[::EVERY_NTH_FILE]:
        try:
            read_network(path, "bus")
        except InputFileError:
            with pytest.raises(UnsupportedDatabaseFormatError):
                cantools.database.load_file(path, strict=False)
            continue
        total.add(compare_network(path, PAYLOADS, rng))
    assert total.mismatches == []
    assert total.signals > 1000
    assert total.exact == total.values >= PAYLOADS * 0.9 * total.signals


def test_j1939_not_available_is_a_gap(open_data: Path) -> None:
    network = read_network(open_data / "j1939" / "j1939.dbc", "truck")
    speed = "EEC1_Engine_Speed"
    torque = "EEC1_Actual_Engine___Percent_Torque"
    lines = map_text(network, "j1939.dbc").splitlines()
    kept = [n for n in lines if n.startswith((f"  {speed}:", f"  {torque}:"))]
    imported = parse_map("\n".join(["pullwatch_map: 1", "channels:", *kept]))
    session = SessionInfo("s", "b", 0, 0, (SourceInfo("truck", SourceKind.CAN),))
    payloads = ["FFFF7D8025FFFFFF", "FFFFFFFFFFFFFFFF", "FFFFFE00FEFFFFFF", "FFFFFAFFFAFFFFFF"]
    identifiers = [0x0CF00400, 0x0CF00400, 0x18F00431, 0x0CF00400]  # any priority, any sender
    batch = RecordBatch.of(
        "truck",
        list(range(4)),
        [bytes.fromhex(payload) for payload in payloads],
        identifiers,
        [int(Flag.EXTENDED)] * 4,
    )
    samples = Decoder(imported, session).decode(batch)
    np.testing.assert_allclose(samples[speed].value, [9600.0, np.nan, np.nan, 0xFAFF])
    np.testing.assert_allclose(samples[torque].value, [125.0, np.nan, np.nan, 250.0])
