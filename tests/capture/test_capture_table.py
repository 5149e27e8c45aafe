import gzip
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from capture.sources.tables.mdf_table import read_mdf_table
from capture.sources.tables.table import TableRecording, read_table
from capture.sources.tables.table_layout import detect_layout, unique
from capture.sources.tables.table_time import is_time_header, time_column_of
from decode.errors import InputFileError
from decode.records import SourceKind


def cells(table: TableRecording) -> dict[str, list[tuple[float, float]]]:
    """Time and value of every cell, by header."""
    headers = table.session.sources[0].columns
    found: dict[str, list[tuple[float, float]]] = {}
    for batch in table.batches():
        values = batch.data.view("<f8")
        for time_ns, column, value in zip(batch.arrived_ns, batch.address, values, strict=True):
            found.setdefault(headers[column], []).append((time_ns / 1e9, float(value)))
    return found


def read(folder: Path, text: str, encoding: str = "utf-8", name: str = "log.csv") -> TableRecording:
    (folder / name).write_bytes(text.encode(encoding))
    return read_table(folder / name)


def test_the_plainest_table(tmp_path: Path) -> None:
    table = read(tmp_path, "time,Engine speed,Boost\n0.0,1500,\n0.1,1510,101.5\n0.2,1530,102\n")
    source = table.session.sources[0]
    assert (source.name, source.kind) == ("table", SourceKind.TABLE)
    assert cells(table) == {
        "Engine speed": [(0.0, 1500.0), (0.1, 1510.0), (0.2, 1530.0)],
        "Boost": [(0.1, 101.5), (0.2, 102.0)],
    }
    assert table.torn is None


def test_a_table_of_another_country(tmp_path: Path) -> None:
    text = (
        "Messung;Prüfstand 1\nDatum;01.02.2026\n\n"
        "Zeit;Drehzahl;Ladedruck;Öltemperatur\nms;1/min;mbar;°C\n"
        "5000;1500,5;1013,2;90,0\n5010;1512,25;1020,0;90,1\n5020;1530,0;ein;90,2\n"
    )
    table = read(tmp_path, text, "cp1252")
    assert cells(table)["Drehzahl"] == [(5.0, 1500.5), (5.01, 1512.25), (5.02, 1530.0)]
    assert cells(table)["Ladedruck"] == [(5.0, 1013.2), (5.01, 1020.0)]
    notes = "\n".join(table.notes)
    assert (
        "cp1252, divided by semicolon, decimal comma, header in line 4, data from line 6" in notes
    )
    assert 'time from "Zeit": ms, as its column says' in notes
    assert '"Ladedruck": 1 of 3 cells are no numbers' in notes


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("delimiter", [";", "\t", ",", "|"])
def test_every_delimiter_and_encoding(tmp_path: Path, delimiter: str, encoding: str) -> None:
    rows = [["Time (s)", "Temp [°C]"], ["0.5", "20.25"], ["1.5", "20.5"], ["2.5", "20.75"]]
    table = read(tmp_path, "\n".join(delimiter.join(row) for row in rows), encoding)
    assert cells(table) == {"Temp [°C]": [(0.5, 20.25), (1.5, 20.5), (2.5, 20.75)]}


def test_quoted_decimal_commas_between_commas(tmp_path: Path) -> None:
    table = read(tmp_path, 'time,"rpm"\n"0,01","1500,5"\n"0,02","1501,5"\n')
    assert cells(table) == {"rpm": [(0.01, 1500.5), (0.02, 1501.5)]}


def test_a_time_column_for_each_channel(tmp_path: Path) -> None:
    text = "Time;rpm;Time;boost\n0.00;1500;0.05;101\n0.10;1510;0.25;102\n0.20;1520;;\n"
    table = read(tmp_path, text)
    assert cells(table) == {
        "rpm": [(0.0, 1500.0), (0.1, 1510.0), (0.2, 1520.0)],
        "boost": [(0.05, 101.0), (0.25, 102.0)],
    }
    arrived = [int(t) for batch in table.batches() for t in batch.arrived_ns]
    assert arrived == sorted(arrived)


