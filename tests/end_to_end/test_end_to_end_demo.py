"""The whole path: from bytes on a pty to findings, live and again from the recording."""

import json
from dataclasses import dataclass
from typing import Any

import jsonschema
import numpy as np
import pytest
from end_to_end_demo import PlayedDemo
from typer.testing import CliRunner

from analysis.archive.store import Store
from analysis.judging.pull_report import PullReport
from analysis.publish.messages.schemas import schema_text
from capture.cli import app
from capture.commands import analyse
from capture.recording.reader import read_recording

pytestmark = pytest.mark.slow


@dataclass(frozen=True)
class Analysed:
    """What `pullwatch analyse --json` made of the demo's recording, and what it printed."""

    reports: list[PullReport]
    document: Any


@pytest.fixture(scope="module")
def analysed(played_demo: PlayedDemo) -> Analysed:
    """The recording replayed once, as a user has it replayed."""
    kept: list[PullReport] = []
    analyse_recording = analyse.analyse_recording

    def keep(*given: Any) -> Any:
        found = analyse_recording(*given)
        kept.extend(found.reports)
        return found

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(analyse, "analyse_recording", keep)
        done = CliRunner().invoke(
            app,
            ["analyse", str(played_demo.recording), "--json",
             "--station", str(played_demo.folder / "station.yaml")],
        )  # fmt: skip
    assert done.exit_code == 0, done.output
    return Analysed(kept, json.loads(done.stdout))


@pytest.mark.alone  # the demo is played when it is first asked for
def test_the_demo_finds_what_the_simulator_put_there(played_demo: PlayedDemo) -> None:
    assert played_demo.exit_code == 0, played_demo.output
    assert "DIFFERS" not in played_demo.output


def test_the_alert_reaches_a_subscriber_during_the_pull(played_demo: PlayedDemo) -> None:
    (line,) = [x for x in played_demo.output.splitlines() if x.startswith("Alerts heard over MQTT")]
    print(line)
    assert int(line.split(":")[1].split(";")[0]) > 0


def test_live_and_replay_give_the_same_bits(played_demo: PlayedDemo, analysed: Analysed) -> None:
    live, replayed = _stored(played_demo), analysed.reports
    assert read_recording(played_demo.recording).torn is None
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


def test_analyse_prints_a_document_of_the_published_schema(analysed: Analysed) -> None:
    document = analysed.document
    jsonschema.validate(document, json.loads(schema_text("analysis")))
    assert len(document["pulls"]) == 6
    assert [pull["bounds"]["complete"] for pull in document["pulls"]] == [True] * 6
