"""A start costs what the command needs: lists load no command, a command loads no other's library.

What it costs in seconds is measured by tests/benchmarks/start.py.
"""

import importlib
import inspect
import json
import os
import subprocess
import sys
from collections.abc import Iterator, Mapping
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path

import demo_job
import pytest
from typer.core import TyperGroup
from typer.main import get_command
from typer.testing import CliRunner

from capture.cli import app
from capture.commands.lazy_group import LazyCommand
from decode.on_first_use import on_first_use

REPOSITORY = Path(__file__).parent.parent.parent
# Runs the command line as the installed script does; then tells what it has loaded.
STARTED = """
import json, sys
sys.argv[0] = "pullwatch"
from capture.cli import main
try:
    main()
except SystemExit as ended:
    assert not ended.code, ended.code
finally:
    sys.stdout.flush()
    print(json.dumps(sorted(sys.modules)), file=sys.stderr)
"""
STATION = """pullwatch_station: 1
name: bay-1
map: map.yaml
store: store
sources:
  engine: {can: {interface: virtual, channel: none}}
  lambda: {frames: {url: "loop://", sync: "AA", length: 9, checksum: {kind: CRC-16/MODBUS}}}
"""
OF_THE_DAEMON = {"bokeh", "fastapi", "uvicorn", "amqtt", "aiomqtt"}
HEAVY = {
    *OF_THE_DAEMON,
    *("pandas", "pyarrow", "scipy", "can", "isotp", "jinja2", "asammdf", "cantools"),
}


def loaded(*arguments: str, environment: Mapping[str, str] | None = None) -> tuple[str, set[str]]:
    """What the command line said, and the modules it had loaded at its end."""
    done = subprocess.run(
        [sys.executable, "-c", STARTED, *arguments],
        cwd=REPOSITORY,
        env={**os.environ, **(environment or {})},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout, set(json.loads(done.stderr.splitlines()[-1]))


def commands(group: TyperGroup) -> Iterator[LazyCommand]:
    """Every command that is loaded when it is run, those of groups among them."""
    for command in group.commands.values():
        if isinstance(command, TyperGroup):
            yield from commands(command)
        else:
            assert isinstance(command, LazyCommand)
            yield command


def every_command() -> list[LazyCommand]:
    top = get_command(app)
    assert isinstance(top, TyperGroup)
    return list(commands(top))


@pytest.mark.parametrize("command", every_command(), ids=lambda command: command.function)
def test_the_help_in_the_list_is_the_first_paragraph_of_the_command(command: LazyCommand) -> None:
    module, _, name = command.function.partition(":")
    text = inspect.getdoc(getattr(importlib.import_module(module), name)) or ""
    assert command.help == " ".join(text.split("\n\n")[0].split())


@pytest.mark.parametrize("words", [("pulls",), ("map",), ("map", "check")])
def test_a_listed_command_answers_with_its_own_help(words: tuple[str, ...]) -> None:
    done = CliRunner().invoke(app, [*words, "--help"])
    assert done.exit_code == 0
    assert f"Usage: pullwatch {' '.join(words)} " in done.output


def test_help_loads_no_command_and_no_library_of_one() -> None:
    said, modules = loaded("--help")
    assert "List the jobs of a store" in said
    assert modules.isdisjoint(HEAVY | {"numpy", "sqlalchemy", "analysis", "capture.commands.jobs"})
    ours = {module for module in modules if module.split(".")[0] in ("capture", "decode")}
    assert ours <= {
        "capture", "capture.cli", "capture.commands", "capture.commands.lazy_group",
        "capture.commands.map_files", "decode", "decode.errors", "decode.on_first_use",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("line", "names"),
    [("pullwatch re", {"recordings", "report"}), ("pullwatch map p", {"preview", "propose"})],
)
def test_completion_of_a_name_loads_no_command(line: str, names: set[str]) -> None:
    asked = {
        "_PULLWATCH_COMPLETE": "complete_bash",
        "COMP_WORDS": line,
        "COMP_CWORD": str(line.count(" ")),
    }
    said, modules = loaded(environment=asked)
    assert set(said.split()) == names
    assert modules.isdisjoint(
        HEAVY | {"numpy", "sqlalchemy", "analysis", "capture.commands.report"}
    )


def test_completion_of_an_option_asks_the_command_itself() -> None:
    asked = {
        "_PULLWATCH_COMPLETE": "complete_bash",
        "COMP_WORDS": "pullwatch limits --j",
        "COMP_CWORD": "2",
    }
    assert loaded(environment=asked)[0].split() == ["--json"]


def test_the_version_is_that_of_the_package() -> None:
    said, modules = loaded("--version")
    assert said.strip() == f"pullwatch {version('pullwatch')}"
    assert modules.isdisjoint(HEAVY | {"numpy", "rich"})


@pytest.mark.parametrize("where", ["store", "station.yaml"])
def test_a_list_of_pulls_loads_the_store_and_nothing_that_measures_or_serves(
    tmp_path: Path, where: str
) -> None:
    demo_job.fill(tmp_path / "store").close()
    (tmp_path / "station.yaml").write_text(STATION, "utf-8")
    said, modules = loaded("pulls", str(tmp_path / where), "--json")
    assert len(json.loads(said)) == 6
    assert "sqlalchemy" in modules
    assert modules.isdisjoint(HEAVY | {"pint", "serial", "analysis.checks"})


def test_a_map_is_checked_without_the_analysis() -> None:
    starter = str(files("decode.maps").joinpath("starter.yaml"))
    said, modules = loaded("map", "check", starter)
    # a long path makes the table's last line wrap anywhere
    assert "no mistake found" in " ".join(said.split())
    # pint looks for scipy itself, but loads nothing in it
    assert modules.isdisjoint((HEAVY - {"scipy"}) | {"analysis", "sqlalchemy", "scipy.special"})


def test_a_library_that_was_put_off_is_loaded_by_its_first_use_or_by_load_all() -> None:
    code = (
        "import sys; from decode.on_first_use import load_all, on_first_use; "
        "colors, wave = on_first_use('colorsys'), on_first_use('wave'); "
        "print([name in sys.modules for name in ('colorsys', 'wave')]); "
        "print(colors.rgb_to_hls(1, 1, 1)); print('wave' in sys.modules); "
        "load_all(); print('wave' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=REPOSITORY, capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines() == ["[False, False]", "(0.0, 1.0, 0.0)", "False", "True"]


def test_a_library_that_is_not_there_says_so_where_it_is_used() -> None:
    missing = on_first_use("no_such_library")
    with pytest.raises(ModuleNotFoundError, match="no_such_library"):
        missing.anything()
