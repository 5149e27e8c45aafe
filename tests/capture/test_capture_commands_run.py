"""`pullwatch run` as a service manager starts and ends it."""

import os
import signal
import subprocess
import sys
from contextlib import AbstractAsyncContextManager
from io import StringIO
from pathlib import Path

import pytest
from patience import PATIENCE_S
from rich.console import Console

from capture.bay.bay import Bay
from capture.bay.opening import open_bay
from capture.commands import run
from capture.commands.run import OPEN_TO_ALL, is_open_to_all
from capture.recording.reader import read_recording
from capture.station.station import Station, load_station
from decode.yaml_file import parse_yaml

MAP = """\
pullwatch_map: 1
lines: {dyno: {delimiter: ";"}}
channels:
  engine_speed: {quantity: engine_speed, source: dyno, unit: rpm, line: {field: 0}}
"""
STATION = """\
pullwatch_station: 1
name: bay-7
map: map.yaml
sources: {dyno: {lines: {url: "socket://127.0.0.1:9", baud: 9600}}}
page: {host: 127.0.0.1, port: 0}
job: {name: "Job [12]", stage: as it came}
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGTERM between processes there")
def test_told_to_end_it_closes_the_recording_and_says_goodbye(tmp_path: Path) -> None:
    (tmp_path / "map.yaml").write_text(MAP, "utf-8")
    (tmp_path / "station.yaml").write_text(STATION, "utf-8")
    with subprocess.Popen(
        [sys.executable, "-m", "capture", "run", str(tmp_path / "station.yaml")],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env={**os.environ, "COLUMNS": "250"},
    ) as running:  # fmt: skip
        assert running.stdout is not None
        said = ""
        while "MQTT: pullwatch watch bay-7 --broker 127.0.0.1:" not in said:
            line = running.stdout.readline()
            assert line, running.communicate()[1]
            said += line
        running.send_signal(signal.SIGTERM)
        _, errors = running.communicate(timeout=PATIENCE_S)
    assert running.returncode == 0, errors
    assert "Pulls fall into Job [12]: as it came." in said
    assert OPEN_TO_ALL not in said  # it is on this machine only
    (recording,) = (tmp_path / "store" / "recordings").iterdir()
    assert read_recording(recording).torn is None


async def test_told_to_end_while_it_starts_it_ends_as_ever(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(station: Station) -> AbstractAsyncContextManager[Bay]:
        signal.raise_signal(signal.SIGINT)
        return open_bay(station)

    (tmp_path / "map.yaml").write_text(MAP, "utf-8")
    (tmp_path / "station.yaml").write_text(STATION, "utf-8")
    station = load_station(tmp_path / "station.yaml").model_copy(update={"broker": "none"})
    monkeypatch.setattr(run, "open_bay", interrupted)
    before = [signal.getsignal(ending) for ending in (signal.SIGINT, signal.SIGTERM)]
    try:
        await run._run(station, Console(file=StringIO()))
    finally:
        signal.signal(signal.SIGINT, before[0])
        signal.signal(signal.SIGTERM, before[1])
    (recording,) = (tmp_path / "store" / "recordings").iterdir()
    assert read_recording(recording).torn is None


@pytest.mark.parametrize(
    ("page", "is_open"),
    [
        ("{host: 127.0.0.1, port: 0}", False),
        ('{host: "::1"}', False),
        ("none", False),
        ("{host: 0.0.0.0}", True),
        ("{host: bay-pc.local}", True),
    ],
)
def test_a_page_that_others_reach_is_told(page: str, is_open: bool) -> None:
    text = STATION.replace("{host: 127.0.0.1, port: 0}", page)
    assert is_open_to_all(parse_yaml(text, "station.yaml", Station)) is is_open
