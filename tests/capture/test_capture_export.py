from pathlib import Path

import numpy as np
import pytest

from capture.recording.any_recording import open_recording
from capture.recording.export import ExportError, export, joined_table
from decode.samples import Channel, Samples

CHANNELS = {
    "engine_speed": Channel("engine_speed", "rpm", source="engine"),
    "boost": Channel("boost", "kPa", source="engine"),
    "lambda": Channel("lambda", "", source="lambda"),
    "absent": Channel("absent", "V"),
}
SAMPLES = {
    "engine_speed": Samples(np.array([0.0, 0.01, 0.02]), np.array([1500.0, 1510.25, 1530.1])),
    "boost": Samples(np.array([0.01, 0.01, 0.025]), np.array([1.0, 2.0, 1 / 3])),
    "lambda": Samples(np.array([0.004]), np.array([0.87])),
}


@pytest.mark.parametrize("suffix", [".csv", ".parquet", ".mf4"])
def test_what_is_exported_is_imported_again_sample_by_sample(tmp_path: Path, suffix: str) -> None:
    if suffix == ".mf4":
        pytest.importorskip("asammdf")
    path = tmp_path / f"pull{suffix}"
    export(path, SAMPLES, CHANNELS)
    table = open_recording(path)
    columns = table.session.sources[0].columns
    found: dict[str, list[tuple[float, float]]] = {}
    for batch in table.batches():
        values = batch.data.view("<f8")
        for time_ns, column, value in zip(batch.arrived_ns, batch.address, values, strict=True):
            name = columns[column].split(" [")[0]
            found.setdefault(name, []).append((time_ns / 1e9, float(value)))
    assert found == {
        name: list(zip(s.time_s.tolist(), s.value.tolist(), strict=True))
        for name, s in SAMPLES.items()
    }


def test_the_joined_table_names_units_and_interpolates_nothing() -> None:
    table = joined_table(SAMPLES, CHANNELS)
    assert list(table.columns) == ["time [s]", "engine_speed [rpm]", "boost [kPa]", "lambda"]
    assert table["time [s]"].tolist() == [0.0, 0.004, 0.01, 0.01, 0.02, 0.025]
    assert table.drop(columns="time [s]").count().sum() == 7
    assert joined_table({}, CHANNELS).empty


def test_mdf4_keeps_names_units_and_sources(tmp_path: Path) -> None:
    asammdf = pytest.importorskip("asammdf")
    export(tmp_path / "pull.mf4", SAMPLES, CHANNELS)
    with asammdf.MDF(tmp_path / "pull.mf4") as mdf:
        assert mdf.get("boost").unit == "kPa"
        assert mdf.get("engine_speed").timestamps.tolist() == [0.0, 0.01, 0.02]


def test_what_cannot_be_written_is_told(tmp_path: Path) -> None:
    with pytest.raises(ExportError, match="suffix"):
        export(tmp_path / "pull.xls", SAMPLES, CHANNELS)
    with pytest.raises(ExportError, match="cannot be written"):
        export(tmp_path / "no folder" / "pull.csv", SAMPLES, CHANNELS)
