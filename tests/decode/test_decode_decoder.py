import struct
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import decode
from decode.channel_map import load_map, parse_map
from decode.decoder import Decoder
from decode.records import Flag, RecordBatch, SessionInfo, SourceInfo, SourceKind
from decode.samples import joined

MAP = parse_map("""\
pullwatch_map: 1
lines:
  dyno: {delimiter: ";", clock: {field: 0, unit: ms}}
channels:
  total: {formula: boost + speed, unit: ""}
  manifold: {quantity: manifold_pressure, source: engine, unit: bar,
             can: {identifier: 0x10, start_bit: 0, bits: 8, scale: 0.01, not_available: [0xFF]}}
  temperature: {quantity: coolant_temperature, source: engine, unit: degF,
                can: {identifier: 0x11, start_bit: 0, bits: 8, offset: 32}}
  air: {quantity: barometric_pressure, source: dyno, unit: hPa, line: {field: 1}}
  speed: {source: weather, frame: {start_bit: 7, bits: 16, byte_order: big_endian, signed: true}}
  boost: {quantity: boost_pressure, unit: kPa, formula: manifold - air}
  rpm: {quantity: engine_speed, source: table, unit: krpm, column: Engine speed}
""")
SESSION = SessionInfo(
    "s",
    "bay",
    1_000_000_000,
    0,
    (
        SourceInfo("engine", SourceKind.CAN),
        SourceInfo("dyno", SourceKind.LINES),
        SourceInfo("weather", SourceKind.FRAMES),
        SourceInfo("table", SourceKind.TABLE, ("Time", "Engine speed")),
    ),
)
SECOND = 1_000_000_000


def can(seconds: float, identifier: int, *payload: int, flags: int = 0) -> RecordBatch:
    return RecordBatch.of(
        "engine", [int((seconds + 1) * SECOND)], [bytes(payload)], [identifier], [flags]
    )


def line(seconds: float, text: str) -> RecordBatch:
    return RecordBatch.of("dyno", [int((seconds + 1) * SECOND)], [text.encode()])


def test_values_come_in_house_units_at_session_seconds() -> None:
    decoder = Decoder(MAP, SESSION)
    samples = decoder.decode(can(2.5, 0x11, 180))
    assert samples["temperature"].time_s.tolist() == [2.5]
    assert samples["temperature"].value[0] == pytest.approx(100.0, abs=1e-12)
    cell = RecordBatch.of("table", [3 * SECOND], [struct.pack("<d", 6.5)], [1])
    assert decoder.decode(cell)["rpm"].value.tolist() == [6500.0]
    frame = RecordBatch.of("weather", [3 * SECOND] * 2, [b"\xff\xfe", b"\x01"])
    assert decoder.decode(frame)["speed"].value.tolist() == [-2.0]
    assert decoder.undecodable == {"engine": 0, "dyno": 0, "weather": 1, "table": 0}


def test_a_formula_holds_the_last_value_of_the_other_source() -> None:
    decoder = Decoder(MAP, SESSION)
    assert "boost" not in decoder.decode(can(0.0, 0x10, 150))  # nothing to subtract has come
    decoder.decode(line(0.1, "0;1000"))
    np.testing.assert_allclose(decoder.decode(can(0.2, 0x10, 150))["boost"].value, [50.0])
    assert np.isnan(decoder.decode(can(0.3, 0x10, 0xFF))["boost"].value).all()
    assert np.isnan(decoder.decode(can(11.0, 0x10, 150))["boost"].value).all()  # held too long


def test_nothing_is_held_over_a_gap() -> None:
    decoder = Decoder(MAP, SESSION)
    decoder.decode(line(0.0, "0;1000"))
    gap = RecordBatch.of("dyno", [2 * SECOND], [b"unplugged"], flags=[Flag.GAP])
    decoder.decode(gap)
    assert np.isnan(decoder.decode(can(1.2, 0x10, 150))["boost"].value).all()
    decoder.decode(line(1.3, "0;1000"))
    np.testing.assert_allclose(decoder.decode(can(1.4, 0x10, 150))["boost"].value, [50.0])


def test_damaged_lines_are_counted_and_do_not_move_the_clock() -> None:
    decoder = Decoder(MAP, SESSION)
    decoder.decode(line(1.0, "1000;990"))
    assert decoder.decode(line(2.4, "19#0;990")) == {}
    samples = decoder.decode(line(2.5, "2000;990"))
    assert samples["air"].time_s[0] == pytest.approx(2.0002, abs=1e-6)  # 200 ppm may be drift
    assert decoder.undecodable["dyno"] == 1


def test_sources_the_session_or_the_map_does_not_know_give_nothing() -> None:
    decoder = Decoder(MAP, SessionInfo("s", "bay", 0, 0, (SourceInfo("other", SourceKind.CAN),)))
    assert decoder.decode(can(0.0, 0x10, 150)) == {}
    assert decoder.decode(RecordBatch.of("other", [0], [b"\x01"])) == {}


def test_the_starter_map_is_sound() -> None:
    folder = Path(decode.__file__).parent / "maps"
    assert {"engine_speed", "boost"} <= load_map(folder / "starter.yaml").channels.keys()


def record(kind: int, value: int) -> tuple[str, int, bytes, int]:
    """source, address, payload, flags"""
    if kind == 0:
        return "engine", 0x10 + value % 2, bytes([value]), 0
    if kind == 1:
        return "dyno", 0, f"{value * 3};{value}".encode(), 0
    if kind == 2:
        return "weather", 0, bytes([value, value]), 0
    if kind == 3:
        return "table", value % 2, struct.pack("<d", value), 0
    return ("engine", "dyno", "weather")[value % 3], 0, b"gone", int(Flag.GAP)


STREAM = st.lists(
    st.builds(record, st.sampled_from([0, 0, 1, 1, 2, 2, 3, 4]), st.integers(0, 255)), max_size=40
)


def batches_of(stream: Sequence[tuple[str, int, bytes, int]], cuts: set[int]) -> list[RecordBatch]:
    """Consecutive records of one source in one batch, cut where `cuts` says too."""
    groups: list[list[int]] = []
    for i, (source, *_) in enumerate(stream):
        if groups and i not in cuts and stream[groups[-1][-1]][0] == source:
            groups[-1].append(i)
        else:
            groups.append([i])
    return [
        RecordBatch.of(
            stream[group[0]][0],
            [SECOND + i * 300_000_000 for i in group],
            [stream[i][2] for i in group],
            [stream[i][1] for i in group],
            [stream[i][3] for i in group],
        )
        for group in groups
    ]


@settings(deadline=None, max_examples=150)
@given(STREAM, st.sets(st.integers(0, 40)), st.sets(st.integers(0, 40)))
def test_however_records_are_batched_the_samples_are_the_same_bits(
    stream: list[tuple[str, int, bytes, int]], cuts: set[int], other_cuts: set[int]
) -> None:
    live = Decoder(MAP, SESSION)
    one_by_one = joined([live.decode(batch) for batch in batches_of(stream, cuts)])
    archive = Decoder(MAP, SESSION)
    batches = batches_of(stream, other_cuts)
    middle = len(batches) // 2
    in_pieces = joined([archive.decode_all(batches[:middle]), archive.decode_all(batches[middle:])])
    assert one_by_one.keys() == in_pieces.keys()
    for name, samples in one_by_one.items():
        assert samples.time_s.tobytes() == in_pieces[name].time_s.tobytes(), name
        assert samples.value.tobytes() == in_pieces[name].value.tobytes(), name
    assert live.undecodable == archive.undecodable
