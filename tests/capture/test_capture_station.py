import base64
from pathlib import Path

import pytest

from capture.sources.base.clock import Clock
from capture.sources.can.can_bus import CanBus
from capture.sources.can.slcan import SlcanBus
from capture.sources.make import make_sources
from capture.sources.serial.serial_port import SerialLines
from capture.station.station import BrokerSettings, load_station
from decode.errors import InputFileError

WHOLE = """\
pullwatch_station: 1
name: bay-1
map: maps/car.yaml
limits: /etc/limits.yaml
store: ./store
sources:
  engine: {can: {interface: slcan, channel: /dev/ttyACM0, bitrate: 500000, listen_only: true}}
  chassis: {can: {interface: virtual, channel: 3, options: {receive_own_messages: true}}}
  lambda: {lines: {url: "socket://127.0.0.1:5000"}}
broker: {host: 127.0.0.1, port: 1884, username: bay, password_file: secret}
page: none
car: {ignition: compression, displacement_l: 2.0}
air: {barometric_kpa: 97.1}
job: {name: the blue one, stage: baseline}
"""

FAULTY = """\
pullwatch_station: 1
name: bay 1
sources:
  engine: {can: {interface: slcan, chanel: /dev/ttyACM0, bitrate: 500001}}
  dyno: {lines: {url: /dev/ttyUSB0, baud: fast}}
  scale: {}
broker: embeded
page: {port: 99999}
car: {displacement_l: 1400}
clock_speed: 0
"""


def write(folder: Path, text: str) -> Path:
    path = folder / "station.yaml"
    path.write_text(text)
    return path


def test_a_whole_station(tmp_path: Path) -> None:
    station = load_station(write(tmp_path, WHOLE))
    assert (station.name, station.database, station.page) == ("bay-1", "sqlite", "none")
    assert station.map == tmp_path / "maps" / "car.yaml"
    assert station.limits == Path("/etc/limits.yaml")
    assert station.store == tmp_path / "store"
    assert isinstance(station.broker, BrokerSettings)
    assert station.broker.password_file == tmp_path / "secret"
    assert station.setup.car.displacement_l == 2.0
    assert station.setup.air.barometric_kpa == 97.1
    sources = make_sources(station.sources, Clock())
    assert [source.info.name for source in sources] == ["engine", "chassis", "lambda"]
    assert [type(source) for source in sources] == [SlcanBus, CanBus, SerialLines]


def test_every_mistake_is_told_at_once_with_its_line(tmp_path: Path) -> None:
    path = write(tmp_path, FAULTY)
    with pytest.raises(InputFileError) as told:
        load_station(path)
    said = {(p.line, p.subject): p.message for p in told.value.problems}
    expected = {
        (1, "file"): '"map" is missing',
        (2, "name"): "bay 1",
        (4, "sources.engine.can"): '"channel" is missing',
        (4, "sources.engine.can.chanel"): 'did you mean "channel"?',
        (4, "sources.engine.can.bitrate"): "500001",
        (5, "sources.dyno.lines.baud"): "integer",
        (6, "sources.scale"): "exactly one of",
        (7, "broker"): "embeded",
        (8, "page.port"): "65535",
        (9, "car"): "within 0.05 to 20, not 1400",
        (10, "clock_speed"): "greater than 0",
    }
    assert said.keys() == expected.keys()
    assert all(expected[key] in said[key] for key in expected)


def test_no_source_takes_the_operators_name(tmp_path: Path) -> None:
    text = WHOLE.replace("  lambda:", "  operator:")
    with pytest.raises(InputFileError, match="operator"):
        load_station(write(tmp_path, text))


COMPRESSOR = """line,value,flow_g_s,pressure_ratio
surge,,20,1.2
surge,,60,2.8
speed,100000,25,1.4
speed,100000,70,1.3
"""


