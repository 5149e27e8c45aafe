from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from decode.channel_map import load_map, parse_map
from decode.errors import InputFileError
from decode.quantities import Quantity
from decode.records import SourceInfo, SourceKind
from decode.samples import Channel

SOUND = """\
pullwatch_map: 1
lines:
  dyno: {delimiter: ";", starts_with: "D", clock: {field: 1, unit: s}}
channels:
  engine_speed: {quantity: engine_speed, source: engine, unit: rpm,
                 can: {identifier: 0x310, start_bit: 0, bits: 16, scale: 0.25}}
  throttle: {quantity: throttle_position, source: engine, unit: ratio, full_scale: 0.88,
             can: {identifier: 0x311, start_bit: 0, bits: 8, scale: 0.004}}
  manifold_pressure: {quantity: manifold_pressure, source: engine, unit: bar,
                      can: {identifier: 0x311, start_bit: 8, bits: 16, scale: 0.001}}
  barometric_pressure: {quantity: barometric_pressure, source: dyno, unit: hPa, line: {field: 3}}
  boost: {quantity: boost_pressure, unit: kPa, formula: manifold_pressure - barometric_pressure}
  boost_doubled: {formula: 2 * boost, unit: none in particular}
  knock_3: {quantity: knock_retard, cylinder: 3, source: engine, unit: deg,
            can: {identifier: 0x312, start_bit: 0, bits: 8}}
  lambda: {quantity: lambda, source: table, column: Lambda 1}
"""


def problems_of(text: str) -> list[str]:
    with pytest.raises(InputFileError) as caught:
        parse_map(text, "m.yaml")
    return caught.value.lines()


def problems_of_channel(entry: str, name: str = "x") -> list[str]:
    return problems_of(f"pullwatch_map: 1\nchannels:\n  {name}: {{{entry}}}\n")


def test_a_sound_map() -> None:
    sound = parse_map(SOUND)
    assert sound.channels["throttle"] == Channel(
        "throttle", "%", Quantity.THROTTLE_POSITION, None, "engine", 88.0
    )
    assert sound.channels["knock_3"].cylinder == 3
    assert sound.channels["boost_doubled"].unit == "none in particular"
    assert sound.sources == {"engine", "dyno", "table"}
    assert sound.source_kind("dyno") is SourceKind.LINES
    assert sound.text == SOUND
    assert [name for name, _ in sound.derived()] == ["boost", "boost_doubled"]
    assert sound.conversion("manifold_pressure") == (100.0, 0.0)


def test_an_air_fuel_ratio_is_read_with_its_own_stoichiometric_ratio() -> None:
    read = parse_map(
        "pullwatch_map: 1\nchannels:\n"
        "  afr: {quantity: lambda, unit: AFR, stoichiometric: 9.8, source: t, column: AFR}\n"
    )
    assert read.channels["afr"].unit == "1"
    assert read.conversion("afr").apply(np.array([9.8, 8.33])) == pytest.approx([1.0, 0.85])


def test_what_the_station_does_not_have_is_told() -> None:
    station = [
        SourceInfo("engine", SourceKind.CAN),
        SourceInfo("dyno", SourceKind.FRAMES),
        SourceInfo("tables", SourceKind.TABLE),
    ]
    assert parse_map(SOUND).mismatches(station) == [
        'the map reads "dyno" as lines, but it is frames',
        'the map takes channels from "table", which is no source; '
        'did you mean "tables"? allowed: dyno, engine, tables',
    ]


