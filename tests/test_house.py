"""The rules of the house that need no tool: what lies where, and how long it is.

Format, lint, types and the direction of imports are `.ci/run`'s, with tools pinned exactly.
"""

import ast
import subprocess
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).parent.parent
PRODUCT = ("capture", "decode", "analysis", "simulators")
OPTIONAL = {"asammdf", "cantools", "weasyprint", "psycopg"}  # of the extras
NOT_ON_EVERY_SYSTEM = {"pty", "tty"}
# Who may import by a name that is data: see "What is loaded when" in DEVELOPERS.md.
LOADERS = {"capture/commands/lazy_group.py", "decode/on_first_use.py"}

BY_NAME = "(a name that is data)"


def modules_of(room: str) -> list[str]:
    """Every Python file of a folder, as a path in the repository."""
    return sorted(
        path.relative_to(REPOSITORY).as_posix() for path in (REPOSITORY / room).rglob("*.py")
    )


def late_imports(module: ast.Module) -> set[str]:
    """The libraries that functions of a module import, by their first name."""
    found = set()
    for function in ast.walk(module):
        if not isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            continue
        for node in ast.walk(function):
            match node:
                case ast.Import(names=names):
                    found |= {name.name.split(".")[0] for name in names}
                case ast.ImportFrom(module=name, level=0):
                    found.add((name or "").split(".")[0])
                case ast.ImportFrom():
                    found.add(".")
                case ast.Call(
                    func=ast.Name(id="import_module" | "__import__")
                    | ast.Attribute(attr="import_module"),
                    args=[ast.Constant(value=str(name)), *_],
                ):
                    found.add(name.split(".")[0])
                case ast.Call(
                    func=ast.Name(id="import_module" | "__import__")
                    | ast.Attribute(attr="import_module")
                ):
                    found.add(BY_NAME)
    return found


def tracked_files() -> list[str]:
    """The paths that git holds; skips where this is no checkout of its own."""
    if not (REPOSITORY / ".git").exists():
        pytest.skip("not a git checkout: no list of tracked files")
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=REPOSITORY, capture_output=True, text=True, check=True
    )
    return [path for path in listed.stdout.split("\0") if path]


def test_top_level_holds_only_the_folders_of_the_design() -> None:
    top = {path.split("/")[0] for path in tracked_files() if not path.startswith(".")}
    assert top == {
        "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml",
        "capture", "decode", "analysis", "tests", "simulators",
    }  # fmt: skip


def test_no_file_of_the_product_is_longer_than_400_lines() -> None:
    long = {
        str(path.relative_to(REPOSITORY)): lines
        for room in PRODUCT
        for path in (REPOSITORY / room).rglob("*.py")
        if (lines := len(path.read_text("utf-8").splitlines())) > 400
    }
    assert not long


def test_functions_import_only_what_is_not_installed_everywhere() -> None:
    allowed = OPTIONAL | NOT_ON_EVERY_SYSTEM
    late = {
        path: found - allowed - ({BY_NAME} if path in LOADERS else set())
        for room in PRODUCT
        for path in modules_of(room)
        if (found := late_imports(ast.parse((REPOSITORY / path).read_text("utf-8"))))
    }
    assert {path: found for path, found in late.items() if found} == {}


def test_a_late_import_is_found_in_whatever_way_it_is_written() -> None:
    text = """
import json
try:
    import termios
except ImportError:
    pass

class Port:
    def open(self):
        import serial.tools
        from can import Bus
        from . import near

async def read(name):
    return [importlib.import_module("asammdf"), import_module(name), __import__("pandas")]
"""
    assert late_imports(ast.parse(text)) == {
        "serial", "can", ".", "asammdf", BY_NAME, "pandas",
    }  # fmt: skip
