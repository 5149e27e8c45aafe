"""Libraries that are slow to load and seldom needed, loaded where they are first used.

A command of the command line then pays only for what it does. Who must never wait calls
`load_all`: the daemon does, before its session starts.
"""

import importlib
from typing import Any

_asked_for: set[str] = set()


class _Library:
    """Looks like the module."""

    def __init__(self, name: str) -> None:
        self._name = name

    def __getattr__(self, attribute: str) -> Any:
        return getattr(importlib.import_module(self._name), attribute)


def on_first_use(name: str) -> Any:
    """A required library that is imported when something of it is first asked for."""
    _asked_for.add(name)
    return _Library(name)


def load_all() -> None:
    """Import every library that was put off by the modules imported so far."""
    for name in sorted(_asked_for):
        importlib.import_module(name)
