from pathlib import Path

import pytest
from patience import wait_until
from transports import Plug, running

from capture.sources.base.checksums import checksum
from capture.sources.base.clock import Clock
from capture.sources.base.settings import FrameSettings
from capture.sources.make import make_sources
from capture.sources.serial.binary_frames import SerialFrames
from capture.station.station import load_station
from decode.errors import InputFileError
from decode.records import SourceKind

STATION = """\
pullwatch_station: 1
name: bay-1
map: map.yaml
sources:
  brake:
    frames:
      url: {url}
      sync: "AA 55"
      length: {{at: 2, bytes: 1, adds: 5}}
      checksum: {{kind: CRC-16/MODBUS, covers_from: 2, byte_order: big_endian}}
      send: ["01 02"]
"""


def frame(content: bytes) -> bytes:
    covered = bytes([len(content)]) + content
    return b"\xaa\x55" + covered + checksum("CRC-16/MODBUS").of(covered).to_bytes(2, "big")


def test_frames_of_a_station_over_a_port(plug: Plug, tmp_path: Path) -> None:
    (tmp_path / "station.yaml").write_text(STATION.format(url=plug.url))
    (source,) = make_sources(load_station(tmp_path / "station.yaml").sources, Clock())
    assert isinstance(source, SerialFrames)
    assert (source.info.name, source.info.kind) == ("brake", SourceKind.FRAMES)
    with running(source) as at_work:
        wait_until(lambda: plug.read() == b"\x01\x02")
        plug.write(b"\x00\xaa" + frame(b"one") + frame(b"two")[:-1] + b"?" + frame(b"three"))
        wait_until(lambda: len(at_work.payloads) == 2)
        plug.write(frame(b"four"))
        wait_until(lambda: len(at_work.payloads) == 3)
        plug.unplug()
        wait_until(lambda: at_work.error is not None)
    assert at_work.payloads == [frame(b"one"), frame(b"three"), frame(b"four")]
    assert sum(batch.dropped_before for batch in at_work.batches) == 1


def test_bytes_without_a_frame_are_told_from_silence(plug: Plug) -> None:
    settings = FrameSettings(url=plug.url, sync=b"\xaa\x55", length=8, send=(b"go",))
    with running(SerialFrames("brake", settings, Clock())) as source:
        wait_until(lambda: plug.read() == b"go")
        plug.write(b"\x01" * 100)
        plug.wait_until_read()
    assert "100 bytes came and no whole frame among them" in str(source.error)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ('sync: "AA 5"', "hex digits in quotes"),
        ("sync: 55", "hex digits in quotes"),
        ('sync: ""', "at least 1"),
        ("checksum: {kind: CRC-16/MODBUSS}", "near: CRC-16/MODBUS"),
        ("length: 1", "greater than or equal to 2"),
    ],
)
def test_mistakes_in_a_station_are_told(tmp_path: Path, wrong: str, said: str) -> None:
    key = wrong.split(":")[0]
    lines = [line for line in STATION.splitlines() if not line.strip().startswith(f"{key}:")]
    text = "\n".join(lines).format(url="/dev/x")
    (tmp_path / "station.yaml").write_text(f"{text}\n      {wrong}\n")
    with pytest.raises(InputFileError) as told:
        load_station(tmp_path / "station.yaml")
    assert said in str(told.value)


def test_a_frame_must_end_somehow() -> None:
    with pytest.raises(ValueError, match="a length or an end"):
        FrameSettings.model_validate({"url": "x", "sync": "7E"})


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ({"length": 2}, "no room for content"),
        ({"length": 4, "checksum": {"kind": "CRC-16/MODBUS"}}, "no room for content"),
        ({"end": "0D", "longest": 2}, "no room for content"),
        ({"length": 100, "longest": 50}, "more than"),
        ({"length": {"at": 1}}, 'lies in "sync"'),
        ({"length": 8, "checksum": {"kind": "SUM-8", "covers_from": 7}}, "lies behind"),
    ],
)
def test_a_form_that_no_frame_fits_is_refused(form: dict[str, object], said: str) -> None:
    """It would leave the source silent for ever, without a word why."""
    with pytest.raises(ValueError, match=said):
        FrameSettings.model_validate({"url": "x", "sync": "AA 55"} | form)


@pytest.mark.parametrize(
    "form",
    [
        {"length": 3},
        {"length": 5, "checksum": {"kind": "CRC-16/MODBUS", "covers_from": 2}},
        {"length": {"at": 2}, "checksum": {"kind": "CRC-16/MODBUS", "covers_from": 2}},
        {"end": "0D", "checksum": {"kind": "SUM-8"}},
    ],
)
def test_the_smallest_forms_are_accepted(form: dict[str, object]) -> None:
    FrameSettings.model_validate({"url": "x", "sync": "AA 55"} | form)
