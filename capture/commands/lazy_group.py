"""Groups of commands that are listed without being loaded: help and completion load no command."""

import gc
import importlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import typer
from typer.core import TyperCommand, TyperGroup
from typer.main import get_command


@dataclass(frozen=True, slots=True)
class Listed:
    """A command as help lists it. function: `module:name`. help: the first paragraph of that
    function's docstring."""

    name: str
    function: str
    help: str


class LazyCommand(TyperCommand):
    """Stands for a command in lists; the command is loaded where it is run, completed or asked for
    its own help, all of which begin with a context."""

    def __init__(self, listed: Listed) -> None:
        super().__init__(listed.name, help=listed.help)
        self.function = listed.function

    def make_context(self, *args: Any, **settings: Any) -> Any:
        """The context of the command itself."""
        app = typer.Typer(add_completion=False)
        app.command(self.name)(_loaded(self.function))
        return get_command(app).make_context(*args, **settings)


def _loaded(function: str) -> Callable[..., Any]:
    module, _, name = function.partition(":")
    gc.disable()  # modules are no garbage; looking for some took a tenth of a start
    try:
        found: Callable[..., Any] = getattr(importlib.import_module(module), name)
    finally:
        gc.enable()
    return found


def lazy_group(*listed: Listed) -> type[TyperGroup]:
    """The `cls` of a Typer application that lists these commands, before those it was given."""

    class LazyGroup(TyperGroup):
        def __init__(self, **settings: Any) -> None:
            super().__init__(**settings)
            self.commands = {each.name: LazyCommand(each) for each in listed} | {**self.commands}

    return LazyGroup
