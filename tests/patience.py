"""How long a test waits for what must come: only what hangs gets there, on however busy a machine.

A wait is for a condition and ends when it holds, so a long patience costs a passing test nothing.
"""

import asyncio
import time
from collections.abc import Callable
from typing import Final

PATIENCE_S: Final = 100.0


def wait_until(holds: Callable[[], bool]) -> None:
    """Wait for a condition, and fail when it does not come."""
    deadline = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < deadline, "waited in vain"
        time.sleep(0.002)


async def until(holds: Callable[[], bool]) -> None:
    """Wait for a condition while the event loop goes on."""
    async with asyncio.timeout(PATIENCE_S):
        while not holds():  # noqa: ASYNC110 - any condition at all
            await asyncio.sleep(0.002)
