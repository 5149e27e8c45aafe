import gzip
from pathlib import Path

import can
import numpy as np
import pytest
from real_log import BUS, CAR, assert_reference_values, real_log, real_map

from capture.recording.any_recording import open_recording
from capture.recording.foreign_recording import WINDOW_NS, read_foreign
from capture.recording.reader import Recording
from decode.decoder import Decoder
from decode.errors import PullwatchError, RecordingError
from decode.records import Flag

START_S = 1_767_225_600.0


def messages(count: int = 400, step_s: float = 0.001) -> list[can.Message]:
    """Frames of two buses, a little of every kind."""
    return [
        can.Message(
            timestamp=START_S + step_s * i,
            arbitration_id=0x18DAF110 if i % 7 == 0 else 0x300 + i % 16,
            is_extended_id=i % 7 == 0,
            data=i.to_bytes(4, "big") + bytes(i % 5),
            channel=i % 2,
            is_rx=True,
        )
        for i in range(count)
    ]


def write(path: Path, frames: list[can.Message]) -> None:
    with can.Logger(path) as log:
        for frame in frames:
            log.on_message_received(frame)


def frames_of(recording: Recording) -> list[tuple[int, str, int, int, bytes]]:
    """Time in microseconds (some formats keep no more), bus, identifier, flags, payload."""
    found = []
    for batch in recording.batches():
        times_us = np.round(batch.arrived_ns / 1_000).astype(int)
        assert batch.arrived_ns[-1] - batch.arrived_ns[0] < WINDOW_NS
        for i, time_us in enumerate(times_us):
            flags = int(batch.flags[i])
            found.append(
                (int(time_us), batch.source, int(batch.address[i]), flags, batch.payload(i))
            )
    return sorted(found)


@pytest.mark.parametrize("suffix", [".log", ".asc", ".blf", ".trc", ".mf4"])
def test_logs_of_every_format_give_the_frames_that_were_logged(tmp_path: Path, suffix: str) -> None:
    if suffix == ".mf4":
        pytest.importorskip("asammdf")
    sent = messages()
    write(tmp_path / f"drive{suffix}", sent)
    recording = open_recording(tmp_path / f"drive{suffix}")
    found = frames_of(recording)
    assert recording.torn is None
    assert len(found) == len(sent)
    for (time_us, _, address, flags, payload), frame in zip(found, sent, strict=True):
        assert time_us == pytest.approx((frame.timestamp - START_S) * 1e6, abs=1_000.0)
        assert address == frame.arbitration_id
        assert flags == (Flag.EXTENDED if frame.is_extended_id else Flag.NONE)
        assert payload == frame.data


@pytest.mark.parametrize("suffix", [".log", ".blf"])
def test_each_bus_of_a_log_is_a_source_that_can_be_named(tmp_path: Path, suffix: str) -> None:
    write(tmp_path / f"drive{suffix}", messages())
    recording = read_foreign(tmp_path / f"drive{suffix}", {"can1": "engine"})
    assert [source.name for source in recording.session.sources] == ["can0", "engine"]
    assert {bus for _, bus, *_ in frames_of(recording)} == {"can0", "engine"}
    assert recording.session.started_unix_ns == pytest.approx(START_S * 1e9, abs=1e6)


