"""The overlay: its charts as plain data, which the page draws, and what it shows beside them."""

from dataclasses import asdict, dataclass
from typing import Any, Final

from analysis.archive.store import Store
from analysis.judging.pull_report import PullReport
from analysis.model.findings import Finding
from analysis.model.setup import LossConvention, Standard
from analysis.phrases.reader import Reader
from analysis.phrases.units import HOUSE, Units
from analysis.power.curve import PowerCurve
from analysis.publish.page.band_statements import band_statements, left_out
from analysis.publish.page.conventions import power_under
from analysis.publish.page.curves import (
    CHART_OF_CHECK,
    Axis,
    Window,
    charts,
    quantities_in,
)
from analysis.publish.page.drawing import Drawing, points
from analysis.publish.page.stage_bands import StageBand, stage_bands
from analysis.publish.wording.display import label, shown
from decode.quantities import Quantity

# A finding about one instant still needs some width to be seen and looked at.
SHORTEST_PLACE: Final = {Axis.ENGINE_SPEED: 100.0, Axis.TIME: 0.3}


@dataclass(frozen=True, slots=True)
class OverlayRequest:
    """How an overlay is to be drawn.

    wanted: quantities, None for the first ones. correction, loss: None as the pulls were stored.
    resampled: on the comparisons' grid. bands: each stage's mean and its band (over engine speed).
    """

    axis: Axis = Axis.ENGINE_SPEED
    wanted: list[Quantity] | None = None
    units: Units = HOUSE
    correction: Standard | None = None
    loss: LossConvention | None = None
    resampled: bool = False
    bands: bool = False


def overlay(store: Store, pull_ids: list[int], request: OverlayRequest) -> dict[str, Any]:
    """The charts, the styles of the pulls, what can be picked, and where each finding lies."""
    stored = store.chosen(pull_ids)
    reports = [store.report_of(pull) for pull in stored]
    powers = [
        power_under(report, pull.setup, request.correction, request.loss)
        for pull, report in zip(stored, reports, strict=True)
    ]
    samples, stage_ids = [report.pull for report in reports], [pull.stage_id for pull in stored]
    drawing = Drawing(pull_ids, stage_ids, request.units)
    drawn = charts(samples, powers, request.axis, request.wanted, request.resampled)
    bands: dict[str, list[StageBand]] = {}
    if request.bands and request.axis is Axis.ENGINE_SPEED:
        gridded = (
            drawn
            if request.resampled
            else charts(samples, powers, request.axis, request.wanted, True)
        )
        counted = [pull.stage_id if left_out(pull) is None else None for pull in stored]
        bands = {chart.key: stage_bands(chart, counted) for chart in gridded}
    return {
        "axis": request.axis.value,
        "charts": [drawing.chart(chart) for chart in drawn],
        "styles": {
            pull_id: asdict(style) for pull_id, style in zip(pull_ids, drawing.styles, strict=True)
        },
        "quantities": [
            {"quantity": quantity.value, "label": label(quantity)}
            for quantity in quantities_in(samples)
        ],
        "charts_of_checks": {name: chart.value for name, chart in CHART_OF_CHECK.items()},
        "places": {
            pull.id: [_place(finding, report, request.axis) for finding in report.findings]
            for pull, report in zip(stored, reports, strict=True)
        },
        "stages": {stage_id: store.stage(stage_id).name for stage_id in dict.fromkeys(stage_ids)},
        "power_statements": _power_statements(powers, request.units),
        "thinned": any(line.thinned for chart in drawn for lines in chart.lines for line in lines),
        "bands": [
            drawing.band(chart, band) for chart in drawn for band in bands.get(chart.key, ())
        ],
        "band_statements": band_statements(stored, bands) if request.bands else [],
    }


def closer(
    store: Store, pull_ids: list[int], request: OverlayRequest, window: Window
) -> list[dict[str, Any]]:
    """The lines of the overlay's channels inside a part of the axis, with the samples that the
    whole has no room for; in the shown unit."""
    pulls = [store.load_report(pull_id).pull for pull_id in pull_ids]
    drawn = charts(pulls, [None] * len(pulls), request.axis, request.wanted, window=window)
    return [
        {"chart": chart.key, **points(pull_id, line, unit)}
        for chart in drawn
        for unit in [shown(chart.house_unit, request.units, chart.quantity)]
        for pull_id, lines in zip(pull_ids, chart.lines, strict=True)
        for line in lines
    ]


def _power_statements(powers: list[PowerCurve | None], units: Units) -> list[str]:
    """How the shown power came about; corrections differ with the air of each pull."""
    said = [
        Reader(units).text(statement)
        for power in powers
        if power is not None
        for statement in (power.loss_statement, power.correction.statement)
    ]
    return list(dict.fromkeys(said))


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
