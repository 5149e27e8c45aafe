"""The rules of the house, run rather than drawn: format, lint, types, direction of imports."""

import subprocess
import sys
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).parent.parent
SCRIPTS = Path(sys.executable).parent

COMMANDS = {
    "format": ["ruff", "format", "--check", "."],
    "lint": ["ruff", "check", "."],
    "types": ["mypy"],
    "imports": ["lint-imports"],
}


@pytest.mark.slow
@pytest.mark.timeout(240)  # a first mypy run without its cache reads every library
@pytest.mark.parametrize("name", COMMANDS)
def test_house_rule(name: str) -> None:
    program, *arguments = COMMANDS[name]
    done = subprocess.run(
        [SCRIPTS / program, *arguments], cwd=REPOSITORY, capture_output=True, text=True
    )
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"


def test_top_level_holds_only_the_folders_of_the_design() -> None:
    tracked = subprocess.run(
        ["git", "ls-files"], cwd=REPOSITORY, capture_output=True, text=True, check=True
    ).stdout.split()
    if not tracked:
        pytest.skip("not a git checkout: no list of tracked files")
    top = {path.split("/")[0] for path in tracked if not path.startswith(".")}
    assert top == {
        "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml",
        "capture", "decode", "analysis", "tests", "simulators",
    }  # fmt: skip


def test_no_file_of_the_product_is_longer_than_400_lines() -> None:
    rooms = ("capture", "decode", "analysis", "simulators")
    long = {
        str(path.relative_to(REPOSITORY)): lines
        for room in rooms
        for path in (REPOSITORY / room).rglob("*.py")
        if (lines := len(path.read_text("utf-8").splitlines())) > 400
    }
    assert not long
