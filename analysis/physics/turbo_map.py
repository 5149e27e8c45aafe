"""A compressor map from a CSV file, and where on it an engine runs: surge and over-speed margins.

One point a row, in the order along its line, pressure ratio against corrected flow in g/s:

    line,value,flow_g_s,pressure_ratio
    surge,,22,1.4
    speed,120000,30,1.62
    efficiency,0.72,48,1.9

`surge` has no value, `speed` is corrected turbo speed in rpm, `efficiency` a fraction. Flow and
speed are corrected to the supplier's reference state, which thermodynamics.Reference names.
"""

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.physics.thermodynamics import Reference
from decode.errors import InputFileError, Problem
from decode.on_first_use import on_first_use
from decode.samples import FloatArray
from decode.yaml_file import read_text

interpolate = on_first_use("scipy.interpolate")  # only a car with a compressor map needs it

COLUMNS: Final = ("line", "value", "flow_g_s", "pressure_ratio")
LINES: Final = ("surge", "speed", "efficiency")
FEWEST_POINTS: Final = 2  # of a line


@dataclass(frozen=True, slots=True, eq=False)
class CompressorMap:
    """Points as float64[n, 2] (corrected flow in g/s, pressure ratio); lines by their value."""

    surge: FloatArray
    speed: Mapping[float, FloatArray]
    efficiency: Mapping[float, FloatArray]
    reference: Reference

    def surge_flow_g_s(self, pressure_ratio: FloatArray) -> FloatArray:
        """Corrected flow on the surge line at each ratio; NaN beyond the line's ends."""
        line = self.surge[np.argsort(self.surge[:, 1])]
        return np.interp(pressure_ratio, line[:, 1], line[:, 0], left=np.nan, right=np.nan)

    def surge_margin(self, flow_g_s: FloatArray, pressure_ratio: FloatArray) -> FloatArray:
        """How much more flow than at surge, as a share of it; below 0 is in surge."""
        margin: FloatArray = flow_g_s / self.surge_flow_g_s(pressure_ratio) - 1
        return margin

    def speed_rpm(self, flow_g_s: FloatArray, pressure_ratio: FloatArray) -> FloatArray:
        """Corrected turbo speed between the speed lines; NaN outside the map."""
        return _between(self.speed, flow_g_s, pressure_ratio)

    def beyond_fastest(self, flow_g_s: FloatArray, pressure_ratio: FloatArray) -> NDArray[np.bool_]:
        """Past the fastest line: a higher ratio than it gives at that flow, or more flow than it
        passes. Not where the flow is smaller than any on that line: that is the surge line's."""
        line = self.speed[max(self.speed)]
        line = line[np.argsort(line[:, 0])]
        fastest = np.interp(flow_g_s, line[:, 0], line[:, 1], left=np.nan, right=-np.inf)
        beyond: NDArray[np.bool_] = pressure_ratio > fastest
        return beyond

    def efficiency_at(self, flow_g_s: FloatArray, pressure_ratio: FloatArray) -> FloatArray:
        """Isentropic efficiency between the lines; NaN outside the innermost and outermost."""
        return _between(self.efficiency, flow_g_s, pressure_ratio)

    def speed_margin(self, corrected_speed_rpm: FloatArray) -> FloatArray:
        """How far below the map's fastest line, as a share of it; below 0 is beyond the map."""
        margin: FloatArray = 1 - corrected_speed_rpm / max(self.speed)
        return margin


def load_compressor_map(path: Path, reference: Reference) -> CompressorMap:
    """Read the file; raises InputFileError with every problem in it."""
    return parse_compressor_map(read_text(path).splitlines(), str(path), reference)


def parse_compressor_map(lines: Iterable[str], file: str, reference: Reference) -> CompressorMap:
    """The map in the text; raises InputFileError with every problem in it."""
    reader = csv.DictReader(lines)
    if tuple(reader.fieldnames or ()) != COLUMNS:
        wanted = f"the first row must be {','.join(COLUMNS)}"
        raise InputFileError(file, [Problem(1, 1, "header", wanted)])
    points: dict[tuple[str, float], list[tuple[float, float]]] = {}
    problems = []
    for row in reader:
        try:
            key, point = _point(row)
        except ValueError as error:
            problems.append(Problem(reader.line_num, 1, row["line"] or "line", str(error)))
        else:
            points.setdefault(key, []).append(point)
    problems += _missing(points)
    if problems:
        raise InputFileError(file, problems)
    kinds = {
        kind: {value: np.array(line) for (of, value), line in points.items() if of == kind}
        for kind in LINES
    }
    return CompressorMap(kinds["surge"][0.0], kinds["speed"], kinds["efficiency"], reference)


def _point(row: Mapping[str, str | None]) -> tuple[tuple[str, float], tuple[float, float]]:
    """(line, value) and (flow, ratio) of a row; ValueError says what is wrong with it."""
    kind = (row["line"] or "").strip()
    if kind not in LINES:
        raise ValueError(f"unknown line; allowed: {', '.join(LINES)}")
    value = 0.0 if kind == "surge" else _number(row, "value")
    if kind == "efficiency" and not 0 < value < 1:
        raise ValueError(f"value {value:g} is not an efficiency between 0 and 1")
    ratio = _number(row, "pressure_ratio")
    if ratio < 1:
        raise ValueError(f"pressure_ratio {ratio:g} is below 1")
    return (kind, value), (_number(row, "flow_g_s"), ratio)


def _number(row: Mapping[str, str | None], column: str) -> float:
    try:
        return float(row[column] or "")
    except ValueError:
        raise ValueError(f"{column} {row[column]!r} is not a number") from None


def _missing(points: Mapping[tuple[str, float], list[tuple[float, float]]]) -> list[Problem]:
    """Lines without which there is no margin, and lines too short to be one."""
    present = {kind for kind, _ in points}
    problems = [Problem(1, 1, kind, "no such line") for kind in LINES[:2] if kind not in present]
    return problems + [
        Problem(1, 1, kind, f"the line at {value:g} has fewer than {FEWEST_POINTS} points")
        for (kind, value), line in points.items()
        if len(line) < FEWEST_POINTS
    ]


def _between(
    lines: Mapping[float, FloatArray], flow_g_s: FloatArray, pressure_ratio: FloatArray
) -> FloatArray:
    """Linear between the points of all lines; NaN outside them or with fewer than two lines."""
    if len(lines) < FEWEST_POINTS:
        return np.full(np.shape(flow_g_s), np.nan)
    where = np.vstack(list(lines.values()))
    value = np.concatenate([np.full(len(line), value) for value, line in lines.items()])
    surface = interpolate.LinearNDInterpolator(where, value, rescale=True)
    found: FloatArray = surface(flow_g_s, pressure_ratio)
    return found
