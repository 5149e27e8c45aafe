"""`pullwatch compare`, `sign` and `verify` over a stored job."""

import json
from pathlib import Path

import demo_job
import pytest
from typer.testing import CliRunner, Result

from analysis.archive.jobs import StoreError
from analysis.archive.store import Store
from capture.cli import app

MAP = """pullwatch_map: 1
channels:
  engine_speed: {quantity: engine_speed, source: table, unit: rpm, column: rpm}
"""
STATION = """pullwatch_station: 1
name: bay-1
map: map.yaml
store: store
sources:
  engine: {can: {interface: virtual, channel: none}}
dyno: {inertia_kg_m2: 80.0, roller_radius_m: 0.3}
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A station with a store that holds one job of two stages."""
    made = tmp_path_factory.mktemp("station")
    (made / "map.yaml").write_text(MAP, "utf-8")
    (made / "station.yaml").write_text(STATION, "utf-8")
    demo_job.fill(made / "store").close()
    return made


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


def test_a_stored_job_is_compared_from_its_folder(folder: Path) -> None:
    said = run("compare", folder / "store").stdout
    assert "larger cooler, more boost against baseline" in said
    assert "Peak wheel power changed by +" in said


def test_with_a_station_file_power_is_computed_by_it(folder: Path) -> None:
    def peak_kw(where: Path) -> float:
        (comparison,) = json.loads(run("compare", where, "1", "--json").stdout)
        assert comparison["names"] == ["baseline", "larger cooler, more boost"]
        peak: float = max(comparison["overlays"]["wheel_power"]["mean_baseline"])
        return peak

    # The job's own roller has 40 kg m2 and a brake; twice the inertia is more power.
    assert peak_kw(folder / "station.yaml") > 1.02 * peak_kw(folder / "store")


def test_a_job_of_one_stage_says_so(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        job = store.open_job("Alone")
        stage = store.open_stage(job.id, "baseline")
        store.save_pull(stage.id, "session-1", demo_job.report(1, 0))
    assert "fewer than two stages" in run("compare", tmp_path).stdout


def test_brackets_in_a_name_are_words_and_no_style(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        store.open_job("golf [stage 2] [/b]")
    result = run("jobs", tmp_path)
    assert result.exit_code == 0
    assert "golf [stage 2] [/b]" in result.stdout


def test_looking_for_a_store_makes_none(tmp_path: Path) -> None:
    result = run("compare", tmp_path)
    assert isinstance(result.exception, StoreError)
    assert "is no store" in str(result.exception)
    assert list(tmp_path.iterdir()) == []


def test_a_job_is_signed_and_a_change_of_its_limits_is_found(folder: Path) -> None:
    station = folder / "station.yaml"
    assert run("verify", station).exit_code == 1  # not signed
    signed = run("sign", station, "--name", "A. Calibrator", "--remarks", "as agreed")
    assert signed.exit_code == 0, signed.stdout
    assert "A. Calibrator signed Larger charge cooler" in signed.stdout
    good = run("verify", station, "1")
    assert good.exit_code == 0
    assert "unchanged since" in good.stdout
    (folder / "limits.yaml").write_text(
        "pullwatch_limits: 1\nlimits: {turbo.filling_high: 1.2}\n", "utf-8"
    )
    station.write_text(STATION + "limits: limits.yaml\n", "utf-8")
    changed = run("verify", station, "1")
    station.write_text(STATION, "utf-8")
    assert changed.exit_code == 1
    assert "limit turbo.filling_high: was 1.07" in changed.stdout
    assert "limits file limits.yaml" in changed.stdout


def test_a_job_that_is_not_there_is_told(folder: Path) -> None:
    result = run("sign", folder / "station.yaml", "7", "--name", "A")
    assert isinstance(result.exception, StoreError)
    assert "no job 7" in str(result.exception)
