import contextlib
from enum import StrEnum
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import Field

from decode.errors import InputFileError
from decode.yaml_file import StrictModel, load_yaml, parse_yaml


class Colour(StrEnum):
    RED = "red"
    GREEN = "green"


class Wheel(StrictModel):
    size: int
    colour: Colour = Colour.RED


class Belt(StrictModel):
    teeth: int


class Machine(StrictModel):
    version: int
    wheels: dict[str, Wheel] = Field(default_factory=dict)
    spare: list[Wheel] = Field(default_factory=list)
    drive: Wheel | Belt | None = None


def problems_of(text: str) -> list[str]:
    with pytest.raises(InputFileError) as caught:
        parse_yaml(text, "m.yaml", Machine)
    return caught.value.lines()


def test_a_sound_file_becomes_the_model() -> None:
    machine = parse_yaml("version: 0x10\nwheels: {a: {size: 3, colour: green}}", "m", Machine)
    assert machine == Machine(version=16, wheels={"a": Wheel(size=3, colour=Colour.GREEN)})


def test_yaml_1_2_reads_no_and_on_as_words() -> None:
    text = "version: 1\nwheels: {no: {size: 1}, on: {size: 2}}"
    assert list(parse_yaml(text, "m", Machine).wheels) == ["no", "on"]


def test_every_mistake_is_told_with_its_place() -> None:
    text = """\
version: one
wheels:
  front: {size: 3, colour: gren}
  rear:
    sise: 4
  middle: 5
spare:
  - {size: 1}
  - {}
drive: {teth: 5}
whels: {}
"""
    lines = problems_of(text)
    assert [line.split(": ")[0] for line in lines] == [
        "m.yaml:1:10",
        "m.yaml:3:28",
        "m.yaml:4:3",
        "m.yaml:5:5",
        "m.yaml:6:11",
        "m.yaml:9:5",
        "m.yaml:10:1",
        "m.yaml:10:1",
        "m.yaml:10:9",
        "m.yaml:10:9",
        "m.yaml:11:1",
    ]
    assert lines[1].endswith(
        'wheels.front.colour: unknown word "gren"; did you mean "green"? allowed: green, red'
    )
    assert lines[2].endswith('wheels.rear: "size" is missing')
    assert lines[3].endswith('unknown key "sise"; did you mean "size"? allowed: colour, size')
    assert lines[4].endswith("wheels.middle: must be a mapping (key: value)")
    assert lines[-1].endswith('did you mean "wheels"? allowed: drive, spare, version, wheels')


def test_duplicate_keys_are_told_all_at_once() -> None:
    lines = problems_of("version: 1\nversion: 2\nwheels:\n  a: {size: 1}\n  a: {size: x}\n")
    assert lines == [
        "m.yaml:2:1: version: stands twice, first in line 1",
        "m.yaml:5:3: a: stands twice, first in line 4",
    ]


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("version: [1,\nwheels: }", "m.yaml:2:9"),
        ("version: 1\n\tx: 2", "m.yaml:2:1"),
        ("version: 1\n---\nversion: 2", "m.yaml:2:1"),
        ("version: 'x", "m.yaml:1:"),
        ("version: \x00", "m.yaml:1:1"),
        ("[" * 1000, "m.yaml:1:1"),
        ("version: 2001-99-99", "m.yaml:1:1"),
    ],
)
def test_what_is_no_yaml_says_where(text: str, place: str) -> None:
    (line,) = problems_of(text)
    assert line.startswith(place)
    assert ": YAML: " in line


@pytest.mark.parametrize("text", ["", "5", "- 1", "null"])
def test_a_file_that_is_no_mapping_is_refused(text: str) -> None:
    assert problems_of(text)[0].startswith("m.yaml:1:1: file: must be a mapping")


def test_a_file_that_is_absent_or_not_utf_8_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputFileError, match=r"absent\.yaml:1:1: file: cannot be opened"):
        load_yaml(tmp_path / "absent.yaml", Machine)
    latin = tmp_path / "latin.yaml"
    latin.write_bytes(b"version: 1\n# caf\xe9\n")
    with pytest.raises(InputFileError, match=r"latin\.yaml:2:1: file: is not UTF-8"):
        load_yaml(latin, Machine)


def test_a_byte_order_mark_is_not_part_of_the_first_key(tmp_path: Path) -> None:
    file = tmp_path / "windows.yaml"
    file.write_bytes(b"\xef\xbb\xbfversion: 1\r\n")
    assert load_yaml(file, Machine).version == 1


@settings(max_examples=300, deadline=None)
@given(st.text(alphabet="ab:-[]{}&*!'\"?|>%#\n\t ,0.x\x07\u2028", max_size=40))
def test_no_text_does_worse_than_an_input_file_error(text: str) -> None:
    with contextlib.suppress(InputFileError):
        assert parse_yaml(text, "m.yaml", Machine).version is not None
