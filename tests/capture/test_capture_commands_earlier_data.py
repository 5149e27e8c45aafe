"""The commands that look at a store take one of every earlier layout."""

from pathlib import Path

import pytest
from frozen_stores import NAMES, thawed
from typer.testing import CliRunner

from capture.cli import app


@pytest.mark.parametrize("name", NAMES)
def test_commands_show_a_store_of_an_earlier_layout(name: str, tmp_path: Path) -> None:
    thawed(name, tmp_path / "store")
    report = tmp_path / "report.html"
    for arguments in (["jobs"], ["pulls"], ["report", "--output", str(report)]):
        command, *options = arguments
        done = CliRunner().invoke(app, [command, str(tmp_path / "store"), *options])
        assert done.exit_code == 0, done.output
    assert "larger charge cooler" in report.read_text("utf-8")