def test_a_compressor_map_beside_the_station_is_read_with_it(tmp_path: Path) -> None:
    car = "{compressor_map: turbo.csv, compressor_reference_degc: 15.0}"
    text = WHOLE.replace("{ignition: compression, displacement_l: 2.0}", car)
    (tmp_path / "turbo.csv").write_text(COMPRESSOR)
    station = load_station(write(tmp_path, text))
    assert station.car.compressor_map == str(tmp_path / "turbo.csv")
    compressor = station.setup.compressor_map
    assert compressor is not None
    assert compressor.reference.temperature_k == 288.15
    assert max(compressor.speed) == 100000
    (tmp_path / "turbo.csv").write_text(COMPRESSOR.replace("2.8", "high"))
    with pytest.raises(InputFileError, match=r"turbo\.csv:3:1: surge: pressure_ratio 'high'"):
        load_station(tmp_path / "station.yaml")
    (tmp_path / "turbo.csv").unlink()
    with pytest.raises(InputFileError, match=r"turbo\.csv:1:1: file: cannot be opened"):
        load_station(tmp_path / "station.yaml")


def test_sea_level_pressure_is_refused_where_the_altitude_is_known(tmp_path: Path) -> None:
    text = WHOLE.replace("{barometric_kpa: 97.1}", "{barometric_kpa: 101.6, altitude_m: 640}")
    with pytest.raises(InputFileError, match="weather service's sea-level pressure") as refused:
        load_station(write(tmp_path, text))
    assert refused.value.problems[0].line == 13


LOGO = b"\x89PNG" + bytes(100)


def test_the_report_has_the_workshops_letterhead_with_its_logo(tmp_path: Path) -> None:
    (tmp_path / "logo.png").write_bytes(LOGO)
    shop = "shop: {name: Rolling Road Example, text: Main Street 1, logo: logo.png}\n"
    letterhead = load_station(write(tmp_path, WHOLE + shop)).letterhead
    assert (letterhead.name, letterhead.text) == ("Rolling Road Example", "Main Street 1")
    head, content = letterhead.logo.split(",")
    assert head == "data:image/png;base64"
    assert base64.b64decode(content) == LOGO


@pytest.mark.parametrize(
    ("content", "complaint"),
    [
        (None, "cannot be opened"),
        (b"GIF89a", "is no PNG, JPEG or SVG picture"),
        (LOGO + bytes(300_000), "300 kB; a logo may have 200 kB"),
    ],
)
def test_a_logo_that_cannot_be_used_is_told_with_its_line(
    tmp_path: Path, content: bytes | None, complaint: str
) -> None:
    if content is not None:
        (tmp_path / "logo.png").write_bytes(content)
    path = write(tmp_path, WHOLE + "shop:\n  name: Rolling Road Example\n  logo: logo.png\n")
    with pytest.raises(InputFileError) as told:
        load_station(path)
    (problem,) = told.value.problems
    assert (problem.line, problem.column, problem.subject) == (17, 9, "shop.logo")
    assert complaint in problem.message


TWO_SOURCES = """\
pullwatch_station: 1
name: bay-1
map: map.yaml
sources:
  engine: {%s}
  ecu: {%s}
"""
SLCAN = "can: {interface: slcan, channel: %s}"


@pytest.mark.parametrize(
    "other",
    [
        "diagnostics: {interface: slcan, channel: /dev/a}",
        "can: {interface: serial, channel: /dev/a}",
        "lines: {url: /dev/a}",
        'frames: {url: /dev/a, sync: "AA", length: 9}',
        "k_line: {url: /dev/a}",
    ],
)
def test_one_port_has_one_source(tmp_path: Path, other: str) -> None:
    with pytest.raises(InputFileError, match='"engine" and "ecu" both open /dev/a'):
        load_station(write(tmp_path, TWO_SOURCES % (SLCAN % "/dev/a", other)))


@pytest.mark.parametrize(
    "two",
    [
        (SLCAN % "/dev/a", "diagnostics: {interface: slcan, channel: /dev/b}"),
        (
            "can: {interface: socketcan, channel: can0}",
            "diagnostics: {interface: socketcan, channel: can0}",
        ),
        ('lines: {url: "socket://10.0.0.1:1"}', 'lines: {url: "socket://10.0.0.1:1"}'),
    ],
)
def test_what_several_sources_may_open(tmp_path: Path, two: tuple[str, str]) -> None:
    load_station(write(tmp_path, TWO_SOURCES % two))
