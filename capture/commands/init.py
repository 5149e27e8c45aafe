"""`pullwatch init`: a commented station and map to start from, and what this machine has."""

from dataclasses import asdict
from importlib.resources import files
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table

from analysis.readiness.readiness import CHECKLIST
from capture.commands.as_json import AsJson, print_document
from capture.commands.new_files import write_new
from capture.sources.serial.ports import (
    CanInterface,
    SerialPort,
    can_interfaces,
    serial_ports,
    starting_station,
)

MAP_FILE = "map.yaml"
STATION_FILE = "station.yaml"


def init(
    folder: Annotated[Path, typer.Argument(help="where the two files go")] = Path(),
    as_json: AsJson = False,
) -> None:
    """Write a commented station file and channel map; list serial ports and CAN interfaces."""
    with Console(stderr=True).status("looking for serial ports and CAN interfaces"):
        ports, interfaces = serial_ports(), can_interfaces()
    console = Console(quiet=as_json)
    console.print(_found_table(ports, interfaces))
    write_new(folder / MAP_FILE, files("decode.maps").joinpath("starter.yaml").read_text("utf-8"))
    write_new(folder / STATION_FILE, starting_station(MAP_FILE, ports, interfaces, CHECKLIST))
    if as_json:
        print_document(
            {
                "station": folder / STATION_FILE,
                "map": folder / MAP_FILE,
                "serial_ports": [asdict(port) for port in ports],
                "can_interfaces": [asdict(interface) for interface in interfaces],
            }
        )
    console.print(f"Mend {folder / STATION_FILE} and {folder / MAP_FILE}, then:")
    console.print(f"  pullwatch map check {folder / MAP_FILE}")
    console.print(f"  pullwatch run {folder / STATION_FILE}")


def _found_table(ports: list[SerialPort], interfaces: list[CanInterface]) -> Table:
    table = Table("found", "name", "what it says of itself", show_edge=False)
    for port in ports:
        table.add_row("serial port", port.name, port.description)
    for interface in interfaces:
        table.add_row("CAN interface", interface.interface, interface.channel)
    if not ports and not interfaces:
        table.add_row("nothing", "", "plug an adapter in, or name a socket:// address")
    return table
