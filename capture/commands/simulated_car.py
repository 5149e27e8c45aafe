"""The simulated car of the demo: a process of its own, spoken to by lines of JSON."""

import asyncio
import subprocess
import sys
from collections.abc import AsyncIterator
from typing import Self

from capture.commands.car_messages import CarMessage, Ports, car_message
from decode.errors import SourceError


class SimulatedCar:
    """Starts the process, reads what it says, tells it to go on."""

    def __init__(self, speed: float, wait: bool = False) -> None:
        """wait: idle until told to `start`."""
        command = [sys.executable, "-m", "simulators.demo", "--speed", f"{speed:g}"]
        if wait:
            command.append("--wait")
        if sys.platform == "win32":
            command.append("--tcp")  # no pseudo-terminals there
        # Not asyncio's own subprocess: on Windows that needs the event loop MQTT cannot use.
        self._process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8"
        )

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, *error: object) -> None:
        self._process.kill()
        await asyncio.to_thread(self._process.communicate)

    async def opened_ports(self) -> Ports:
        """What the car has opened, which it says first."""
        ports = await anext(self.messages())
        assert isinstance(ports, Ports), f"the car's first line names its ports, not {ports}"
        return ports

    async def messages(self) -> AsyncIterator[CarMessage]:
        """Each further thing the car says, until it ends."""
        assert self._process.stdout is not None
        while line := await asyncio.to_thread(self._process.stdout.readline):
            yield car_message(line)
        raise SourceError(f"the simulated car ended early ({self._process.wait()})")

    def send_command(self, word: str) -> None:
        """`start`: play the first stage, where it waits. `next`: play the next one. `end`: tell the
        truth and finish."""
        assert self._process.stdin is not None
        self._process.stdin.write(f"{word}\n")
        self._process.stdin.flush()
