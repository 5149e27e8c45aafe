"""The real bay beside the simulated car, faster than real time: for browsers to look at."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from string import Template
from typing import Final

from patience import until

from capture.bay.bay import Bay
from capture.bay.opening import open_bay
from capture.commands.car_messages import CarMessage, Ports, StageDone
from capture.commands.simulated_car import SimulatedCar
from capture.station.station import load_station

PULLS: Final = 3  # of a stage (simulators/demo/job.py)
SHOP: Final = '\nshop: {name: Rolling Road Example, text: "Main Street 1, Exampletown"}\n'


@dataclass
class RealBay:
    """A bay at work, its page, and the car it listens to."""

    bay: Bay
    car: SimulatedCar
    said: AsyncIterator[CarMessage]
    driven: int = 0

    @property
    def url(self) -> str:
        assert self.bay.page_url is not None
        return self.bay.page_url.rstrip("/")

    async def stage_done(self) -> None:
        """Until the car has driven the pulls of its stage and they are judged and stored."""
        while not isinstance(await anext(self.said), StageDone):
            pass
        self.driven += PULLS
        await until(lambda: len(self.bay.store.pulls()) >= self.driven)

    def drive_on(self) -> None:
        """Play the first stage, or the next one."""
        self.car.send_command("next" if self.driven else "start")


@asynccontextmanager
async def real_bay(folder: Path, speed: float) -> AsyncIterator[RealBay]:
    """The car idles until it is told to drive on."""
    async with SimulatedCar(speed, wait=True) as car:
        station = write_station(folder, speed, await car.opened_ports())
        async with open_bay(load_station(station)) as bay:
            yield RealBay(bay, car, car.messages())


def write_station(folder: Path, speed: float, ports: Ports, page_port: int = 0) -> Path:
    """The demo's station on the ports that the car has opened; page_port 0 takes a free one."""
    demo = files("simulators.demo")
    (folder / "map.yaml").write_text(demo.joinpath("demo_map.yaml").read_text("utf-8"), "utf-8")
    template = Template(demo.joinpath("demo_station.yaml").read_text("utf-8"))
    text = template.substitute(
        ports.model_dump(by_alias=True),
        map="map.yaml",
        store="store",
        speed=f"{speed:g}",
        broker="none",
        page_port=page_port,
    )
    station = folder / "station.yaml"
    station.write_text(text + SHOP, "utf-8")
    return station
