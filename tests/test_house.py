"""The rules of the house that need no tool: what lies where, and how long it is.

Format, lint, types and the direction of imports are `.ci/run`'s, with tools pinned exactly.
"""

import subprocess
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).parent.parent


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
    rooms = ("capture", "decode", "analysis", "simulators")
    long = {
        str(path.relative_to(REPOSITORY)): lines
        for room in rooms
        for path in (REPOSITORY / room).rglob("*.py")
        if (lines := len(path.read_text("utf-8").splitlines())) > 400
    }
    assert not long
