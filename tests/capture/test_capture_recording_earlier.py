"""Recordings of every form that was ever written open, and give what the earlier program read."""

import json
import re
from pathlib import Path

import numpy as np
import pyarrow as pa
import pytest
from archive_data.make_recording import COLUMNS, as_read, batches, session_info
from typer.testing import CliRunner

from capture.cli import app
from capture.recording.any_recording import open_recording
from capture.recording.head import FORM, FORM_KEY
from capture.recording.pieces import pieces
from capture.recording.reader import read_recording
from decode.channel_map import parse_map
from decode.decoder import Decoder
from decode.errors import RecordingError
from decode.records import RecordBatch
from decode.samples import joined

FOLDER = Path(__file__).parent.parent / "archive_data"
FROZEN = sorted([*FOLDER.glob("form_*.arrows"), *FOLDER.glob("form_*.arrows.zst")])
EARLIER = [path for path in FROZEN if not path.name.startswith("form_3")]
of_every_form = pytest.mark.parametrize("path", FROZEN, ids=lambda path: path.name)
of_each_earlier_form = pytest.mark.parametrize("path", EARLIER, ids=lambda path: path.name)


def same(left: RecordBatch, right: RecordBatch) -> bool:
    return (left.source, left.dropped_before) == (right.source, right.dropped_before) and all(
        np.array_equal(getattr(left, name), getattr(right, name)) for name in COLUMNS
    )


def test_every_form_has_its_frozen_recording() -> None:
    assert {int(path.name[len("form_")]) for path in FROZEN} == set(range(1, FORM + 1))


@of_every_form
def test_it_is_read_as_the_earlier_program_read_it(path: Path) -> None:
    assert as_read(path) == json.loads(Path(f"{path}.as_read.json").read_text("utf-8"))


@of_every_form
def test_it_holds_what_was_recorded(path: Path) -> None:
    recording = open_recording(path)
    put = [batch for batch in batches() if len(batch) or path in EARLIER]
    assert recording.session == session_info()
    found = list(recording.batches())
    assert len(found) == len(put)
    assert all(map(same, found, put))
    assert recording.torn is None


@of_every_form
def test_pieces_of_it_decode_to_the_same_samples(path: Path) -> None:
    recording = open_recording(path)
    channel_map = parse_map(recording.session.map_text)
    one_by_one, in_pieces = (Decoder(channel_map, recording.session) for _ in range(2))
    expected = joined([one_by_one.decode(batch) for batch in recording.batches()])
    found = joined([in_pieces.decode_piece(piece) for piece in pieces(recording, 50)])
    assert set(found) == set(expected) == {"rpm", "pedal", "roller"}
    for name, samples in expected.items():
        assert np.array_equal(found[name].time_s, samples.time_s)
        assert np.array_equal(found[name].value, samples.value)


@of_every_form
def test_analyse_finds_its_pull(path: Path) -> None:
    done = CliRunner().invoke(app, ["analyse", str(path), "--json"])
    assert done.exit_code == 0, done.output
    assert len(json.loads(done.stdout)["pulls"]) == 1


@of_each_earlier_form
@pytest.mark.parametrize("kept", [0.5, 0.9])
def test_one_that_is_cut_off_gives_its_whole_blocks_and_says_so(
    path: Path, kept: float, tmp_path: Path
) -> None:
    data = path.read_bytes()
    cut = tmp_path / path.name
    cut.write_bytes(data[: int(kept * len(data))])
    recording = read_recording(cut)
    found = list(recording.batches())
    put = batches()
    assert 0 < len(found) < len(put)
    assert all(map(same, found, put))
    assert recording.torn


def test_one_of_form_1_that_was_never_closed_says_so(tmp_path: Path) -> None:
    data = (FOLDER / "form_1_times.arrows").read_bytes()
    cut = tmp_path / "killed.arrows"
    cut.write_bytes(data[:-8])  # without the mark of the end
    recording = read_recording(cut)
    assert len(list(recording.batches())) == len(batches())
    assert "never closed" in (recording.torn or "")


def test_a_damaged_byte_of_form_2_does_not_pass_as_a_value(tmp_path: Path) -> None:
    """In the middle of what the zstd stream holds, so that only the checksum can tell."""
    packed = (FOLDER / "form_2.arrows.zst").read_bytes()
    data = bytearray(pa.CompressedInputStream(pa.BufferReader(packed), "zstd").read())
    data[data.index(b"26.3")] ^= 1  # a digit of a line of the dyno
    path = tmp_path / "damaged.arrows.zst"
    path.write_bytes(data)
    recording = read_recording(path)
    assert len(list(recording.batches())) < len(batches())
    assert "checksum" in (recording.torn or "")


def test_a_newer_form_is_named_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "newer.arrows.zst"
    schema = pa.schema([pa.field("source", pa.uint16())], metadata={FORM_KEY: b"4"})
    with pa.ipc.new_stream(str(path), schema):
        pass
    before = path.read_bytes()
    with pytest.raises(RecordingError, match=re.escape(f"{path} was written by a newer pullwatch")):
        open_recording(path)
    assert path.read_bytes() == before
