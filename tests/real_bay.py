"""The real daemon beside the simulated car, faster than real time: for browsers to look at."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from string import Template
from typing import Any, Final

from patience import until

from capture.bay.daemon import Daemon
from capture.commands.simulated_car import SimulatedCar
from capture.station.station import load_station

PULLS: Final = 3  # of a stage (simulators/demo/job.py)
SHOP: Final = '\nshop: {name: Rolling Road Example, text: "Main Street 1, Exampletown"}\n'


@dataclass
class RealBay:
    """A running daemon, its page, and the car it listens to."""

    daemon: Daemon
    car: SimulatedCar
    said: AsyncIterator[dict[str, Any]]
    driven: int = 0

    @property
    def url(self) -> str:
        assert self.daemon.page_url is not None
        return self.daemon.page_url.rstrip("/")

    async def stage_done(self) -> None:
        """Until the car has driven the pulls of its stage and they are judged and stored."""
        while "stage_done" not in await anext(self.said):
            pass
        self.driven += PULLS
        await until(lambda: len(self.daemon.store.pulls()) >= self.driven)

    def drive_on(self) -> None:
        """Play the first stage, or the next one."""
        self.car.tell("next" if self.driven else "start")


@asynccontextmanager
async def real_bay(folder: Path, speed: float) -> AsyncIterator[RealBay]:
    """The car idles until it is told to drive on."""
    async with SimulatedCar(speed, wait=True) as car:
        said = car.said()
        daemon = Daemon(load_station(write_station(folder, speed, await anext(said))))
        stop, ready = asyncio.Event(), asyncio.Event()
        running = asyncio.create_task(daemon.run(stop, ready), name="daemon")
        await ready.wait()
        try:
            yield RealBay(daemon, car, said)
        finally:
            stop.set()
            await running


def write_station(folder: Path, speed: float, ports: dict[str, str], page_port: int = 0) -> Path:
    """The demo's station on the ports that the car has opened; page_port 0 takes a free one."""
    demo = files("simulators.demo")
    (folder / "map.yaml").write_text(demo.joinpath("demo_map.yaml").read_text("utf-8"), "utf-8")
    template = Template(demo.joinpath("demo_station.yaml").read_text("utf-8"))
    text = template.substitute(
        ports, map="map.yaml", store="store", speed=f"{speed:g}", broker="none", page_port=page_port
    )
    station = folder / "station.yaml"
    station.write_text(text + SHOP, "utf-8")
    return station
