from pathlib import Path

import pytest

from analysis.readiness.readiness import CHECKLIST
from capture.sources.base.settings import CanSettings, SlcanSettings
from capture.sources.serial.ports import (
    CanInterface,
    SerialPort,
    can_interfaces,
    serial_ports,
    starting_station,
)
from capture.station.station import Station, load_station

TWO_PORTS = (SerialPort("COM7", "USB serial port"), SerialPort("/dev/ttyUSB1", ""))


def started(folder: Path, ports: tuple[SerialPort, ...], can: tuple[CanInterface, ...]) -> Station:
    (folder / "station.yaml").write_text(starting_station("my map.yaml", ports, can, CHECKLIST))
    return load_station(folder / "station.yaml")


def test_the_starting_station_uses_what_was_found(tmp_path: Path) -> None:
    station = started(tmp_path, TWO_PORTS, ())
    engine, dyno = station.sources["engine"], station.sources["dyno"]
    assert isinstance(engine.can, SlcanSettings)
    assert dyno.lines is not None
    assert (engine.can.channel, dyno.lines.url) == ("COM7", "/dev/ttyUSB1")
    assert station.map == tmp_path / "my map.yaml"


def test_a_found_can_interface_goes_before_slcan(tmp_path: Path) -> None:
    station = started(tmp_path, TWO_PORTS, (CanInterface("socketcan", "can0"),))
    engine, dyno = station.sources["engine"], station.sources["dyno"]
    assert isinstance(engine.can, CanSettings)
    assert dyno.lines is not None
    assert (engine.can.interface, engine.can.channel) == ("socketcan", "can0")
    assert dyno.lines.url == "COM7"


@pytest.mark.parametrize("ports", [(), TWO_PORTS[:1]])
def test_a_machine_with_too_few_ports_gets_examples(
    tmp_path: Path, ports: tuple[SerialPort, ...]
) -> None:
    station = started(tmp_path, ports, ())
    assert station.sources.keys() == {"engine", "dyno"}


def test_every_commented_line_of_the_starting_station_is_valid_too(tmp_path: Path) -> None:
    text = starting_station("map.yaml", (), (), CHECKLIST)
    words = ("car", "dyno", "air", "job", "lamp", "shop")
    blocks = *(f"# {word}: " for word in words), "#       "
    lines = [
        line[2:] if line.startswith(blocks) and not line.startswith("  ") else line
        for line in text.splitlines()
    ]
    (tmp_path / "station.yaml").write_text("\n".join(lines))
    station = load_station(tmp_path / "station.yaml")
    assert station.setup.car.displacement_l == 2.0
    assert station.setup.dyno.inertia_kg_m2 == 20
    assert station.setup.air.altitude_m == 210
    assert station.job is not None
    assert station.lamp is not None
    assert station.checklist == CHECKLIST
    assert station.letterhead.name == "your shop"


def test_this_machine_is_asked_without_an_error() -> None:
    assert all(port.name for port in serial_ports())
    assert all(can.interface for can in can_interfaces())
