"""kill -9 in the middle of a pull: what the recording still holds, and what it still says."""

import json
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from string import Template

import pytest
from typer.testing import CliRunner

from capture.cli import app
from capture.recording.reader import read_recording
from simulators.demo.job import STAGE_SECONDS

pytestmark = pytest.mark.slow
SPEED = 4.0  # times real time: the first pull runs after five seconds
IN_THE_SWEEP_S = 19.5  # idle, cruise, hold on the brake, and half of the sweep (demo/job.py)
MOST_LOST_S = 0.25  # on a free machine
BUSY_S = 0.03
JOB = Path(__file__).parents[2] / "simulators" / "demo"


@dataclass(frozen=True)
class Killed:
    """A recording whose writer was killed at `unix_ns` of the wall clock.

    slowdown: how many times as long as alone a busy program took at that moment.
    """

    recording: Path
    map_file: Path
    unix_ns: int
    slowdown: float


@contextmanager
def _process(*command: str, folder: Path) -> Iterator[subprocess.Popen[str]]:
    with (folder / f"{command[1]}.err").open("w") as errors:
        process = subprocess.Popen(
            [sys.executable, *command],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=errors, text=True,
        )  # fmt: skip
        with process:
            try:
                yield process
            finally:
                process.kill()


@pytest.fixture(scope="module")
def killed(tmp_path_factory: pytest.TempPathFactory) -> Killed:
    """The daemon beside the simulated car, killed while its first pull runs."""
    folder = tmp_path_factory.mktemp("killed")
    with _process("-m", "simulators.demo", "--speed", str(SPEED), folder=folder) as car:
        assert car.stdout is not None
        station = _station(folder, json.loads(car.stdout.readline()))
        with _process("-m", "capture", "run", str(station), folder=folder) as daemon:
            total_s = sum(STAGE_SECONDS.values())
            while json.loads(car.stdout.readline()).get("progress", 0.0) * total_s < IN_THE_SWEEP_S:
                pass
            slow = slowdown()
            killed_unix_ns = time.time_ns()
            daemon.send_signal(signal.SIGKILL)
            daemon.wait()
    (recording,) = (folder / "store" / "recordings").iterdir()
    return Killed(recording, folder / "map.yaml", killed_unix_ns, slow)


def slowdown() -> float:
    """Elapsed by processor time of a busy loop: 1 where the machine is free."""
    began_s, used_s = time.perf_counter(), time.process_time()
    while time.process_time() - used_s < BUSY_S:
        pass
    return max(1.0, (time.perf_counter() - began_s) / BUSY_S)


def _station(folder: Path, ports: dict[str, str]) -> Path:
    (folder / "map.yaml").write_text((JOB / "demo_map.yaml").read_text("utf-8"), "utf-8")
    template = Template((JOB / "demo_station.yaml").read_text("utf-8"))
    text = template.substitute(
        ports, map="map.yaml", store="store", speed=f"{SPEED:g}", broker="none", page_port=0
    )
    station = folder / "station.yaml"
    station.write_text(text, "utf-8")
    return station


def test_the_recording_reads_back_to_a_quarter_second_before_the_kill(killed: Killed) -> None:
    recording = read_recording(killed.recording)
    newest_ns = {batch.source: int(batch.arrived_ns[-1]) for batch in recording.batches()}
    assert recording.torn is not None
    session = recording.session
    for source in ("engine", "dyno", "lambda"):
        # the session's clock runs SPEED times as fast as the wall's
        age_ns = (newest_ns[source] - session.started_ns) / SPEED
        lost_s = (killed.unix_ns - session.started_unix_ns - age_ns) / 1e9
        assert 0.0 <= lost_s < MOST_LOST_S * killed.slowdown, source


def test_analyse_tells_the_pull_that_was_cut_off(killed: Killed) -> None:
    done = CliRunner().invoke(
        app, ["analyse", str(killed.recording), "--map", str(killed.map_file), "--json"]
    )
    assert done.exit_code == 0, done.output
    (pull,) = json.loads(done.stdout)["pulls"]
    bounds = pull["bounds"]
    assert (bounds["complete"], bounds["end_reason"]) == (False, "session_end")
    assert bounds["end_rpm"] > bounds["start_rpm"] + 1000.0
