"""A recording read in pieces holds, bit for bit, the records that its batches hold."""

import struct
import threading
from collections.abc import Generator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pyarrow as pa
import pytest

from capture.recording import format as recording_format
from capture.recording.any_recording import open_recording
from capture.recording.format import BlockWriter
from capture.recording.pieces import pieces
from capture.recording.reader import read_recording
from capture.recording.stream import open_stream
from decode.channel_map import parse_map
from decode.decoder import Decoder
from decode.errors import RecordingError
from decode.records import Flag, Piece, RecordBatch, SessionInfo, SourceInfo, SourceKind
from decode.samples import SampleBatch, joined

MAP = """\
pullwatch_map: 1
lines: {dyno: {delimiter: ";"}}
channels:
  a: {source: bus, can: {identifier: 0x100, start_bit: 0, bits: 16}}
  b: {source: bus, can: {identifier: 0x101, start_bit: 8, bits: 8, signed: true}}
  speed: {source: dyno, line: {field: 0}}
  sum: {formula: "speed + a"}
"""
SESSION = SessionInfo(
    "s",
    "b",
    0,
    0,
    (
        SourceInfo("bus", SourceKind.CAN),
        SourceInfo("dyno", SourceKind.LINES),
        SourceInfo("operator", SourceKind.OPERATOR),
    ),
)


def batches() -> list[RecordBatch]:
    """CAN, lines and the operator in turn, with gaps, losses, empty batches and odd lengths."""
    chance = np.random.default_rng(5)
    made = []
    for number in range(400):
        now = 10_000_000 * number
        count = int(chance.integers(0, 12))
        times = (now + np.sort(chance.integers(0, 10_000_000, count))).tolist()
        payloads = [chance.bytes(int(chance.integers(0, 9))) for _ in range(count)]
        made.append(
            RecordBatch.of(
                "bus",
                times,
                payloads,
                address=chance.integers(0xFF, 0x103, count).tolist(),
                adapter_ns=[t + 5 for t in times],
                dropped_before=int(number % 50 == 7),
            )
        )
        if number % 3 == 0:
            flags = [int(Flag.GAP) if number % 60 == 0 else 0, 0]
            lines = [b"87.5;x", f"{number}.25".encode()]
            made.append(RecordBatch.of("dyno", [now, now + 9], lines, flags=flags))
        if number % 90 == 0:
            made.append(RecordBatch.of("operator", [now], [b'{"stage": "changed"}']))
    return made


def written(folder: Path, blocks: list[list[RecordBatch]]) -> Path:
    """As the recorder writes."""
    file = folder / "session.arrows.zst"
    writer = BlockWriter(file.open("wb"), SESSION)
    writer._number_of["unknown"] = len(SESSION.sources)  # a damaged file names what there is not
    for block in blocks:
        writer.write(block)
    writer.close()
    return file


@pytest.fixture
def recorded(tmp_path: Path) -> Path:
    made = batches()
    return written(tmp_path, [made[i : i + 13] for i in range(0, len(made), 13)])


def same(left: RecordBatch, right: RecordBatch) -> bool:
    arrays = ("arrived_ns", "adapter_ns", "address", "flags", "data", "offsets")
    return (left.source, left.dropped_before) == (right.source, right.dropped_before) and all(
        np.array_equal(getattr(left, name), getattr(right, name)) for name in arrays
    )


def test_a_piece_holds_the_records_of_each_source_and_their_places(recorded: Path) -> None:
    (piece,) = pieces(read_recording(recorded), 1_000_000)
    expected = Piece.of(list(read_recording(recorded).batches()))
    assert piece.records == expected.records
    assert list(piece.by_source) == ["bus", "dyno", "operator"]
    for source, records in expected.by_source.items():
        assert same(piece.by_source[source].batch, records.batch)
        assert np.array_equal(piece.by_source[source].place, records.place)


@pytest.mark.parametrize("records", [1, 500, 1_000_000])
def test_it_decodes_to_the_same_samples(recorded: Path, records: int) -> None:
    recording = read_recording(recorded)
    one_by_one, in_pieces = Decoder(parse_map(MAP), SESSION), Decoder(parse_map(MAP), SESSION)
    expected = joined([one_by_one.decode(batch) for batch in recording.batches()])
    found = joined([in_pieces.decode_piece(piece) for piece in pieces(recording, records)])
    assert set(found) == {"a", "b", "speed", "sum"} == set(expected)
    assert_equal(found, expected)


def assert_equal(found: SampleBatch, expected: SampleBatch) -> None:
    for name, samples in expected.items():
        assert np.array_equal(found[name].time_s, samples.time_s)
        assert np.array_equal(found[name].value, samples.value, equal_nan=True)


