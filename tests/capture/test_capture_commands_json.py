"""`--json` of every command is one document a program can read, or one a line while it runs."""

import asyncio
import json
import sys
from asyncio.subprocess import PIPE
from importlib.resources import files
from pathlib import Path
from typing import Any

import aiomqtt
import demo_job
import pytest
from patience import PATIENCE_S
from pydantic import TypeAdapter
from typer.testing import CliRunner

from analysis.archive.jobs import StoredPull
from analysis.archive.store import Store
from analysis.judging.limits_file import ALL_LIMITS
from analysis.publish.mqtt.broker import embedded_broker
from capture.cli import app

STARTER_MAP = str(files("decode.maps").joinpath("starter.yaml"))


@pytest.fixture
def store(tmp_path: Path) -> Path:
    with Store(tmp_path) as opened:
        job = opened.open_job("job 1", car="a car")
        opened.open_stage(job.id, "baseline")
    return tmp_path


def said(*arguments: str) -> list[dict[str, Any]]:
    done = CliRunner().invoke(app, [*arguments, "--json"])
    assert done.exit_code == 0, done.output
    document: list[dict[str, Any]] = json.loads(done.output)
    return document


def document(*arguments: str | Path) -> dict[str, Any]:
    done = CliRunner().invoke(app, [*map(str, arguments), "--json"])
    assert done.exit_code == 0, done.output
    said: dict[str, Any] = json.loads(done.stdout)
    return said


def test_init_names_its_files_and_what_it_found(tmp_path: Path) -> None:
    found = document("init", tmp_path / "bay")
    assert Path(found["station"]).is_file()
    assert Path(found["map"]).is_file()
    assert {"serial_ports", "can_interfaces"} <= set(found)


def test_report_signature_and_export_name_what_they_made(tmp_path: Path) -> None:
    demo_job.fill(tmp_path / "store").close()
    report = tmp_path / "report.html"
    assert document("report", tmp_path / "store", "-o", report) == {"job": 1, "report": str(report)}
    assert report.is_file()
    document("init", tmp_path)
    signed = document("sign", tmp_path / "station.yaml", "--name", "A. N.")
    assert (signed["job"], signed["name"], len(signed["content_sha256"])) == (1, "A. N.", 64)


def test_a_recording_that_no_job_owns_is_found(tmp_path: Path) -> None:
    demo_job.fill(tmp_path).close()
    folder = tmp_path / "recordings"
    folder.mkdir()
    for name in ("session-1.pullwatch", "session-2.pullwatch"):
        (folder / name).write_bytes(b"1234")
    found = {each["session_id"]: each for each in said("recordings", str(tmp_path))}
    assert found["session-1"]["pulls"] == {"1": 6}
    assert (found["session-2"]["pulls"], found["session-2"]["size_bytes"]) == ({}, 4)
    shown = CliRunner().invoke(app, ["recordings", str(tmp_path)]).output
    assert "of no job" in shown
    assert "6 in job 1" in shown


def test_a_table_becomes_map_preview_and_export(tmp_path: Path) -> None:
    table = tmp_path / "log.csv"
    rows = [f"{0.1 * n:.1f},{1000 + 10 * n},90" for n in range(100)]
    table.write_text("Time (s),Engine Speed (rpm),Oil Temp (degC)\n" + "\n".join(rows))
    mapped = tmp_path / "map.yaml"
    proposed = document("map", "propose", table, "-o", mapped)
    assert Path(proposed["map"]) == mapped
    assert {p["quantity"] for p in proposed["proposals"]} == {"engine_speed", "oil_temperature"}
    lines = {c["quantity"]: c["name"] for c in said("map", "check", str(mapped))}
    shown = document("map", "preview", table, "--map", mapped)
    values = {line["channel"]: line["value"] for line in shown["channels"]}
    assert values[lines["engine_speed"]] == 1990.0
    assert all(line["age_s"] == 0.0 for line in shown["channels"])  # a recording's end is its now
    made = document("export", table, tmp_path / "out.csv", "--map", mapped)
    assert set(made["channels"]) == set(values)
    asked = CliRunner().invoke(app, ["map", "propose", str(table), "--ask", "--json"])
    assert asked.exit_code == 2


async def test_watch_prints_a_document_a_line() -> None:
    """It runs until somebody ends it: a process of its own."""
    said = {"version": 1, "state": "online"}
    async with embedded_broker() as broker:
        address = f"{broker.host}:{broker.port}"
        arguments = ("-m", "capture", "watch", "bay", "--broker", address, "--json")
        watching = await asyncio.create_subprocess_exec(sys.executable, *arguments, stdout=PIPE)
        async with aiomqtt.Client(broker.host, broker.port) as client:
            speaking = asyncio.create_task(say_again(client, json.dumps(said)))
            assert watching.stdout is not None
            try:
                line = await asyncio.wait_for(watching.stdout.readline(), PATIENCE_S)
            finally:
                watching.terminate()
                speaking.cancel()
                await asyncio.wait([speaking])
                await watching.communicate()
    assert json.loads(line) == {"topic": "status", "message": said}


async def say_again(client: aiomqtt.Client, said: str) -> None:
    while True:
        await client.publish("pullwatch/bay/status", said)
        await asyncio.sleep(0.1)


def test_a_broker_address_that_is_none_is_told() -> None:
    done = CliRunner().invoke(app, ["watch", "bay", "--broker", "127.0.0.1:mqtt"])
    assert done.exit_code == 2
    assert "HOST:PORT" in done.output


def test_limits() -> None:
    found = document("limits")["limits"]
    assert [each["name"] for each in found] == [limit.name for limit in ALL_LIMITS]
    assert all(each["origin"] and each["meaning"] for each in found)


def test_the_channels_of_a_map() -> None:
    names = [each["name"] for each in said("map", "check", STARTER_MAP)]
    assert "engine_speed" in names
    assert "boost" in names


def test_jobs_and_pulls_of_a_store(store: Path) -> None:
    (judged,) = said("jobs", str(store))
    assert (judged["job"]["name"], judged["job"]["car"]) == ("job 1", "a car")
    assert judged["verdict"] == "note"  # nothing was driven: nothing can be said
    assert said("pulls", str(store)) == []
    assert said("compare", str(store)) == []


def test_a_pull_is_printed_as_the_page_gives_it(tmp_path: Path) -> None:
    with demo_job.fill(tmp_path) as store:
        pulls = store.pulls()
    form = TypeAdapter(list[StoredPull])
    printed = said("pulls", str(tmp_path))
    assert printed == json.loads(form.dump_json(pulls))
    assert all(isinstance(pull["power"]["wheel_power_kw"], list) for pull in printed)
