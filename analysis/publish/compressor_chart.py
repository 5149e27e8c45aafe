"""The compressor map with the pulls' operating lines on it, as inline SVG."""

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
from markupsafe import Markup

from analysis.checks.operating_line import OperatingLine
from analysis.publish.charts import Curve, line_chart
from analysis.publish.palette import LineStyle, line_styles
from analysis.turbo_map import CompressorMap

SPEED_STYLE: Final = LineStyle("#9aa1a9", ())
SURGE_STYLE: Final = LineStyle("#b04a00", (9, 4))


def compressor_chart(
    compressor: CompressorMap, pulls: Sequence[tuple[str, OperatingLine]]
) -> Markup:
    """pulls: (name, line) each; pulls of one name are drawn alike."""
    styles = line_styles([name for name, _ in pulls])
    lines = [
        Curve(name, line.flow_g_s, line.pressure_ratio, LineStyle(style.colour, ()))
        for (name, line), style in zip(pulls, styles, strict=True)
    ]
    return line_chart(
        "On the compressor map",
        [*_map_curves(compressor), *lines],
        "Air flow in g/s, corrected to the map's reference",
        "Pressure ratio",
    )


def _map_curves(compressor: CompressorMap) -> Iterator[Curve]:
    surge = compressor.surge[np.argsort(compressor.surge[:, 1])]
    yield Curve("surge line", surge[:, 0], surge[:, 1], SURGE_STYLE)
    speeds = sorted(compressor.speed)
    name = f"lines of turbo speed, {speeds[0]:,.0f} to {speeds[-1]:,.0f} rpm"
    for speed in speeds:
        line = compressor.speed[speed]
        yield Curve(name, line[:, 0], line[:, 1], SPEED_STYLE)