def test_a_torn_tail_is_told_and_what_is_whole_is_read(recorded: Path) -> None:
    whole = sum(piece.records for piece in pieces(read_recording(recorded)))
    recorded.write_bytes(recorded.read_bytes()[:-300])
    recording = read_recording(recorded)
    read = sum(piece.records for piece in pieces(recording, 100))
    assert 0.8 * whole < read < whole
    assert recording.torn is not None
    assert "never closed" in recording.torn


def changed(file: Path, old: bytes, new: bytes) -> None:
    """The third time these bytes are in the unpacked file they are others."""
    with pa.input_stream(file, compression="zstd") as packed:
        before, again, and_again, *rest = packed.read().split(old)
    with pa.output_stream(file, compression="zstd") as repacked:
        repacked.write(old.join((before, again, and_again)) + new + old.join(rest))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"12345", b"12346"),  # a payload
        (struct.pack("<3i", 0, 2, 5), struct.pack("<3i", 0, 2, 9_999)),  # where payloads end
        (struct.pack("<2i", 7, -1), struct.pack("<2i", 9, -1)),  # records lost before a batch
    ],
)
def test_damage_inside_costs_only_what_lies_behind(tmp_path: Path, old: bytes, new: bytes) -> None:
    one = RecordBatch.of("bus", [1, 2], [b"12", b"345"], [0x100, 0x101], dropped_before=7)
    file = written(tmp_path, [[one], [one], [one], [one]])
    changed(file, old, new)
    recording = read_recording(file)
    assert sum(piece.records for piece in pieces(recording)) == 4
    assert recording.torn is not None
    assert "unreadable after 3 whole blocks" in recording.torn  # the first holds the head alone


def test_a_source_that_there_is_not_is_damage(tmp_path: Path) -> None:
    one = RecordBatch.of("bus", [1, 2], [b"12", b"345"], address=[0x100, 0x101])
    recording = read_recording(written(tmp_path, [[one], [replace(one, source="unknown")], [one]]))
    assert sum(piece.records for piece in pieces(recording)) == 2
    assert recording.torn is not None
    assert "a record is of source 3 of 3" in recording.torn


def test_an_empty_recording_has_no_records(tmp_path: Path) -> None:
    assert [p.records for p in pieces(read_recording(written(tmp_path, [])))] == [0]
    empty = RecordBatch.of("bus", [], [])
    assert [p.records for p in pieces(read_recording(written(tmp_path, [[empty]])))] == [0]


def test_a_table_comes_in_pieces_too(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_text("Time (s),a\n" + "".join(f"{n / 10},{n}\n" for n in range(50)))
    table = open_recording(file)
    found = list(pieces(table, 20))
    expected = Piece.of(list(table.batches()))
    assert sum(piece.records for piece in found) == expected.records
    (source,) = expected.by_source
    joined_up = RecordBatch.joined([piece.by_source[source].batch for piece in found])
    assert same(joined_up, expected.by_source[source].batch)


def test_whoever_stops_early_leaves_no_thread(recorded: Path) -> None:
    reading = pieces(read_recording(recorded), 100)
    assert next(reading).records >= 100
    assert isinstance(reading, Generator)
    reading.close()
    assert "recording-reader" not in " ".join(thread.name for thread in threading.enumerate())


def test_a_head_with_other_columns_is_refused(recorded: Path) -> None:
    with pa.input_stream(recorded, compression="zstd") as packed:
        data = packed.read()
    with pa.output_stream(recorded, compression="zstd") as changed:
        changed.write(data.replace(b"dropped_before", b"dropped_beforf", 1))
    with pytest.raises(RecordingError, match="its columns are not those of a recording"):
        read_recording(recorded)


def test_payloads_may_stand_anywhere_in_a_batchs_data(tmp_path: Path) -> None:
    made = RecordBatch.of("bus", [1, 2], [b"abc", b"de"])
    inside = replace(made, data=np.frombuffer(b"..abcde.", np.uint8), offsets=made.offsets + 2)
    recording = read_recording(written(tmp_path, [[inside], [made, inside], [made]]))
    assert [same(batch, made) for batch in recording.batches()] == [True] * 4
    assert recording.torn is None


def test_what_is_too_large_for_one_block_becomes_several(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(recording_format, "MOST_BYTES", 100)
    made = [RecordBatch.of("dyno", [i], [bytes([i]) * 60]) for i in range(5)]
    file = written(tmp_path, [made])
    assert all(map(same, read_recording(file).batches(), made))
    with open_stream(file) as blocks:
        assert [block.num_rows for block in blocks] == [0, 1, 1, 1, 1, 1]
