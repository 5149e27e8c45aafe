"""The demo job: a true gain, a cylinder that knocks once the charge is hot, all of it on wires."""

import json
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from string import Template
from typing import Any

import numpy as np
import pytest
import serial
from patience import PATIENCE_S

from analysis.model.findings import Cause
from analysis.model.setup import LossConvention
from capture.station.station import Station
from decode.yaml_file import parse_yaml
from simulators.demo.files import MAP_FILE, STATION_FILE
from simulators.demo.job import STAGES, scenario
from simulators.scenario import setup_of
from simulators.session import simulate
from simulators.truth import Truth

SPEED = 60.0


@contextmanager
def demo_process() -> Iterator["subprocess.Popen[str]"]:
    command = [sys.executable, "-m", "simulators.demo", "--tcp", "--speed", str(SPEED)]
    child = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    with child:
        yield child
        child.kill()


@dataclass
class Played:
    """What a whole demo said, and the bytes that came from its ports."""

    documents: list[dict[str, Any]]
    received: dict[str, bytes]
    exit_code: int

    def of(self, key: str) -> list[Any]:
        """In the order in which they came."""
        return [document[key] for document in self.documents if key in document]

    @property
    def truth(self) -> Truth:
        (truth,) = self.of("truth")
        return Truth.from_json(truth)


@pytest.fixture(scope="module")
def played() -> Played:
    """The whole demo, played once; its stages follow each other without a pause."""
    with demo_process() as process:
        assert process.stdin is not None
        assert process.stdout is not None
        urls = json.loads(process.stdout.readline())
        documents: queue.Queue[dict[str, Any]] = queue.Queue()
        lines = iter(process.stdout.readline, "")

        def listen() -> None:
            for line in lines:
                documents.put(json.loads(line))

        threading.Thread(target=listen, daemon=True).start()
        links = {name: serial.serial_for_url(url, timeout=0.0) for name, url in urls.items()}
        played = Played([], dict.fromkeys(links, b""), 1)
        assert documents.empty()  # it waits for the channel to be opened
        links["engine"].write(b"C\rS6\rZ1\rL\r")
        answers = dict(zip(STAGES, ("next\n", "end\n"), strict=True))
        deadline = time.monotonic() + PATIENCE_S
        while not played.of("truth") and time.monotonic() < deadline:
            for name, link in links.items():
                played.received[name] += link.read(65536)
            while not documents.empty():
                document = documents.get()
                played.documents.append(document)
                if "stage_done" in document:
                    process.stdin.write(answers[document["stage_done"]])
                    process.stdin.flush()
            time.sleep(0.002)
        for link in links.values():  # it still idles: a port that went would be another's soon
            link.timeout = PATIENCE_S
            assert link.read(1)
        process.stdin.close()
        for link in links.values():
            link.close()
        played.exit_code = process.wait(PATIENCE_S)
    return played


@pytest.fixture
def truth(played: Played) -> Truth:
    return played.truth


@pytest.mark.slow
def test_six_complete_pulls_of_seven_seconds(truth: Truth) -> None:
    assert [pull.stage for pull in truth.pulls] == ["baseline"] * 3 + ["changed"] * 3
    for pull in truth.pulls:
        assert pull.complete
        assert 6.0 < pull.end_s - pull.start_s < 7.5
        assert pull.start_s - pull.full_pedal_s == pytest.approx(2.0, abs=0.02)


@pytest.mark.slow
def test_cylinder_three_knocks_in_the_last_two_pulls_and_nothing_else_is_wrong(
    truth: Truth,
) -> None:
    *clean, fifth, sixth = truth.pulls
    assert all(max(pull.retard_deg) == 0.0 for pull in clean)
    assert all(pull.faults == () for pull in clean)
    for pull in (fifth, sixth):
        assert pull.faults == (Cause.SINGLE_CYLINDER_KNOCK,)
        assert pull.retard_deg[2] > 5.0
        assert max(pull.retard_deg[i] for i in (0, 1, 3)) == 0.0
    assert all(pull.closures == () for pull in truth.pulls)


@pytest.mark.slow
def test_the_true_gain_is_mild(truth: Truth) -> None:
    grid = np.arange(2500.0, 6400.0, 50.0)

    def mean_torque(stage: str) -> np.ndarray[Any, np.dtype[np.float64]]:
        curves = [
            np.interp(grid, pull.engine_speed_rpm, pull.engine_torque_nm)
            for pull in truth.pulls
            if pull.stage == stage
        ]
        return np.asarray(np.mean(curves, axis=0))

    gain = mean_torque("changed") / mean_torque("baseline") - 1.0
    assert 0.08 < gain.mean() < 0.12


