"""The event loop that a command runs in."""

import asyncio
import sys
from collections.abc import Coroutine

from decode.errors import PullwatchError


def run_loop(main: Coroutine[object, object, None]) -> None:
    """asyncio.run, with the event loop MQTT needs on Windows. Raises the PullwatchError that ended
    a task group by itself, for the command line to print."""
    factory = asyncio.SelectorEventLoop if sys.platform == "win32" else None
    with asyncio.Runner(loop_factory=factory) as runner:
        try:
            runner.run(main)
        except ExceptionGroup as group:
            meant_for_the_user = group.subgroup(PullwatchError)
            if meant_for_the_user is None:
                raise
            raise _first(meant_for_the_user) from group


def _first(error: Exception) -> Exception:
    while isinstance(error, ExceptionGroup):
        error = error.exceptions[0]
    return error
