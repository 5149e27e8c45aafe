"""Compressor map from CSV: margins, interpolation, and every mistake of the file at once."""

from pathlib import Path

import numpy as np
import pytest

from analysis.physics.thermodynamics import Reference
from analysis.physics.turbo_map import CompressorMap, load_compressor_map
from decode.errors import InputFileError

GOOD = """line,value,flow_g_s,pressure_ratio
surge,,20,1.2
surge,,40,2.0
surge,,60,2.8
speed,100000,25,1.4
speed,100000,70,1.3
speed,150000,45,2.1
speed,150000,100,1.9
speed,180000,65,2.9
speed,180000,120,2.5
efficiency,0.70,50,1.8
efficiency,0.70,60,2.2
efficiency,0.74,70,1.9
"""
GOOD += "efficiency,0.74,75,2.2\n"


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "map.csv"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture
def compressor(tmp_path: Path) -> CompressorMap:
    return load_compressor_map(written(tmp_path, GOOD), Reference())


def test_surge_margin_is_flow_over_that_at_surge(compressor: CompressorMap) -> None:
    ratio = np.array([1.6, 2.0, 3.2])
    assert compressor.surge_flow_g_s(ratio)[:2] == pytest.approx([30.0, 40.0])
    margin = compressor.surge_margin(np.array([36.0, 30.0, 80.0]), ratio)
    assert margin[:2] == pytest.approx([0.2, -0.25])
    assert np.isnan(margin[2])  # beyond the surge line: not known, not safe


def test_speed_and_efficiency_lie_between_their_lines(compressor: CompressorMap) -> None:
    flow, ratio = np.array([45.0, 70.0, 200.0]), np.array([2.1, 1.9, 1.5])
    speed = compressor.speed_rpm(flow, ratio)
    assert speed[0] == pytest.approx(150_000)
    assert 100_000 < speed[1] < 180_000
    assert np.isnan(speed[2])
    assert compressor.efficiency_at(flow, ratio)[1] == pytest.approx(0.74)
    assert compressor.speed_margin(np.array([171_000.0, 189_000.0])) == pytest.approx([0.05, -0.05])


def test_every_mistake_is_told_with_its_line(tmp_path: Path) -> None:
    text = (
        "line,value,flow_g_s,pressure_ratio\n"
        "surge,,20,1.2\nsurge,,x,2.0\nisland,0.7,50,1.8\n"
        "efficiency,74,50,1.8\nspeed,100000,25,0.4\n"
    )
    with pytest.raises(InputFileError) as raised:
        load_compressor_map(written(tmp_path, text), Reference())
    told = "\n".join(raised.value.lines())
    for line, words in [
        (3, "flow_g_s 'x' is not a number"),
        (4, "unknown line; allowed: surge, speed, efficiency"),
        (5, "is not an efficiency"),
        (6, "below 1"),
        (1, "speed: no such line"),
        (1, "fewer than 2 points"),
    ]:
        assert any(f":{line}:1:" in one and words in one for one in told.splitlines()), words


def test_a_wrong_header_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputFileError, match="the first row must be"):
        load_compressor_map(written(tmp_path, "a,b\n1,2\n"), Reference())
