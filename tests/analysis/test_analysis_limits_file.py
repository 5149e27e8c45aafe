from pathlib import Path

import pytest

from analysis.judging.limits_file import ALL_LIMITS, default_limits, load_limits
from decode.errors import InputFileError


def written(folder: Path, text: str) -> Path:
    file = folder / "limits.yaml"
    file.write_text(text, "utf-8")
    return file


def test_defaults_hold_every_limit_once_with_its_origin_and_meaning() -> None:
    names = [limit.name for limit in ALL_LIMITS]
    assert len(names) == len(set(names))
    assert set(default_limits().by_name) == set(names)
    assert all(limit.origin and limit.meaning and limit.unit for limit in ALL_LIMITS)


def test_a_named_limit_takes_the_value_of_the_file_and_says_so(tmp_path: Path) -> None:
    limits = load_limits(
        written(tmp_path, "pullwatch_limits: 1\nlimits:\n  ignition.knock_sustained_stop: 4.5\n")
    )
    changed = limits["ignition.knock_sustained_stop"]
    assert (changed.value, changed.unit) == (4.5, "deg")
    assert changed.origin == "limits file limits.yaml"
    others = {n: limit for n, limit in limits.by_name.items() if n != changed.name}
    default = default_limits().by_name
    assert others == {name: default[name] for name in others}


def test_every_mistake_is_told_with_its_line_and_column(tmp_path: Path) -> None:
    file = written(
        tmp_path,
        "pullwatch_limits: 1\n"
        "limits:\n"
        "  ignition.knock_stpo: 4.5\n"
        "  ignition.knock_for: much\n"
        "  alerts.silent: .nan\n"
        "colour: red\n",
    )
    with pytest.raises(InputFileError) as told:
        load_limits(file)
    lines = [line.removeprefix(f"{file}:") for line in told.value.lines()]
    assert [line.split(":")[0] for line in lines] == ["3", "4", "5", "6"]
    assert lines[0].startswith("3:24: limits.ignition.knock_stpo: ")
    assert (
        "no limit is called 'ignition.knock_stpo'; `pullwatch limits` lists every one" in lines[0]
    )
    assert "ignition.knock_for" in lines[1]
    assert "colour" in lines[3]


@pytest.mark.parametrize("text", ["", "limits: {}\n", "pullwatch_limits: 2\n", "- 1\n"])
def test_a_file_that_is_no_limits_file_is_refused(tmp_path: Path, text: str) -> None:
    with pytest.raises(InputFileError, match=r"limits\.yaml:\d+:\d+: "):
        load_limits(written(tmp_path, text))


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputFileError, match=r"no_such\.yaml"):
        load_limits(tmp_path / "no_such.yaml")
