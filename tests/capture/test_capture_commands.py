"""init, map check, limits, analyse and run, as a user calls them: exit code, output, errors."""

import asyncio
import json
import signal
import socket
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import jsonschema
import pytest
from small_bay import MAP, line

from analysis.judging.limits_file import ALL_LIMITS
from analysis.publish.messages.schemas import schema_text
from capture.cli import main
from capture.recording.recorder import Recorder
from capture.station.station import load_station
from decode.channel_map import load_map
from decode.records import RecordBatch, SessionInfo, SourceInfo, SourceKind

TABLE_MAP = """\
pullwatch_map: 1
channels:
  engine_speed: {quantity: engine_speed, source: table, unit: rpm, column: Engine speed}
  pedal: {quantity: pedal_position, source: table, unit: "%", column: Pedal}
  knock: {quantity: knock_retard, cylinder: 1, source: table, unit: deg, column: Knock 1}
"""
SECONDS, RATE_HZ = 11.0, 50.0


@dataclass(frozen=True)
class Done:
    code: int
    out: str
    err: str


Pullwatch = Callable[..., Done]


@pytest.fixture
def pullwatch(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Iterator[Pullwatch]:
    """The command line in this process. Whatever is no exit of its own fails the test."""
    monkeypatch.setenv("COLUMNS", "250")
    on_interrupt = signal.getsignal(signal.SIGINT)

    def call(*arguments: object) -> Done:
        monkeypatch.setattr("sys.argv", ["pullwatch", *map(str, arguments)])
        with pytest.raises(SystemExit) as ended:
            main()
        code = ended.value.code
        assert isinstance(code, int)
        return Done(code, *capsys.readouterr())

    yield call
    signal.signal(signal.SIGINT, on_interrupt)


@pytest.fixture
def table(tmp_path: Path) -> Path:
    """One pull, as another logger would have written it."""
    rows = ["Time;Engine speed;Pedal;Knock 1", "s;rpm;%;deg"]
    rows += [line(tick / RATE_HZ).decode().strip() for tick in range(round(SECONDS * RATE_HZ))]
    file = tmp_path / "log.csv"
    file.write_text("\n".join(rows) + "\n", "utf-8")
    (tmp_path / "table_map.yaml").write_text(TABLE_MAP, "utf-8")
    return file


def record(file: Path) -> int:
    """The same pull as a recording of ours; returns its size in the middle of the sweep."""
    session = SessionInfo("s", "bay", 0, 0, (SourceInfo("ecu", SourceKind.LINES),), MAP)
    times_s = [tick / RATE_HZ for tick in range(round(SECONDS * RATE_HZ))]
    records = [RecordBatch.of("ecu", [round(t * 1e9)], [line(t).strip()]) for t in times_s]
    middle = round(6.0 * RATE_HZ)

    async def write() -> int:
        async with Recorder(file, session) as recorder:
            for batch in records[:middle]:
                recorder.put(batch)
            while recorder.written < middle:  # noqa: ASYNC110 - a thread writes
                await asyncio.sleep(0.01)
            size = file.stat().st_size  # noqa: ASYNC240 - a moment
            for batch in records[middle:]:
                recorder.put(batch)
        return size

    return asyncio.run(write())


def test_init_writes_files_that_load_and_never_overwrites(
    tmp_path: Path, pullwatch: Pullwatch
) -> None:
    done = pullwatch("init", tmp_path / "bay")
    assert (done.code, done.err) == (0, "")
    station = load_station(tmp_path / "bay" / "station.yaml")
    assert load_map(station.map).channels
    assert f"pullwatch run {tmp_path / 'bay' / 'station.yaml'}" in done.out
    before = station.map.read_text("utf-8")
    again = pullwatch("init", tmp_path / "bay")
    assert again.code == 1
    assert "is there already and is left as it is" in again.err
    assert station.map.read_text("utf-8") == before


@pytest.mark.parametrize("command", ["init", "demo --folder", "map propose log.csv -o"])
def test_where_nothing_can_be_written_is_told(
    command: str, table: Path, monkeypatch: pytest.MonkeyPatch, pullwatch: Pullwatch
) -> None:
    monkeypatch.chdir(table.parent)
    done = pullwatch(*command.split(), table / "place")  # the table is no folder
    assert done.code == 1
    assert str(table) in done.err
    assert "Not a directory" in done.err or "File exists" in done.err


def test_limits_lists_every_limit_whole_at_80_columns(
    pullwatch: Pullwatch, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    done = pullwatch("limits")
    assert done.code == 0
    lines = done.out.splitlines()
    assert max(map(len, lines)) <= 80
    rows = {line.split()[0]: line.split()[1:] for line in lines if line.startswith("  ")}
    for limit in ALL_LIMITS:
        value, *unit = rows[limit.name]
        shown = "" if limit.unit == "1" else limit.unit
        assert (float(value.replace(",", "")), " ".join(unit)) == (limit.value, shown)
    assert "common practice, no published source" in done.out
    assert "if nobody acts: " in done.out


def test_limits_as_json_carry_every_limit_and_every_alert(pullwatch: Pullwatch) -> None:
    printed = json.loads(pullwatch("limits", "--json").out)
    assert [limit["name"] for limit in printed["limits"]] == [limit.name for limit in ALL_LIMITS]
    assert {"value", "unit", "origin", "meaning", "engines"} < set(printed["limits"][0])
    names = {limit["name"] for limit in printed["limits"]}
    for alert in printed["alerts"]:
        assert {alert["look_closer"], alert["stop"]} <= names
        assert alert["consequence"]
        assert alert["action"]


def test_map_check_lists_the_channels_of_a_good_map(tmp_path: Path, pullwatch: Pullwatch) -> None:
    file = tmp_path / "map.yaml"
    file.write_text(MAP, "utf-8")
    done = pullwatch("map", "check", file)
    assert done.code == 0
    assert "3 channels, no mistake found" in done.out
    assert "knock_retard, cylinder 1" in done.out


def test_map_check_tells_five_mistakes_with_their_lines(
    tmp_path: Path, pullwatch: Pullwatch
) -> None:
    where = "source: engine, can: {identifier: 0x10, start_bit: 0, bits: 16}"
    file = tmp_path / "map.yaml"
    file.write_text(
        "pullwatch_map: 1\nchannels:\n"
        f"  a: {{quantity: engine_sped, unit: rpm, {where}}}\n"
        f"  b: {{quantity: engine_speed, unit: furlong, {where}}}\n"
        f"  c: {{unit: V, {where.replace('0x10', '0x900')}}}\n"
        f"  d: {{unit: V, {where.replace('bits: 16', 'bits: 65')}}}\n"
        "  e: {unit: V, formula: a + __import__}\n",
        "utf-8",
    )
    done = pullwatch("map", "check", file)
    assert done.code == 2
    places = [told.removeprefix(f"{file}:").split(":")[0] for told in done.err.splitlines()]
    assert sorted(set(places)) == ["3", "4", "5", "6", "7"]


def test_a_table_is_analysed_end_to_end(table: Path, pullwatch: Pullwatch) -> None:
    done = pullwatch("analyse", table, "--map", table.parent / "table_map.yaml", "--json")
    assert done.code == 0
    document = json.loads(done.out)
    jsonschema.validate(document, json.loads(schema_text("analysis")))
    (pull,) = document["pulls"]
    bounds = pull["bounds"]
    assert bounds["complete"] is True
    assert bounds["start_s"] == pytest.approx(3.0, abs=0.1)
    assert bounds["end_s"] == pytest.approx(8.0, abs=0.1)
    assert bounds["end_rpm"] == pytest.approx(6000.0, abs=50.0)
    (knock,) = (f for f in pull["findings"] if f["check"] == "ignition")
    assert knock["severity"] == "stop"
    assert "up to 7.0°" in knock["statements"][0]["text"]


def test_analyse_tells_what_would_have_sounded_live(table: Path, pullwatch: Pullwatch) -> None:
    of_map = ("--map", table.parent / "table_map.yaml")
    alerts = json.loads(pullwatch("analyse", table, *of_map, "--json").out)["alerts"]
    assert {alert["key"] for alert in alerts} == {"blind:map", "knock_retard:knock"}
    knock = next(alert for alert in alerts if alert["key"] == "knock_retard:knock")
    assert (knock["pull"], knock["severity"]) == (1, "stop")
    assert 3.0 < knock["at_s"] < 8.0
    assert "knock retard of cylinder 1 is" in knock["statement"]["text"]
    words = pullwatch("analyse", table, *of_map).out
    assert "Live alerts that would have sounded" in words


def test_table_and_recording_of_the_same_pull_say_the_same(
    table: Path, tmp_path: Path, pullwatch: Pullwatch
) -> None:
    recording = tmp_path / "session.arrows.zst"
    record(recording)
    from_table = pullwatch("analyse", table, "--map", table.parent / "table_map.yaml", "--json")
    from_recording = pullwatch("analyse", recording, "--json")
    pulls = [json.loads(done.out)["pulls"][0] for done in (from_table, from_recording)]
    assert pulls[0]["bounds"]["start_rpm"] == pytest.approx(
        pulls[1]["bounds"]["start_rpm"], abs=1e-6
    )
    assert pulls[0]["verdict"] == pulls[1]["verdict"]
    statements = [{f["statements"][0]["text"] for f in pull["findings"]} for pull in pulls]
    assert statements[0] == statements[1]


def test_words_for_people(table: Path, pullwatch: Pullwatch) -> None:
    done = pullwatch("analyse", table, "--map", table.parent / "table_map.yaml")
    assert done.code == 0
    assert "Pull 1" in done.out
    assert "knock" in done.out.lower()


def test_a_limit_of_the_users_changes_the_verdict(table: Path, pullwatch: Pullwatch) -> None:
    map_file = table.parent / "table_map.yaml"
    limits = table.parent / "limits.yaml"
    names = [limit.name for limit in ALL_LIMITS if limit.name.startswith("ignition.")]
    changed = "".join(f"  {name}: 100\n" for name in names)
    limits.write_text(f"pullwatch_limits: 1\nlimits:\n{changed}", "utf-8")
    by_default = json.loads(pullwatch("analyse", table, "--map", map_file, "--json").out)
    by_mine = json.loads(
        pullwatch("analyse", table, "--map", map_file, "--limits", limits, "--json").out
    )
    retard = [
        {f["severity"] for f in document["pulls"][0]["findings"] if f["check"] == "ignition"}
        for document in (by_default, by_mine)
    ]
    assert retard[0] != retard[1]
    origins = {f["limit_origin"] for f in by_mine["pulls"][0]["findings"]}
    assert "limits file limits.yaml" in origins


def test_a_torn_recording_is_read_up_to_the_tear(tmp_path: Path, pullwatch: Pullwatch) -> None:
    torn = tmp_path / "torn.arrows.zst"
    middle = record(torn)
    torn.write_bytes(torn.read_bytes()[: middle + 100])
    done = pullwatch("analyse", torn, "--json")
    assert done.code == 0
    (pull,) = json.loads(done.out)["pulls"]
    bounds = pull["bounds"]
    assert (bounds["complete"], bounds["end_reason"]) == (False, "session_end")
    assert "The recording was never closed" in done.err
    exported = pullwatch("export", torn, tmp_path / "whole.csv")
    assert exported.code == 0
    assert "The recording was never closed" in exported.err
    assert (tmp_path / "whole.csv").read_text().count("\n") > 100


@pytest.mark.parametrize("arguments", [("run",), ("analyse",), ("analyse", "--json")])
def test_a_file_that_is_not_there_is_told(
    tmp_path: Path, pullwatch: Pullwatch, arguments: tuple[str, ...]
) -> None:
    done = pullwatch(arguments[0], tmp_path / "none.arrows.zst", *arguments[1:])
    assert done.code in (1, 2)
    assert "none.arrows.zst" in done.err
    assert "Traceback" not in done.err
    assert done.out == ""


def test_a_table_without_a_map_asks_for_one(table: Path, pullwatch: Pullwatch) -> None:
    done = pullwatch("analyse", table)
    assert done.code == 1
    assert "--map" in done.err


@pytest.mark.parametrize("command", ["analyse", "export", "map preview"])
def test_how_a_table_was_read_is_told_and_columns_that_are_not_there(
    command: str, table: Path, tmp_path: Path, pullwatch: Pullwatch
) -> None:
    file = tmp_path / "other_map.yaml"
    file.write_text(TABLE_MAP.replace("Knock 1", "Knock1"), "utf-8")
    target = [tmp_path / "out.csv"] if command == "export" else []
    done = pullwatch(*command.split(), table, *target, "--map", file)
    assert done.code == 0
    assert "divided by semicolon, decimal point, header in line 1" in done.err
    assert 'time from "Time": s, as its column says' in done.err
    assert 'knock reads column "Knock1", which is not there; did you mean "Knock 1"?' in done.err


def test_export_leaves_what_it_exports_as_it_is(table: Path, pullwatch: Pullwatch) -> None:
    before = table.read_bytes()
    done = pullwatch("export", table, table, "--map", table.parent / "table_map.yaml")
    assert (done.code, table.read_bytes()) == (1, before)
    assert "name another file" in done.err


def test_what_is_no_recording_is_refused(tmp_path: Path, pullwatch: Pullwatch) -> None:
    file = tmp_path / "text.arrows.zst"
    file.write_text("no recording", "utf-8")
    done = pullwatch("analyse", file)
    assert done.code == 1
    assert "cannot be read as a recording" in done.err


def test_a_page_port_that_is_taken_is_told_without_a_stack_trace(
    tmp_path: Path, pullwatch: Pullwatch
) -> None:
    (tmp_path / "map.yaml").write_text(MAP, "utf-8")
    station = tmp_path / "station.yaml"
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        station.write_text(
            "pullwatch_station: 1\nname: bay\nmap: map.yaml\nbroker: none\n"
            f"page: {{host: 127.0.0.1, port: {port}}}\n"
            "sources: {ecu: {lines: {url: 'loop://'}}}\n",
            "utf-8",
        )
        done = pullwatch("run", station)
    assert done.code == 1
    assert f"pullwatch: the page cannot be served on 127.0.0.1:{port}" in done.err
    assert "Traceback" not in done.err
    assert "* Restraint: Strap the car down" in done.out