def test_a_cut_candump_is_read_up_to_the_cut(tmp_path: Path) -> None:
    write(tmp_path / "whole.log", messages())
    text = (tmp_path / "whole.log").read_bytes()
    (tmp_path / "cut.log").write_bytes(text[: len(text) // 2])
    recording = read_foreign(tmp_path / "cut.log")
    found = frames_of(recording)
    whole = frames_of(read_foreign(tmp_path / "whole.log"))
    assert len(found) in (199, 200, 201)
    assert found[:-1] == whole[: len(found) - 1]


@pytest.mark.parametrize("suffix", [".log", ".blf", ".mf4"])
def test_a_packed_log_gives_the_same_frames(tmp_path: Path, suffix: str) -> None:
    if suffix == ".mf4":
        pytest.importorskip("asammdf")
    plain, packed = tmp_path / f"drive{suffix}", tmp_path / f"packed{suffix}.gz"
    write(plain, messages())
    packed.write_bytes(gzip.compress(plain.read_bytes()))
    assert frames_of(open_recording(packed)) == frames_of(open_recording(plain))


def told_of(path: Path) -> str:
    """What is said of a log that cannot be read to its end."""
    try:
        recording = open_recording(path)
    except RecordingError as error:
        return str(error)
    assert list(recording.batches())
    return recording.torn or ""


def test_damage_in_what_is_packed_is_told(tmp_path: Path) -> None:
    write(tmp_path / "drive.blf", messages())
    write(tmp_path / "drive.log", messages())
    whole = (tmp_path / "drive.blf").read_bytes()
    middle = len(whole) // 2
    changed = bytes(byte ^ 0x5A for byte in whole[middle : middle + 60])
    (tmp_path / "damaged.blf").write_bytes(whole[:middle] + changed + whole[middle + 60 :])
    assert "while decompressing" in told_of(tmp_path / "damaged.blf")
    packed = bytearray(gzip.compress((tmp_path / "drive.log").read_bytes()))
    packed[10] = 0x07  # behind the header: a block of a type there is not (RFC 1951, 3.2.3)
    (tmp_path / "damaged.log.gz").write_bytes(packed)
    assert "while decompressing" in told_of(tmp_path / "damaged.log.gz")
    (tmp_path / "cut.blf").write_bytes(whole[:-200])
    said = f"it is cut off at {len(whole) - 200} of {len(whole)} bytes"
    assert said in told_of(tmp_path / "cut.blf")


@pytest.mark.parametrize(
    ("name", "text", "frames", "reason"),
    [
        ("two.log", "(50.0) can0 1#11\n(50.9) can0 1#11\n(2.0) can0 1#22\n", 2, "two logs in one"),
        ("no_time.log", "(0.0) can0 1#11\n(NaN) can0 1#22\n", 1, "its time is nan"),
        (
            "steps.asc",
            "date Mon Nov 3 10:00:00.000 2025\nbase hex  timestamps relative\n"
            " 0.000000 1  100 Rx d 1 11\n 0.010000 1  100 Rx d 1 22\n",
            0,
            "its times are steps; write it with absolute timestamps",
        ),
    ],
)
def test_frames_whose_time_is_not_known_are_not_taken(
    tmp_path: Path, name: str, text: str, frames: int, reason: str
) -> None:
    (tmp_path / name).write_text(text)
    told = told_of(tmp_path / name)
    assert f"is unreadable after {frames} frames" in told
    assert reason in told


def test_a_frame_out_of_order_comes_at_the_time_before_it(tmp_path: Path) -> None:
    frames = messages(4, step_s=0.001)
    frames[2].timestamp = START_S
    write(tmp_path / "drive.log", frames)
    assert [time for time, *_ in frames_of(read_foreign(tmp_path / "drive.log"))] == [
        0, 1_000, 1_000, 3_000,
    ]  # fmt: skip


@pytest.mark.slow
def test_a_log_recorded_again_gives_the_same_frames(tmp_path: Path, open_data: Path) -> None:
    """The real log as MF4, and back."""
    pytest.importorskip("asammdf")
    log = real_log(open_data)
    with can.LogReader(log) as reader:
        frames = [frame for _, frame in zip(range(5_000), reader, strict=False)]
    for frame in frames:
        frame.channel = int(str(frame.channel).removeprefix("can"))
    write(tmp_path / "again.mf4", frames)
    again = frames_of(open_recording(tmp_path / "again.mf4"))
    original = frames_of(open_recording(log))[: len(again)]
    assert len(again) == 5_000
    assert [frame[2:] for frame in again] == [frame[2:] for frame in original]


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("empty.log", b""),
        ("text.log", b"no candump at all\n"),
        ("noise.blf", bytes(range(256)) * 4),
        ("noise.mf4", b"MDF " + bytes(200)),
        ("drive.xyz", b"1"),
        ("drive.arrows.zst", b"1"),
    ],
)
def test_what_is_no_log_is_refused_by_name(tmp_path: Path, name: str, content: bytes) -> None:
    (tmp_path / name).write_bytes(content)
    with pytest.raises(PullwatchError, match=name):
        open_recording(tmp_path / name)


def test_an_absent_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RecordingError, match="no such file"):
        open_recording(tmp_path / "absent.log")


def test_a_real_log_of_a_real_car(open_data: Path) -> None:
    log = real_log(open_data)
    recording = open_recording(log)
    found = frames_of(recording)
    lines = gzip.decompress(log.read_bytes()).splitlines()
    assert len(found) == len(lines) == 49_404
    assert [source.name for source in recording.session.sources] == ["can0", "can1"]
    # the first line: (46408.584930) can0 260#08FFFB0000001884
    assert found[0] == (0, "can0", 0x260, 0, bytes.fromhex("08FFFB0000001884"))


def as_mf4(frames: list[can.Message], file: Path) -> None:
    """ASAM MDF bus logging of classic frames, by asammdf: all at once, which python-can cannot."""
    asammdf = pytest.importorskip("asammdf")
    constants = pytest.importorskip("asammdf.blocks.v4_constants")
    kinds = {"BusChannel": "u1", "ID": "<u4", "IDE": "u1", "DLC": "u1", "DataLength": "u1"}
    kinds |= {"Dir": "u1", "EDL": "u1", "DataBytes": "(8,)u1"}
    records = np.zeros(len(frames), [(f"CAN_DataFrame.{name}", k) for name, k in kinds.items()])
    columns = {
        "BusChannel": [int(str(frame.channel).removeprefix("can")) for frame in frames],
        "ID": [frame.arbitration_id for frame in frames],
        "IDE": [frame.is_extended_id for frame in frames],
        "DLC": [frame.dlc for frame in frames],
        "DataLength": [frame.dlc for frame in frames],
        "DataBytes": [list(frame.data.ljust(8, b"\0")) for frame in frames],
    }
    for name, column in columns.items():
        records[f"CAN_DataFrame.{name}"] = column
    source = asammdf.Source(
        source_type=constants.SOURCE_BUS, bus_type=constants.BUS_TYPE_CAN,
        name="", path="", comment="",
    )  # fmt: skip
    time_s = np.array([frame.timestamp for frame in frames])
    with asammdf.MDF(version="4.10") as mdf:
        mdf.append(
            asammdf.Signal(records, time_s, name="CAN_DataFrame", source=source), acq_source=source
        )
        mdf.save(file)


@pytest.mark.parametrize("suffix", [".log", ".mf4"])
def test_the_real_log_decodes_to_its_reference_values(
    tmp_path: Path, open_data: Path, suffix: str
) -> None:
    """Replayed from candump, and from an MF4 made of it."""
    pytest.importorskip("cantools")
    log = real_log(open_data)
    with can.LogReader(log) as reader:
        frames = list(reader)
    if suffix == ".mf4":
        as_mf4(frames, log := tmp_path / "drive.mf4")
    recording = open_recording(log, {BUS: CAR})
    decoder = Decoder(real_map(open_data), recording.session)
    decoded = [decoder.decode(batch) for batch in recording.batches()]
    assert recording.torn is None
    assert_reference_values(open_data, decoded, zero_s=frames[0].timestamp)