def test_clock_times_of_several_columns_stay_on_one_clock(tmp_path: Path) -> None:
    text = (
        "Time;rpm;Time;boost;Time;nothing\n23:59:59.5;1500;00:00:00.25;101;;\n"
        "23:59:59.6;1510;00:00:01.25;102;;\n23:59:59.7;1520;;;;\n23:59:59.8;1520;;;;\n"
        "00:00:00.0;1530;;;;\n"
    )
    table = read(tmp_path, text)
    found = cells(table)
    assert (
        table.notes[1] == 'time from "Time" and 1 more columns: clock times, counted from the first'
    )
    np.testing.assert_allclose([t for t, _ in found["rpm"]], [0.0, 0.1, 0.2, 0.3, 0.5])
    np.testing.assert_allclose([t for t, _ in found["boost"]], [0.75, 1.75])
    assert list(found) == ["rpm", "boost"]


def test_parted_thousands_are_no_decimals(tmp_path: Path) -> None:
    text = "Zeit;Drehzahl;Druck\ns;1/min;bar\n1;950;1,5\n2;6.500;1,6\n3;6.550;1,7\n"
    table = read(tmp_path, text)
    assert cells(table)["Drehzahl"] == [(1.0, 950.0)]
    assert table.notes[-1] == (
        '"Drehzahl": 2 of 3 cells are no numbers, the first is "6.500" in line 4'
    )
    # most numbers have a point, but what a comma parts is no thousands
    text = "Zeit;Drehzahl;Last;Druck\n1;6.500;1.100;1,5\n2;6.510;1.200;1,6\n"
    assert cells(read(tmp_path, text)) == {"Druck": [(1.0, 1.5), (2.0, 1.6)]}


def test_lines_with_more_cells_than_names_give_nothing(tmp_path: Path) -> None:
    table = read(tmp_path, "time;rpm;\n0.1;1500;\n0.2;1510;0.3;1520\n0.4;1530;\n0.5;1540;;;\n")
    assert cells(table) == {"rpm": [(0.1, 1500.0), (0.4, 1530.0), (0.5, 1540.0)]}
    assert "1 of 4 lines have more cells than the 3 names and are left out" in table.notes[1]
    assert "the first is line 3" in table.notes[1]
    with pytest.raises(InputFileError, match=r"log.csv:2:1: .* names: .* decimal comma .* quotes"):
        read(tmp_path, "time,rpm,boost\n0,10,1500,5,101,3\n0,20,1501,5,102,3\n")


def test_words_for_no_value_are_empty_cells(tmp_path: Path) -> None:
    text = "time,a,b,c\n0.1,NaN,n/a,-\n0.2,1,NaN,NaN\n0.3,2,3,null\n"
    table = read(tmp_path, text)
    assert cells(table) == {"a": [(0.2, 1.0), (0.3, 2.0)], "b": [(0.3, 3.0)]}
    assert not any("no numbers" in note for note in table.notes)


def test_times_that_are_none_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputFileError, match=r'log.csv:3:1: .*"Zeit" holds no times: "1.000"'):
        read(tmp_path, "Zeit;Druck\ns;bar\n1.000;1,5\n2.000;1,6\n")
    with pytest.raises(InputFileError, match=r"its times span 9e\+21 s"):
        read(tmp_path, "time;rpm\n1e30;1\n1e31;2\n")


def test_one_time_column_serves_columns_on_both_sides() -> None:
    assert time_column_of(["rpm", "Time", "boost", "injection time"]) == [1, None, 1, 1]
    assert time_column_of(["Zeitstempel", "Time", "rpm"]) == [None, None, 0]


@pytest.mark.parametrize(
    ("header", "expected"),
    [
        ("Time", True),
        ("time_ms", True),
        ("Zeit [s]", True),
        ("Elapsed Time (sec)", True),
        ("Tiempo", True),
        ("Injection time (ms)", False),
        ("Ignition timing", False),
        ("s", False),
    ],
)
def test_headers_that_are_a_time_axis(header: str, expected: bool) -> None:
    assert is_time_header(header) is expected


