"""The simulated car of the demo: a process of its own, spoken to by lines of JSON."""

import asyncio
import json
import subprocess
import sys
from collections.abc import AsyncIterator
from typing import Any, Self

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

    async def messages(self) -> AsyncIterator[dict[str, Any]]:
        """Each thing the car says, until it ends."""
        assert self._process.stdout is not None
        while line := await asyncio.to_thread(self._process.stdout.readline):
            document: dict[str, Any] = json.loads(line)
            yield document
        raise SourceError(f"the simulated car ended early ({self._process.wait()})")

    def send_command(self, word: str) -> None:
        """`start`: play the first stage, where it waits. `next`: play the next one. `end`: tell the
        truth and finish."""
        assert self._process.stdin is not None
        self._process.stdin.write(f"{word}\n")
        self._process.stdin.flush()
