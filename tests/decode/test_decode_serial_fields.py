import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decode.map_lines import LineFormat, LineNumber
from decode.records import Flag, RecordBatch
from decode.serial_fields import CutLines, LineFields


def cut(
    lines: list[bytes], numbers: dict[str, dict[str, Any]], **form: Any
) -> tuple[CutLines, LineFields]:
    fields = {name: LineNumber.model_validate(number) for name, number in numbers.items()}
    cutter = LineFields(LineFormat.model_validate(form), fields)
    return cutter.cut(RecordBatch.of("d", list(range(len(lines))), lines)), cutter


LAMBDA = {"lambda": {"name": "lambda"}}


def test_fields_by_number_with_a_tag_and_a_clock() -> None:
    lines = [b"D;0.5;12.25\r", b"S;ready", b"D;0.75; -3e1 ", b"D;1.0;"]
    got, cutter = cut(
        lines,
        {"speed": {"field": 2}},
        delimiter=";",
        starts_with="D",
        clock={"field": 1, "unit": "s"},
    )
    assert got.record.tolist() == [0, 2]
    assert got.values["speed"].tolist() == [12.25, -30.0]
    assert got.stamp_ns.tolist() == [500_000_000, -1, 750_000_000, -1]
    assert cutter.malformed == 1


def test_fields_by_name_wait_for_the_header() -> None:
    lines = [b"1,2,3", b"time,lambda,rpm", b"4,0.9,6000", b"rpm,time,lambda", b"7000,5,0.8"]
    got, cutter = cut(lines, {"lambda": {"name": "lambda"}, "rpm": {"name": "rpm"}})
    assert got.record.tolist() == [2, 4]
    assert got.values["lambda"].tolist() == [0.9, 0.8]
    assert got.values["rpm"].tolist() == [6000.0, 7000.0]
    assert cutter.malformed == 1


def test_a_header_the_device_does_not_send() -> None:
    got, _ = cut([b"4\t0.9"], {"x": {"name": "lambda"}}, delimiter="\t", header=["t", "lambda"])
    assert got.values["x"].tolist() == [0.9]


def test_decimal_comma_and_runs_of_blanks() -> None:
    got, cutter = cut(
        [b"  1,5   2 ", b"1.5 2"],
        {"a": {"field": 0}, "b": {"field": 1}},
        delimiter=" ",
        decimal=",",
    )
    assert got.values["a"].tolist() == [1.5]
    assert got.values["b"].tolist() == [2.0]
    assert cutter.malformed == 1


def test_a_regular_expression_as_the_last_resort() -> None:
    got, cutter = cut(
        [b"AFR=14.1|RPM=3000", b"AFR=|RPM=3000"],
        {"afr": {"field": 0}, "rpm": {"name": "rpm"}},
        pattern=r"^AFR=([\d.]+)\|RPM=(?P<rpm>\d+)$",
    )
    assert got.values["afr"].tolist() == [14.1]
    assert got.values["rpm"].tolist() == [3000.0]
    assert cutter.malformed == 1


def test_a_line_that_its_source_flagged_as_damaged_gives_no_value() -> None:
    """A NUL stands where the minus was; without it -12.5 would be read as 12.5."""
    cutter = LineFields(LineFormat(), {"a": LineNumber(field=0)})
    batch = RecordBatch.of("d", [0, 1], [b"\x0012.5,3", b"-12.5,3"], flags=[int(Flag.ERROR), 0])
    got = cutter.cut(batch)
    assert got.record.tolist() == [1]
    assert got.values["a"].tolist() == [-12.5]
    assert cutter.malformed == 1


@pytest.mark.parametrize("header", [[], ["time", "rpm", "lambda"]])
def test_two_lines_that_lost_the_end_between_them_are_no_line(header: list[str]) -> None:
    """`1;2;0.9` and `1;2;0.9` run together: their third field would be 0.91."""
    lines = [b"time;rpm;lambda", b"1;2;0.9", b"1;2;0.91;2;0.9", b"1;2", b"1;2;0.8;"]
    got, cutter = cut(lines[bool(header) :], LAMBDA, delimiter=";", header=header)
    assert got.values["lambda"].tolist() == [0.9, 0.8]  # a delimiter at the end is no field
    assert cutter.malformed == 2


def test_a_header_with_other_fields_is_learned_anew() -> None:
    got, cutter = cut([b"t,lambda", b"1,0.9", b"lambda,t,rpm", b"0.8,2,3000"], LAMBDA)
    assert got.values["lambda"].tolist() == [0.9, 0.8]
    assert cutter.malformed == 0


@pytest.mark.parametrize("header", [[], ["t", "temp", "temp"]])
def test_of_two_fields_with_the_wanted_name_none_is_guessed(header: list[str]) -> None:
    lines = [b"t,temp,temp", b"1,20,90"]
    got, cutter = cut(lines, {"temp": {"name": "temp"}}, header=header)
    assert len(got.record) == 0
    assert cutter.malformed == 2


@pytest.mark.parametrize("stamp", [b"1700000000000", b"1e300", b"-1"])
def test_a_stamp_that_no_clock_counts_to_gives_no_value(stamp: bytes) -> None:
    """Milliseconds since 1970 where the map says seconds do not fit 64 bits of nanoseconds."""
    lines = [stamp + b",0.9", b"5,0.8"]
    got, cutter = cut(lines, {"lambda": {"field": 1}}, clock={"field": 0})
    assert got.stamp_ns.tolist() == [-1, 5_000_000_000]
    assert got.values["lambda"].tolist() == [0.8]
    assert cutter.malformed == 1


def test_words_that_mean_no_value() -> None:
    got, cutter = cut([b"---,5"], {"a": {"field": 0, "not_available": ["---"]}, "b": {"field": 1}})
    assert math.isnan(got.values["a"][0])
    assert got.values["b"].tolist() == [5.0]
    assert cutter.malformed == 0


@pytest.mark.parametrize(
    "line",
    [
        *(b"1", b"1,2,3", b"x,2", b"nan,2", b"inf,2", b"1_0,2", b"0x10,2", b"1e999,2"),
        *(b"\xff,2", b"", b"1 2,2", "١,2".encode(), b"1.2.3,2", b"-,2", b"1,"),
    ],
)
def test_a_malformed_line_is_counted_and_gives_no_value(line: bytes) -> None:
    got, cutter = cut([line], {"a": {"field": 0}, "b": {"field": 1}}, fields=2)
    assert len(got.record) == 0
    assert cutter.malformed == 1


def test_gaps_and_what_was_sent_are_no_lines() -> None:
    cutter = LineFields(LineFormat(), {"a": LineNumber(field=0)})
    batch = RecordBatch.of(
        "d", [0, 1, 2], [b"unplugged", b"START", b"1"], flags=[Flag.GAP, Flag.SENT, 0]
    )
    assert cutter.cut(batch).record.tolist() == [2]
    assert cutter.malformed == 0


@given(st.lists(st.binary(max_size=20), max_size=20))
def test_any_bytes_give_finite_numbers_or_nothing(lines: list[bytes]) -> None:
    got, cutter = cut(lines, {"a": {"field": 0}, "b": {"field": 1}}, fields=2)
    assert len(got.record) + cutter.malformed == len(lines)
    assert all(math.isfinite(x) for column in got.values.values() for x in column)