def test_roller_torque_can_be_recovered_within_one_percent() -> None:
    """Plain (I alpha + T_brake) omega through a moving parabola of 0.6 s, from noisy samples."""
    session = simulate(scenario("baseline"), 2)
    dyno = setup_of(scenario("baseline")).dyno
    assert dyno.inertia_kg_m2 is not None
    assert dyno.roller_radius_m is not None
    speed, torque = session.samples["roller_speed"], session.samples["roller_torque"]
    time_s = np.arange(speed.time_s[0], speed.time_s[-1], 0.02)
    surface = np.interp(time_s, speed.time_s, speed.value) / 3.6
    brake = np.interp(time_s, torque.time_s, torque.value)
    half = 14
    window = np.arange(-half, half + 1)
    fit = np.linalg.pinv(np.vander(window * 0.02, 3, increasing=True))
    smooth, slope = (np.convolve(surface, row[::-1], "same") for row in fit[:2])
    brake = np.convolve(brake, fit[0][::-1], "same")
    power_w = (dyno.inertia_kg_m2 * slope / dyno.roller_radius_m + brake) * (
        smooth / dyno.roller_radius_m
    )
    rpm = np.interp(time_s, session.trace["time"], session.trace["engine_speed"])
    for pull in session.truth.pulls:
        inside = (time_s > pull.start_s + 0.5) & (time_s < pull.end_s - 0.4)
        grid = np.array(pull.engine_speed_rpm)
        true_nm = np.array(pull.wheel_torque_nm)
        known = (grid > rpm[inside].min()) & (grid < rpm[inside].max())
        found_w = np.interp(grid[known], rpm[inside], power_w[inside])
        found_nm = found_w / (grid[known] * np.pi / 30.0)
        assert np.abs(found_nm / true_nm[known] - 1.0).max() < 0.01


def test_the_station_template_is_a_sound_station_once_filled() -> None:
    filled = Template(STATION_FILE.read_text(encoding="utf-8")).substitute(
        {"engine": "/dev/null", "dyno": "socket://127.0.0.1:1", "lambda": "socket://127.0.0.1:2"},
        map=MAP_FILE,
        store="store",
        speed=8,
        broker="none",
        page_port=0,
    )
    station = parse_yaml(filled, "demo_station.yaml", Station)
    written = setup_of(scenario("baseline"))
    assert station.car == replace(written.car, fuel="100-octane petrol")
    assert station.air == written.air
    assert station.dyno.coast_down == written.dyno.coast_down
    assert station.dyno.loss is LossConvention.COAST_DOWN
    assert station.dyno.inertia_kg_m2 == pytest.approx(written.dyno.inertia_kg_m2, abs=5e-4)


@pytest.mark.slow
def test_the_process_waits_plays_both_stages_and_tells_the_truth(played: Played) -> None:
    progress = [0.0, *played.of("progress")]
    assert played.of("stage_done") == list(STAGES)
    assert progress == sorted(progress)
    assert 0.9 < progress[-1] <= 1.0
    assert len(played.truth.pulls) == 6
    assert played.exit_code == 0
    _check_bytes(played.received, played.truth.duration_s)


def test_the_process_ends_with_whoever_started_it() -> None:
    """Before anybody has opened its ports, too."""
    with demo_process() as process:
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdout.readline()
        process.stdin.close()
        process.stdout.close()
        assert process.wait(PATIENCE_S) is not None


def _check_bytes(received: dict[str, bytes], duration_s: float) -> None:
    """About as many frames and lines as the rates promise, each whole, times ascending."""
    frames = [line for line in received["engine"].split(b"\r") if line[:1] in (b"t", b"T")]
    assert len(frames) == pytest.approx(duration_s * (100 + 3 * 50 + 20 + 100 / 3 + 10), rel=0.02)
    dyno = received["dyno"].decode().splitlines()
    times = [float(line.split(";")[1]) for line in dyno]
    assert len(times) == pytest.approx(duration_s * 50.0, rel=0.02)
    assert times == sorted(times)
    assert times[0] < 0.1
    lambdas = received["lambda"].decode().splitlines()
    assert all(line.count(",") == 2 for line in lambdas)
