"""`pullwatch run`: the bay beside the car."""

import asyncio
import logging
import signal
from pathlib import Path
from typing import Annotated, Final

import typer
from rich.console import Console
from rich.logging import RichHandler

from analysis.publish.wording.cautions import cautions
from capture.bay.opening import open_bay
from capture.bay.page_server import LOOPBACK
from capture.commands.run_loop import run_loop
from capture.station.station import Station, load_station
from decode.on_first_use import load_all

OPEN_TO_ALL: Final = (
    "The page is open to the network: whoever is in it reaches it by this "
    "machine's address or name, and can read and change jobs. There is no login."
)


def run(
    station: Annotated[Path, typer.Argument(help="station file, as `pullwatch init` writes it")],
) -> None:
    """Record, find pulls, alert and judge until Ctrl+C."""
    console = Console()
    logging.basicConfig(
        level=logging.INFO, format="%(message)s", handlers=[RichHandler(show_path=False)]
    )
    described = load_station(station)
    for subject, caution in cautions():
        console.print(f"[dim]* {subject}: {caution}[/dim]")
    load_all()  # no alert waits for a library
    run_loop(_run(described, console))


async def _run(station: Station, console: Console) -> None:
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    # loop.add_signal_handler does not exist on Windows. SIGTERM: what service managers say.
    for ending in (signal.SIGINT, signal.SIGTERM):
        signal.signal(ending, lambda *_: loop.call_soon_threadsafe(stop.set))
    async with open_bay(station) as bay:  # takes a moment, in which somebody may end it already
        console.print(f"Session {bay.session.session_id} of {station.name}; Ctrl+C ends it.")
        console.print(f"Pulls fall into {bay.live.job}: {bay.live.stage}.", markup=False)
        if bay.page_url:
            console.print(f"Page: {bay.page_url}")
        if is_open_to_all(station):
            console.print(OPEN_TO_ALL)
        if bay.broker:
            address = f"{bay.broker.host}:{bay.broker.port}"
            console.print(f"MQTT: pullwatch watch {station.name} --broker {address}")
        await stop.wait()


def is_open_to_all(station: Station) -> bool:
    """Whether the page is served to more than this machine."""
    return station.page != "none" and station.page.host not in LOOPBACK
