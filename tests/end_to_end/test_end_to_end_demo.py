"""The whole path: from bytes on a pty to findings, live and again from the recording."""

import json
import subprocess
import sys

import jsonschema
import numpy as np
import pytest
from end_to_end_demo import PlayedDemo
from patience import PATIENCE_S

from analysis.archive.store import Store
from analysis.judging.limits_file import default_limits
from analysis.judging.pull_report import PullReport
from analysis.publish.messages.schemas import schema_text
from capture.commands.analyse import analyse_recording
from capture.recording.reader import read_recording
from capture.station.station import load_station
from decode.channel_map import parse_map

pytestmark = [pytest.mark.slow, pytest.mark.alone]


def test_the_demo_finds_what_the_simulator_put_there(played_demo: PlayedDemo) -> None:
    assert played_demo.exit_code == 0, played_demo.output
    assert "DIFFERS" not in played_demo.output


def test_the_alert_reaches_a_subscriber_during_the_pull(played_demo: PlayedDemo) -> None:
    (line,) = [x for x in played_demo.output.splitlines() if x.startswith("Alerts heard over MQTT")]
    print(line)
    assert int(line.split(":")[1].split(";")[0]) > 0


def test_live_and_replay_give_the_same_bits(played_demo: PlayedDemo) -> None:
    live = _stored(played_demo)
    setup = load_station(played_demo.folder / "station.yaml").setup
    recording = read_recording(played_demo.recording)
    channel_map = parse_map(recording.session.map_text)
    replayed, _ = analyse_recording(recording, channel_map, default_limits(), setup)
    assert recording.torn is None
    assert len(live) == len(replayed) == 6
    for was, now in zip(live, replayed, strict=True):
        assert was.pull.bounds == now.pull.bounds
        assert was.findings == now.findings
        assert was.verdict == now.verdict
        assert was.pull.channels == now.pull.channels
        for name, samples in was.pull.samples.items():
            again = now.pull.samples[name]
            assert samples.time_s.tobytes() == again.time_s.tobytes(), name
            assert samples.value.tobytes() == again.value.tobytes(), name
        assert was.power is not None
        assert now.power is not None
        assert np.array_equal(was.power.wheel_power_kw, now.power.wheel_power_kw)


def _stored(played_demo: PlayedDemo) -> list[PullReport]:
    with Store(played_demo.folder / "store") as store:
        return [store.load_report(pull.id) for pull in store.pulls()]


def test_analyse_prints_a_document_of_the_published_schema(played_demo: PlayedDemo) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "capture", "analyse", str(played_demo.recording),
         "--map", str(played_demo.folder / "map.yaml"), "--json"],
        capture_output=True, text=True, timeout=PATIENCE_S, check=True,
    )  # fmt: skip
    document = json.loads(done.stdout)
    jsonschema.validate(document, json.loads(schema_text("analysis")))
    assert len(document["pulls"]) == 6
    assert [pull["bounds"]["complete"] for pull in document["pulls"]] == [True] * 6