@pytest.mark.parametrize(
    ("header", "times", "expected"),
    [
        ("time", ["10", "20", "30"], [0.01, 0.02, 0.03]),
        ("time", ["10", "12", "14"], [10.0, 12.0, 14.0]),
        ("time_us", ["1000000", "1000100", "1000200"], [1.0, 1.0001, 1.0002]),
        ("clock", ["23:59:59.5", "00:00:00.0", "00:00:01.25"], [0.0, 0.5, 1.75]),
        (
            "clock",
            ["2026-02-01 10:00:00,5", "2026-02-01 10:00:01,5", "2026-02-01 10:00:03,0"],
            [0.0, 1.0, 2.5],
        ),
        ("clock", ["01:02.5", "01:03.0", "01:04.0"], [0.0, 0.5, 1.5]),
        ("clock", ["11:59:59 AM", "12:00:00 PM", "01:00:00 p.m."], [0.0, 1.0, 3_601.0]),
        ("clock", ["12:59:59 AM", "1:00:00 AM", "1:00:01.5AM"], [0.0, 1.0, 2.5]),
        (
            "clock",
            ["2026-02-01T10:00:00.5+01:00", "2026-02-01T10:00:01.5+01:00"],
            [0.0, 1.0],
        ),
        ("time (h)", ["0.001", "0.002", "0.003"], [3.6, 7.2, 10.8]),
        ("timestamp", ["1767225600.0", "1767225600.5", "1767225601.0"], [0.0, 0.5, 1.0]),
        ("timestamp", ["1767225600000", "1767225600500", "1767225601000"], [0.0, 0.5, 1.0]),
        ("time", ["-0.5", "0.0", "0.5"], [0.0, 0.5, 1.0]),
    ],
)
def test_times_in_every_writing(
    tmp_path: Path, header: str, times: list[str], expected: list[float]
) -> None:
    rows = "\n".join(f"{time};{1500 + i}" for i, time in enumerate(times))
    table = read(tmp_path, f"{header};rpm\n{rows}\n")
    np.testing.assert_allclose([t for t, _ in cells(table)["rpm"]], expected, atol=1e-6)


def test_rows_a_little_out_of_order_are_sorted_and_a_second_log_is_refused(tmp_path: Path) -> None:
    table = read(tmp_path, "time,rpm\n0.0,1\n0.2,3\n0.1,2\n0.3,4\n")
    assert [value for _, value in cells(table)["rpm"]] == [1, 2, 3, 4]
    with pytest.raises(InputFileError, match=r"log.csv:5:1: .* goes back from 60.1 s to 0 s"):
        read(tmp_path, "time,rpm\n60.0,1\n60.05,1\n60.1,2\n0.0,1\n0.1,2\n")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n\n",
        "no table at all",
        "1,2\n3,4\n",
        "a,b\nc,d\n",
        "rpm,boost\n1,2\n3,4\n",
        "\x00\xff" * 50,
    ],
)
def test_what_is_no_table_with_times_is_refused(tmp_path: Path, text: str) -> None:
    with pytest.raises(InputFileError, match=r"log\.csv:1:1"):
        read(tmp_path, text, "latin-1")


def test_an_absent_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputFileError, match="cannot be read"):
        read_table(tmp_path / "absent.csv")


def test_a_damaged_packed_file_is_refused(tmp_path: Path) -> None:
    rows = "".join(f"{i / 10};{i * i}\n" for i in range(2_000))
    packed = bytearray(gzip.compress(f"time;rpm\n{rows}".encode()))
    packed[500:600] = bytes(100)
    (tmp_path / "log.csv.gz").write_bytes(packed)
    with pytest.raises(InputFileError, match=r"log.csv.gz:1:1: .* cannot be read"):
        read_table(tmp_path / "log.csv.gz")


