"""Charts over one another on one axis, as Bokeh's models."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from bokeh.layouts import column
from bokeh.models import ColumnDataSource, CrosshairTool, PanTool, ResetTool, WheelZoomTool
from bokeh.models.annotations import BoxAnnotation, Span, Title
from bokeh.plotting import figure

from analysis.publish.display import Conversion, Units, shown
from analysis.publish.page.curves import Axis, Chart, Line
from analysis.publish.page.stage_bands import StageBand
from analysis.publish.palette import COLOURS, LineStyle, line_styles
from decode.samples import FloatArray

CHART_HEIGHT: Final = 220  # five charts on a desk screen of 1,080 lines
FAINT_DASHES: Final = ("2 4", "10 3 2 3")  # what stands beside the measured line, in its order
OF_NO_PULL: Final = 0  # pulls are numbered from 1
FONT: Final = "system-ui, sans-serif"
INK: Final = "#12161b"
RULE: Final = "#d5d8dc"
AXIS_WORDS: Final = {
    Axis.ENGINE_SPEED: "Engine speed in rpm",
    Axis.TIME: "Seconds since the sweep began",
}


@dataclass(frozen=True, slots=True)
class _Stroke:
    """One line on a chart, in the shown unit."""

    x: FloatArray
    y: FloatArray
    dash: str
    colour: str
    width: float
    alpha: float
    pull: int
    name: str


class Drawing:
    """The pulls of one overlay: their stages, their styles, the user's units."""

    def __init__(
        self, pull_ids: Sequence[int], stage_ids: Sequence[int], axis: Axis, units: Units
    ) -> None:
        self.styles = line_styles(stage_ids)
        self._pull_ids = pull_ids
        self._stage_ids = stage_ids
        self._axis = axis
        self._units = units

    def stack(self, drawn: Sequence[Chart], bands: Mapping[str, Sequence[StageBand]]) -> Any:
        """All charts over one another on one axis, with one cursor and one marked place."""
        cursor = Span(dimension="height", line_color=INK, line_width=2, name="cursor")
        place = BoxAnnotation(
            fill_color="#ffb71a", fill_alpha=0.45, level="underlay", visible=False, name="place"
        )
        plots: list[Any] = []
        for chart in drawn:
            shared = {"x_range": plots[0].x_range} if plots else {}
            unit = shown(chart.house_unit, self._units, chart.quantity)
            plot = _empty(chart, unit, shared)
            self._draw(plot, chart, unit, bands.get(chart.key, ()))
            plot.add_tools(CrosshairTool(overlay=cursor))
            plot.renderers.append(place)
            plots.append(plot)
        if plots:
            plots[-1].xaxis.axis_label = AXIS_WORDS[self._axis]
            plots[-1].height = CHART_HEIGHT + 30  # room for the axis' words
        return column(plots, sizing_mode="stretch_width", name="charts")

    def _draw(self, plot: Any, chart: Chart, unit: Conversion, bands: Sequence[StageBand]) -> None:
        """All lines as one glyph: a glyph a line costs ten times as much, here and there."""
        if any(band.half_width is not None for band in bands):
            plot.patches("x", "y", source=self._areas(unit, bands), fill_color="colour",
                         fill_alpha=0.2, line_color=None)  # fmt: skip
        strokes = [*self._pulls(chart, unit, bool(bands)), *self._means(unit, bands)]
        names = _Stroke.__slots__
        columns: dict[str, Any] = {
            name: [getattr(stroke, name) for stroke in strokes] for name in names
        }
        plot.multi_line(
            "x",
            "y",
            source=ColumnDataSource(columns, name=chart.key),
            line_color="colour",
            line_dash="dash",
            line_width="width",
            line_alpha="alpha",
        )

    def _pulls(self, chart: Chart, unit: Conversion, behind: bool) -> Iterator[_Stroke]:
        """behind: the stages' means are what is looked at."""
        wide, alpha = (1.0, 0.6) if behind else (2.4, 1.0)
        for pull_id, style, lines in zip(self._pull_ids, self.styles, chart.lines, strict=True):
            for index, line in enumerate(lines):
                yield _Stroke(
                    x=line.x,
                    y=line.y * unit.factor + unit.offset,
                    dash=self._dash(style, line, index),
                    colour=style.colour,
                    width=min(1.4, wide) if line.faint else wide,
                    alpha=0.25 if line.faint and behind else alpha,
                    pull=pull_id,
                    name=line.name,
                )

    def _means(self, unit: Conversion, bands: Sequence[StageBand]) -> Iterator[_Stroke]:
        for band in bands:
            mean = band.mean * unit.factor + unit.offset
            colour = self._colour(band)
            yield _Stroke(band.x, mean, "solid", colour, 3.0, 1.0, OF_NO_PULL, "mean")

    def _areas(self, unit: Conversion, bands: Sequence[StageBand]) -> ColumnDataSource:
        known = [(band, band.half_width) for band in bands if band.half_width is not None]
        around = [
            np.concatenate([band.mean + half, (band.mean - half)[::-1]]) for band, half in known
        ]
        columns: dict[str, Any] = {
            "x": [np.concatenate([band.x, band.x[::-1]]) for band, _ in known],
            "y": [outline * unit.factor + unit.offset for outline in around],
            "colour": [self._colour(band) for band, _ in known],
        }
        return ColumnDataSource(columns)

    def described(self, chart: Chart, band: StageBand) -> dict[str, Any]:
        """The band as the cursor reads it, in the shown unit."""
        unit = shown(chart.house_unit, self._units, chart.quantity)
        half_width = None if band.half_width is None else band.half_width * unit.factor
        return {
            "chart": chart.key,
            "stage_id": band.stage_id,
            "colour": self._colour(band),
            "x": band.x.tolist(),
            "mean": (band.mean * unit.factor + unit.offset).tolist(),
            "half_width": None if half_width is None else half_width.tolist(),
        }

    def _colour(self, band: StageBand) -> str:
        order = list(dict.fromkeys(self._stage_ids))
        return COLOURS[order.index(band.stage_id) % len(COLOURS)]

    def _dash(self, style: LineStyle, line: Line, index: int) -> str:
        """Dashes tell the pulls of a stage apart; in a single pull, its cylinders."""
        if line.faint:
            return FAINT_DASHES[min(index - 1, len(FAINT_DASHES) - 1)]
        alone = len(self._pull_ids) == 1
        dash = line_styles([0] * (index + 1))[index].dash if alone else style.dash
        return " ".join(map(str, dash)) or "solid"


def _empty(chart: Chart, unit: Conversion, shared: Mapping[str, Any]) -> Any:
    # The wheel scrolls the page; with Shift, or by the keys, it zooms.
    zoom = WheelZoomTool(dimensions="width", modifiers={"shift": True})
    title = f"{chart.title}, {unit.symbol}" if unit.symbol else chart.title
    plot = figure(
        height=CHART_HEIGHT,
        sizing_mode="stretch_width",
        tools=[PanTool(dimensions="width"), zoom, ResetTool()],
        toolbar_location=None,
        title=Title(text=title, text_color=INK, text_font=FONT, text_font_size="15px"),
        name=chart.key,
        outline_line_color=None,
        min_border_left=64,
        **shared,
    )
    plot.axis.axis_label_text_font = plot.axis.major_label_text_font = FONT
    plot.axis.axis_label_text_font_style = "normal"
    plot.axis.major_label_text_font_size = "13px"
    plot.axis.major_label_text_color = INK
    plot.grid.grid_line_color = RULE
    return plot
