"""The commands through their command line, over real files and a real loopback transport."""

import json
import socket
import threading
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner, Result

from capture.cli import app
from decode.channel_map import load_map
from decode.errors import InputFileError, PullwatchError
from decode.quantities import Quantity

DBC = """\
VERSION ""
NS_ :
BS_:
BU_: A
BO_ 256 Engine: 8 A
 SG_ EngineSpeed : 0|16@1+ (0.25,0) [0|16383.75] "rpm" A
 SG_ OilTemp_2 : 16|8@1+ (1,-40) [0|0] "degC" A
 SG_ BoostPressure : 24|8@1+ (1,0) [0|0] "" A
BO_ 257 Wide: 8 A
 SG_ Huge : 0|16@1+ (1,0) [0|0] "" A
 SG_ Half : 0|16@1- (1,0) [0|0] "" A
SIG_VALTYPE_ 257 Half : 1;
"""


def call(*words: object, say: str = "") -> Result:
    result = CliRunner().invoke(app, [str(word) for word in words], input=say)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


@pytest.fixture
def described(tmp_path: Path) -> Path:
    file = tmp_path / "car.dbc"
    file.write_text(DBC)
    return file


def test_import_takes_what_is_sure_and_says_what_is_not(described: Path, tmp_path: Path) -> None:
    target = tmp_path / "map.yaml"
    result = call("map", "import", described, "--source", "engine", "-o", target)
    assert "not taken: Wide.Half: is a float of 16 bits" in result.output
    channels = load_map(target).channels
    assert channels["Engine_EngineSpeed"].quantity is Quantity.ENGINE_SPEED
    assert channels["Engine_OilTemp_2"].quantity is Quantity.OIL_TEMPERATURE
    assert channels["Engine_BoostPressure"].quantity is None
    assert "may be boost_pressure" in target.read_text()


def test_import_asks_where_told_to(described: Path, tmp_path: Path) -> None:
    target = tmp_path / "map.yaml"
    say = "boots\nboost_pressure\nmbar\n"
    call("map", "import", described, "--source", "engine", "-o", target, "--ask", say=say)
    boost = load_map(target)
    assert boost.channels["Engine_BoostPressure"].quantity is Quantity.BOOST_PRESSURE
    assert boost.entries["Engine_BoostPressure"].unit == "mbar"


def test_a_map_is_never_overwritten(described: Path, tmp_path: Path) -> None:
    target = tmp_path / "map.yaml"
    target.write_text("mine")
    with pytest.raises(PullwatchError, match="left as it is"):
        call("map", "import", described, "--source", "engine", "-o", target)
    assert target.read_text() == "mine"


def test_what_cantools_refuses_is_an_error_of_the_file(tmp_path: Path) -> None:
    file = tmp_path / "broken.dbc"
    file.write_text("BO_ not a message")
    with pytest.raises(InputFileError, match="cantools refuses it"):
        call("map", "import", file, "--source", "engine", "-o", tmp_path / "map.yaml")


def test_propose_then_preview_of_a_table(tmp_path: Path) -> None:
    table, target = tmp_path / "log.csv", tmp_path / "map.yaml"
    rows = [f"{i * 0.05:.2f};{2000 + 10 * i};{min(980 + i, 1100)};90" for i in range(200)]
    header = "Zeit [s];Motordrehzahl [U/min];Saugrohrdruck [mbar];Öltemperatur [°C]"
    table.write_text("\n".join([header, *rows]), encoding="utf-8")
    call("map", "propose", table, "-o", target)
    assert [c.quantity for c in load_map(target).channels.values()] == [
        *(Quantity.ENGINE_SPEED, Quantity.MANIFOLD_PRESSURE, Quantity.OIL_TEMPERATURE),
    ]
    shown = call("map", "preview", table, "--map", target).output
    assert "3990" in shown
    assert "clipped?" in shown
    assert "constant at 90" in shown


def test_propose_asks_which_ratio_is_lambda_one(tmp_path: Path) -> None:
    table, target = tmp_path / "log.csv", tmp_path / "map.yaml"
    rows = [f"{i * 0.05:.2f};{2000 + 10 * i};{12.5 + i * 0.01:.2f}" for i in range(200)]
    table.write_text("\n".join(["Time [s];Engine speed [rpm];AFR", *rows]), encoding="utf-8")
    call("map", "propose", table, "-o", tmp_path / "open.yaml")
    assert "stoichiometric: the ratio it calls lambda 1" in (tmp_path / "open.yaml").read_text()
    call("map", "propose", table, "-o", target, "--ask", say="yes\n147\n14.1\n")
    made = load_map(target)
    assert made.channels["afr"].quantity is Quantity.LAMBDA
    assert made.entries["afr"].stoichiometric == 14.1


@pytest.mark.parametrize("as_json", [False, True])
def test_preview_of_a_live_station(tmp_path: Path, as_json: bool) -> None:
    (tmp_path / "map.yaml").write_text(
        "pullwatch_map: 1\n"
        'lines: {dyno: {delimiter: ";"}}\n'
        "channels:\n"
        "  roller: {quantity: roller_speed, source: dyno, unit: km/h, line: {field: 0}}\n"
        "  absent: {source: dyno, line: {field: 7}}\n"
    )
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
        station = tmp_path / "station.yaml"
        station.write_text(
            "pullwatch_station: 1\nname: bay\nmap: map.yaml\n"
            f'sources: {{dyno: {{lines: {{url: "socket://127.0.0.1:{port}"}}}}}}\n'
            "broker: none\npage: none\n"
        )
        speaker = threading.Thread(target=speak, args=(server,), daemon=True)
        speaker.start()
        wish = ("--json",) if as_json else ()
        shown = call("map", "preview", station, "--seconds", "1.5", *wish).stdout
    speaker.join(2.0)
    assert "87.5" in shown
    assert "silent: nothing came" in shown
    if as_json:
        lines = [json.loads(line)["channels"] for line in shown.splitlines()]
        assert len(lines) > 1
        (roller,) = [channel for channel in lines[-1] if channel["channel"] == "roller"]
        assert (roller["raw"], roller["unit"]) == ("87.5;1", "km/h")
    assert not (tmp_path / "store").exists()  # a look records nothing


def speak(server: socket.socket) -> None:
    peer, _ = server.accept()
    with peer:
        try:
            while True:
                peer.sendall(b"87.5;1\r\n")
                threading.Event().wait(0.05)
        except OSError:
            return


def test_propose_takes_the_units_that_a_measurement_carries(tmp_path: Path) -> None:
    asammdf = pytest.importorskip("asammdf")
    with asammdf.MDF(version="4.10") as mdf:
        time_s, value = np.array([0.0, 0.1]), np.array([-30.0, 120.0])
        mdf.append(asammdf.Signal(value, time_s, name="Oil temperature", unit="°F"))
        mdf.save(tmp_path / "log.mf4")
    result = call("map", "propose", tmp_path / "log.mf4", "-o", tmp_path / "map.yaml")
    assert "1 channels of numbers (MDF)" in result.stderr
    entry = load_map(tmp_path / "map.yaml").entries["oil_temperature"]
    assert (entry.quantity, entry.unit) == (Quantity.OIL_TEMPERATURE, "°F")


def test_no_channel_is_shown_cut_short(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    rows = "0.0;850\n0.1;860\n"
    (tmp_path / "log.csv").write_text(f"time;exhaust gas temperature [degC]\n{rows}", "utf-8")
    result = call("map", "propose", tmp_path / "log.csv", "-o", tmp_path / "map.yaml")
    assert "1 with a quantity" in result.output
    assert "…" not in result.output
