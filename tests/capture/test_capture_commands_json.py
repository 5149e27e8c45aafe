"""`--json` of every command that shows a table is one document a program can read."""

import json
from importlib.resources import files
from pathlib import Path

import pytest
from typer.testing import CliRunner

from analysis.limits_file import ALL_LIMITS
from analysis.store import Store
from capture.cli import app

STARTER_MAP = str(files("decode.maps").joinpath("starter.yaml"))


@pytest.fixture
def store(tmp_path: Path) -> Path:
    with Store(tmp_path) as opened:
        job = opened.open_job("job 1", car="a car")
        opened.open_stage(job.id, "baseline")
    return tmp_path


def said(*arguments: str) -> list[dict[str, object]]:
    done = CliRunner().invoke(app, [*arguments, "--json"])
    assert done.exit_code == 0, done.output
    document: list[dict[str, object]] = json.loads(done.output)
    return document


def test_limits() -> None:
    found = said("limits")
    assert [each["name"] for each in found] == [limit.name for limit in ALL_LIMITS]
    assert all(each["origin"] and each["meaning"] for each in found)


def test_the_channels_of_a_map() -> None:
    names = [each["name"] for each in said("map", "check", STARTER_MAP)]
    assert "engine_speed" in names
    assert "boost" in names


def test_jobs_and_pulls_of_a_store(store: Path) -> None:
    (job,) = said("jobs", str(store))
    assert (job["name"], job["car"]) == ("job 1", "a car")
    assert said("pulls", str(store)) == []
    assert said("compare", str(store)) == []
