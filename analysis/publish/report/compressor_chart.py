"""The compressor map with the pulls' operating lines on it, as inline SVG."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from markupsafe import Markup

from analysis.archive.jobs import Stage, StoredPull
from analysis.archive.store import Store
from analysis.checks.check import Context
from analysis.checks.operating_line import OperatingLine, operating_line
from analysis.model.setup import Setup
from analysis.phrases.reader import HOUSE_READER, Reader
from analysis.phrases.say import amount, say
from analysis.physics.turbo_map import CompressorMap
from analysis.publish.report.charts import Curve, line_chart
from analysis.publish.report.palette import LineStyle, line_styles

SPEED_STYLE: Final = LineStyle("#9aa1a9", ())
SURGE_STYLE: Final = LineStyle("#b04a00", (9, 4))


def pulls_on_map(
    store: Store,
    pulls: Sequence[StoredPull],
    stages: Mapping[int, Stage],
    station: Setup,
    reader: Reader = HOUSE_READER,
) -> Markup | None:
    """Pulls of one stage are drawn alike. None where the station names no map, or nothing of the
    pulls can be laid on it; a pull that was judged by another map is left out."""
    if station.compressor_map is None:
        return None
    lines = [
        (stages[pull.stage_id].name, line)
        for pull in pulls
        if (setup := _setup(pull, station)) is not None
        and (line := operating_line(store.report_of(pull).pull, Context(setup))) is not None
        and len(line.time_s)
    ]
    return compressor_chart(station.compressor_map, lines, reader) if lines else None


def _setup(pull: StoredPull, station: Setup) -> Setup | None:
    """What held for the pull, with the map; None where its car had another."""
    kept = station if pull.setup is None else pull.setup
    if kept.car.compressor_map != station.car.compressor_map:
        return None
    return replace(kept, compressor_map=station.compressor_map)


def compressor_chart(
    compressor: CompressorMap,
    pulls: Sequence[tuple[str, OperatingLine]],
    reader: Reader = HOUSE_READER,
) -> Markup:
    """pulls: (name, line) each; pulls of one name are drawn alike."""
    styles = line_styles([name for name, _ in pulls])
    lines = [
        Curve(name, line.flow_g_s, line.pressure_ratio, LineStyle(style.colour, ()))
        for (name, line), style in zip(pulls, styles, strict=True)
    ]
    return line_chart(
        reader.phrase("chart-compressor"),
        [*_map_curves(compressor, reader), *lines],
        reader.phrase("chart-air-flow"),
        reader.phrase("chart-pressure-ratio"),
    )


def _map_curves(compressor: CompressorMap, reader: Reader) -> Iterator[Curve]:
    surge = compressor.surge[np.argsort(compressor.surge[:, 1])]
    yield Curve(reader.phrase("chart-surge-line"), surge[:, 0], surge[:, 1], SURGE_STYLE)
    speeds = sorted(compressor.speed)
    low, high = amount(speeds[0], "rpm"), amount(speeds[-1], "rpm")
    name = reader.text(say("chart-turbo-speed-lines", low=low, high=high))
    for speed in speeds:
        line = compressor.speed[speed]
        yield Curve(name, line[:, 0], line[:, 1], SPEED_STYLE)