def test_five_mistakes_print_five_errors_with_their_lines(tmp_path: Path) -> None:
    file = tmp_path / "map.yaml"
    file.write_text("""\
pullwatch_map: 1
channels:
  engine_speed:
    quantity: engine_sped
    source: engine
    unit: rpm
    can: {identifier: 0x310, start_bit: 0, bits: 16}
  manifold_pressure:
    quantity: manifold_pressure
    source: engine
    unit: degC
    can: {identifier: 0x310, start_bit: 56, bits: 16}
  boost:
    unit: kPa
    formula: manifold_pressure - barometric
  roller_speed:
    quantity: roller_speed
    source: dyno
    unit: km/h
    line: {field: 2}
""")
    with pytest.raises(InputFileError) as caught:
        load_map(file)
    lines = [line.removeprefix(f"{file}:") for line in caught.value.lines()]
    assert [line.split(";")[0] for line in lines] == [
        '4:15: engine_speed.quantity: unknown word "engine_sped"',
        '11:11: manifold_pressure.unit: unit "degC" does not measure what kPa measures',
        "12:51: manifold_pressure.can.bits: 16 bits from bit 56 on (little_endian) end in byte 8",
        '15:14: boost.formula: reads "barometric", which is no channel',
        '18:13: roller_speed.source: the lines of source "dyno" have no format under lines:',
    ]
    assert 'did you mean "engine_speed"? allowed: air_mass_flow, ' in lines[0]
    assert "; allowed: kPa, Pa, hPa, MPa, bar, mbar, psi, " in lines[1]


CAN = "source: e, can: {identifier: 1, start_bit: 0, bits: 8"


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ("quantity: engine_speed, unit: kPa, formula: x", "does not measure what rpm measures"),
        ("quantity: engine_speed, formula: x", '"unit" is missing; engine_speed is measured in'),
        ("quantity: boost_pressure, unit: kPaa, formula: x", "which the quantity says, not the"),
        ("source: e", "says not where it comes from; one of: can, line, frame"),
        ("source: e, column: a, formula: b", "has column and formula; allowed: one of"),
        ("column: a", '"source" is missing: a source name of the station'),
        ("formula: x + 1", "reads itself: x <- x"),
        ("formula: x.real", "Attribute at character 1 is refused; allowed: numbers"),
        (f"{CAN}, kind: float}}", "a float of 8 bits; allowed: 32 or 64 bits"),
        (f"{CAN}, not_available: [256]}}", "256 does not fit 8 bits; allowed: 0 to 255"),
        (
            "quantity: throttle_position, unit: '%', formula: x, full_scale: 0",
            "x.full_scale: must be greater than 0, not 0",
        ),
        (
            "quantity: boost_pressure, unit: kPa, formula: x, full_scale: 150",
            "x.full_scale: only a pedal_position or a throttle_position has a full scale",
        ),
        (f"{CAN}, highest_raw: -1}}", "-1 does not fit 8 bits; allowed: 0 to 255"),
        (f"{CAN}, highest_raw: 256}}", "256 does not fit 8 bits; allowed: 0 to 255"),
        (f"{CAN}, scale: .inf}}", "x.can.scale: must be a finite number, not inf"),
        (f"{CAN}, offset: .nan}}", "x.can.offset: must be a finite number, not nan"),
        (
            f"{CAN}, multiplexer: {{start_bit: 0, bits: 2, equals: []}}}}",
            "x.can.multiplexer.equals: List should have at least 1 item",
        ),
        (f"{CAN}, byte_order: little}}", 'did you mean "little_endian"?'),
        (f"{CAN}, identifer: 3}}", 'unknown key "identifer"; did you mean "identifier"?'),
        (f"{CAN}}}, cylinder: 0", "must be greater than or equal to 1, not 0"),
        (
            f"{CAN}, multiplexer: {{start_bit: 0, bits: 2, equals: 4}}}}",
            "x.can.multiplexer.equals: 4 does not fit 2 bits; allowed: 0 to 3",
        ),
        (
            "source: e, can: {identifier: 0x800, start_bit: 0, bits: 8}",
            "0x800 is larger than a standard identifier; allowed: up to 0x7ff",
        ),
        (
            "source: e, can: {identifier: 1, start_bit: 504, bits: 9, fd: true}",
            "end in byte 64; the payload has bytes 0 to 63",
        ),
        (
            "source: e, can: {identifier: 1, start_bit: 56, bits: 9, byte_order: big_endian}",
            "end in byte 8; the payload has bytes 0 to 7",
        ),
        ("source: e, diagnostic: {service: 0x2E, identifier: 1}", "service 46; allowed: 1, 33, 34"),
        ("source: e, line: {}", 'needs either "field" (a number from 0) or "name"'),
        ("source: e, line: {field: 1, name: a}", 'needs either "field" (a number from 0)'),
        (
            "quantity: lambda, unit: AFR, source: e, line: {field: 1}",
            'unit AFR needs "stoichiometric", the ratio that the logger calls lambda 1',
        ),
        (
            'quantity: lambda, unit: "1", stoichiometric: 14.7, source: e, line: {field: 1}',
            '"stoichiometric" goes with a lambda or a lambda_target in unit AFR',
        ),
        (
            "quantity: boost_pressure, unit: AFR, source: e, line: {field: 1}",
            'unit "AFR" is unknown; allowed: kPa',
        ),
        (
            "quantity: lambda, stoichiometric: 147, unit: AFR, source: e, line: {field: 1}",
            "stoichiometric",
        ),
    ],
)
def test_each_mistake_is_named(entry: str, message: str) -> None:
    lines = problems_of_channel(entry)
    assert any(message in line for line in lines), lines


