"""The overlay's charts as Bokeh's JSON: drawn here, shown by the library's own script there."""

from dataclasses import asdict
from typing import Any, Final

from bokeh.embed import json_item
from bokeh.layouts import column
from bokeh.models import ColumnDataSource, CrosshairTool, PanTool, ResetTool, WheelZoomTool
from bokeh.models.annotations import BoxAnnotation, Span, Title
from bokeh.plotting import figure

from analysis.analyse import PullReport
from analysis.findings import Finding
from analysis.publish.display import Conversion, Units, label, shown
from analysis.publish.page.curves import CHART_OF_CHECK, Axis, Chart, Line, charts, quantities_in
from analysis.publish.palette import LineStyle, line_styles
from analysis.store import Store
from decode.quantities import Quantity

CHART_HEIGHT: Final = 220  # five charts on a desk screen of 1,080 lines
FAINT_DASH: Final = "2 4"
INK: Final = "#12161b"
RULE: Final = "#d5d8dc"
AXIS_WORDS: Final = {
    Axis.ENGINE_SPEED: "Engine speed in rpm",
    Axis.TIME: "Seconds since the sweep began",
}
# A finding about one instant still needs some width to be seen and looked at.
SHORTEST_PLACE: Final = {Axis.ENGINE_SPEED: 100.0, Axis.TIME: 0.3}


def overlay(
    store: Store, pull_ids: list[int], axis: Axis, wanted: list[Quantity] | None, units: Units
) -> dict[str, Any]:
    """The charts, the styles of the pulls, what can be picked, and where each finding lies."""
    stored = [store.pull(pull_id) for pull_id in pull_ids]
    reports = [store.load_report(pull_id) for pull_id in pull_ids]
    styles = line_styles([pull.stage_id for pull in stored])
    drawn = charts([r.pull for r in reports], [r.power for r in reports], axis, wanted)
    return {
        "item": json_item(_stack(drawn, pull_ids, styles, axis, units)),
        "axis": axis.value,
        "charts": [_described(chart, units) for chart in drawn],
        "styles": {pull.id: asdict(style) for pull, style in zip(stored, styles, strict=True)},
        "quantities": [
            {"quantity": quantity.value, "label": label(quantity)}
            for quantity in quantities_in([report.pull for report in reports])
        ],
        "charts_of_checks": {name: chart.value for name, chart in CHART_OF_CHECK.items()},
        "places": {
            pull.id: [_place(finding, report, axis) for finding in report.findings]
            for pull, report in zip(stored, reports, strict=True)
        },
    }


def _described(chart: Chart, units: Units) -> dict[str, Any]:
    unit = shown(chart.house_unit, units, chart.quantity)
    return {
        "key": chart.key,
        "title": chart.title,
        "unit": unit.symbol,
        "decimals": max(unit.decimals, 1),
    }


def _place(finding: Finding, report: PullReport, axis: Axis) -> list[float] | None:
    """Where the finding lies on the axis, wide enough to be seen; None for the whole pull."""
    where = finding.where
    if where is None:
        return None
    if axis is Axis.TIME:
        start_s = report.pull.bounds.start_s
        low, high = where.start_s - start_s, where.end_s - start_s
    elif where.start_rpm is not None and where.end_rpm is not None:
        low, high = sorted((where.start_rpm, where.end_rpm))
    else:
        return None
    missing = max(0.0, SHORTEST_PLACE[axis] - (high - low)) / 2
    return [low - missing, high + missing]


def _stack(
    drawn: list[Chart], pull_ids: list[int], styles: list[LineStyle], axis: Axis, units: Units
) -> Any:
    """All charts over one another on one axis, with one cursor and one marked place."""
    cursor = Span(dimension="height", line_color=INK, line_width=2, name="cursor")
    place = BoxAnnotation(
        fill_color="#ffb71a", fill_alpha=0.45, level="underlay", visible=False, name="place"
    )
    plots: list[Any] = []
    for chart in drawn:
        shared = {"x_range": plots[0].x_range} if plots else {}
        plot = _empty(chart, shown(chart.house_unit, units, chart.quantity), shared)
        _draw(plot, chart, pull_ids, styles, units)
        plot.add_tools(CrosshairTool(overlay=cursor))
        plot.renderers.append(place)
        plots.append(plot)
    if plots:
        plots[-1].xaxis.axis_label = AXIS_WORDS[axis]
        plots[-1].height = CHART_HEIGHT + 30  # room for the axis' words
    return column(plots, sizing_mode="stretch_width", name="charts")


def _empty(chart: Chart, unit: Conversion, shared: dict[str, Any]) -> Any:
    # The wheel scrolls the page; with Shift, or by the keys, it zooms.
    zoom = WheelZoomTool(dimensions="width", modifiers={"shift": True})
    title = f"{chart.title}, {unit.symbol}" if unit.symbol else chart.title
    plot = figure(
        height=CHART_HEIGHT,
        sizing_mode="stretch_width",
        tools=[PanTool(dimensions="width"), zoom, ResetTool()],
        toolbar_location=None,
        title=Title(text=title, text_color=INK, text_font_size="15px"),
        name=chart.key,
        outline_line_color=None,
        min_border_left=64,
        **shared,
    )
    plot.axis.axis_label_text_font_style = "normal"
    plot.axis.major_label_text_font_size = "13px"
    plot.axis.major_label_text_color = INK
    plot.grid.grid_line_color = RULE
    return plot


def _draw(
    plot: Any, chart: Chart, pull_ids: list[int], styles: list[LineStyle], units: Units
) -> None:
    """All lines as one glyph: a glyph a line costs ten times as much, here and in the browser."""
    unit = shown(chart.house_unit, units, chart.quantity)
    rows = [
        (pull_id, line, _dash(style, line, index, len(pull_ids)), style.colour)
        for pull_id, style, lines in zip(pull_ids, styles, chart.lines, strict=True)
        for index, line in enumerate(lines)
    ]
    columns: dict[str, Any] = {
        "x": [line.x for _pull, line, _dash, _colour in rows],
        "y": [line.y * unit.factor + unit.offset for _pull, line, _dash, _colour in rows],
        "dash": [dash for _pull, _line, dash, _colour in rows],
        "colour": [colour for _pull, _line, _dash, colour in rows],
        "width": [1.4 if line.faint else 2.4 for _pull, line, _dash, _colour in rows],
        "pull": [pull_id for pull_id, _line, _dash, _colour in rows],
        "name": [line.name for _pull, line, _dash, _colour in rows],
    }
    plot.multi_line(
        "x",
        "y",
        source=ColumnDataSource(columns, name=chart.key),
        line_color="colour",
        line_dash="dash",
        line_width="width",
    )


def _dash(style: LineStyle, line: Line, index: int, pulls: int) -> str:
    """Dashes tell the pulls of a stage apart; in a single pull, its cylinders."""
    if line.faint:
        return FAINT_DASH
    dash = style.dash if pulls > 1 else line_styles([0] * (index + 1))[index].dash
    return " ".join(map(str, dash)) or "solid"