def test_repeated_headers_stay_apart(tmp_path: Path) -> None:
    (tmp_path / "x").touch()
    layout = detect_layout(tmp_path / "x", "time,rpm,rpm\n0.1,1,2\n0.2,3,4\n", "utf-8")
    assert layout.headers == ("time", "rpm", "rpm (2)")
    assert unique(["a", "a", "a (2)", "", ""]) == ["a", "a (3)", "a (2)", "", ""]


def test_a_unit_that_is_none_of_time_is_said(tmp_path: Path) -> None:
    table = read(tmp_path, "time (ticks);rpm\n1;1500\n2;1510\n")
    assert 'as its unit "ticks" is none of time' in table.notes[1]


def test_parquet(tmp_path: Path) -> None:
    frame = pd.DataFrame({"time": [0.1, 0.2], "rpm": [1500, 1510], "note": ["a", "b"]})
    frame.to_parquet(tmp_path / "log.parquet")
    assert cells(read_table(tmp_path / "log.parquet")) == {"rpm": [(0.1, 1500.0), (0.2, 1510.0)]}
    dated = pd.DataFrame({"rpm": [1.0, 2.0]}, index=pd.to_datetime(["2026-02-01", "2026-02-02"]))
    dated.rename_axis("timestamp").to_parquet(tmp_path / "dated.parquet")
    table = read_table(tmp_path / "dated.parquet")
    assert cells(table) == {"rpm": [(0.0, 1.0), (86_400.0, 2.0)]}
    assert table.session.started_unix_ns == pd.Timestamp("2026-02-01").value


def test_times_and_units_of_parquet(tmp_path: Path) -> None:
    file = tmp_path / "log.parquet"
    dates = pd.to_datetime(["2026-02-01T00:00:00", "NaT", "2026-02-01T00:00:02"])
    pd.DataFrame({"time": dates.tz_localize("Europe/Berlin"), "rpm": [1, 2, 3]}).to_parquet(file)
    table = read_table(file)
    assert cells(table) == {"rpm": [(0.0, 1.0), (2.0, 3.0)]}
    assert table.session.started_unix_ns == pd.Timestamp("2026-01-31T23:00").value
    pd.DataFrame({"time": pd.to_timedelta(["1s", "2s"]), "rpm": [1, 2]}).to_parquet(file)
    assert cells(read_table(file)) == {"rpm": [(1.0, 1.0), (2.0, 2.0)]}
    pd.DataFrame({"time [ms]": [1.0, 2.0], "rpm [1/min]": [1, 2]}).to_parquet(file)
    table = read_table(file)
    assert cells(table) == {"rpm [1/min]": [(0.001, 1.0), (0.002, 2.0)]}
    assert table.units == ("ms", "1/min")


def test_mdf_names_once_units_and_no_value_that_is_said_to_be_invalid(tmp_path: Path) -> None:
    asammdf = pytest.importorskip("asammdf")
    time_s = np.array([0.0, 0.5, 1.0])
    with asammdf.MDF(version="4.10") as mdf:
        for unit, invalid in (("rpm", [False, True, False]), ("Nm", [False, False, False])):
            bits = np.array(invalid)
            value = np.array([1.0, 2.0, 3.0])
            signal = asammdf.Signal(value, time_s, name="n", unit=unit, invalidation_bits=bits)
            mdf.append(signal)
        mdf.save(tmp_path / "log.mf4")
    table = read_mdf_table(tmp_path / "log.mf4")
    assert cells(table) == {
        "n": [(0.0, 1.0), (1.0, 3.0)],
        "n (2)": [(0.0, 1.0), (0.5, 2.0), (1.0, 3.0)],
    }
    assert table.units == ("rpm", "Nm")


def test_a_real_log_of_a_real_car(open_data: Path) -> None:
    table = read_table(open_data / "kit_obd2" / "2017-07-13_KA_KA_Normal.csv.gz")
    found = cells(table)
    assert len(found) == 10
    assert table.session.sources[0].columns[0] == "Time"
    for name, samples in found.items():
        time_s = np.array([time for time, _ in samples])
        assert (np.diff(time_s) >= 0).all(), name
        assert time_s[-1] > 1_000