@pytest.mark.parametrize("name", ["two words", "1st", "if", "a.b", "größe"])
def test_a_channel_name_is_a_word_of_formulas(name: str) -> None:
    assert "is no channel name" in "".join(problems_of_channel("formula: y", f'"{name}"'))


def test_circles_of_formulas_are_all_found() -> None:
    lines = problems_of("""\
pullwatch_map: 1
channels:
  a: {formula: b + 1}
  b: {formula: a}
  c: {formula: d}
  d: {formula: c}
  e: {formula: a}
""")
    assert sum("reads itself" in line for line in lines) == 2


def test_one_source_has_one_kind() -> None:
    (line,) = problems_of("""\
pullwatch_map: 1
channels:
  a: {source: e, column: A}
  b: {source: e, frame: {start_bit: 0, bits: 8}}
""")
    assert line == 'm.yaml:4:18: b.frame: source "e" has frame here and column in a'


def test_duplicate_channels_and_formats_of_lines() -> None:
    lines = problems_of("""\
pullwatch_map: 2
lines:
  d: {delimiter: ",", decimal: ",", pattern: "("}
channels:
  a: {source: d, line: {field: 0}}
  a: {source: d, line: {field: 1}}
""")
    assert [line.split(": ")[0] for line in lines] == [
        "m.yaml:1:16",
        "m.yaml:3:32",
        "m.yaml:3:46",
        "m.yaml:6:3",
    ]


def test_an_anchor_saves_typing() -> None:
    entries = parse_map("""\
pullwatch_map: 1
channels:
  a: &same {source: e, unit: V, can: {identifier: 1, start_bit: 0, bits: 8}}
  b: {<<: *same, unit: mV}
""").entries
    assert entries["b"].can == entries["a"].can
    assert entries["b"].unit == "mV"


PIECES = st.sampled_from(SOUND.replace("{", " { ").replace("}", " } ").split(" "))


@settings(deadline=None, max_examples=100)
@given(st.integers(0, len(SOUND)), st.integers(0, 40), st.lists(PIECES, max_size=4))
def test_a_damaged_map_is_a_map_or_its_problems_are_told(
    at: int, length: int, pieces: list[str]
) -> None:
    damaged = SOUND[:at] + " ".join(pieces) + SOUND[at + length :]
    try:
        channels = parse_map(damaged).channels
    except InputFileError as error:
        lines = [problem.line for problem in error.problems]
        assert min(lines) >= 1
        assert max(lines) <= damaged.count("\n") + 1
    else:
        assert channels is not None


DID = "source: ecu, diagnostic: {service: 0x22, identifier: 1"


def test_an_identifier_holds_its_field() -> None:
    """Else the channel would stay empty, without a word why."""
    entry = f"{DID}, start_bit: 7, bits: 16, byte_order: big_endian, length: 1}}"
    with pytest.raises(
        InputFileError, match=r"1 bytes, but 16 bits from bit 7 on .* end in byte 1"
    ):
        parse_map(f"pullwatch_map: 1\nchannels:\n  x: {{{entry}}}\n")


def test_an_identifier_has_one_length() -> None:
    """Whoever comes behind it in a response would be looked for in two places."""
    text = "pullwatch_map: 1\nchannels:\n" + "".join(
        f"  x{length}: {{{DID}, start_bit: 0, bits: 8, length: {length}}}}}\n" for length in (2, 3)
    )
    with pytest.raises(InputFileError, match="3 bytes here and 2 in x2, of one identifier"):
        parse_map(text)
