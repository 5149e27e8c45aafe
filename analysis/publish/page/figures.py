"""The overlay: its charts, which the page draws, and what it shows beside them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from analysis.archive.jobs import StoredPull
from analysis.archive.store import Store
from analysis.judging.pull_report import PullReport
from analysis.model.findings import Finding
from analysis.model.pull import Pull
from analysis.model.setup import LossConvention, Standard
from analysis.phrases.reader import Reader
from analysis.phrases.units import HOUSE, Units
from analysis.power.curve import PowerCurve
from analysis.publish.page.band_statements import band_statements
from analysis.publish.page.conventions import power_under
from analysis.publish.page.curves import (
    CHART_OF_CHECK,
    Axis,
    Chart,
    Window,
    charts,
    quantities_in,
)
from analysis.publish.page.drawing import Drawing
from analysis.publish.page.overlay_form import CloserLine, Overlay, PickableQuantity, Place
from analysis.publish.page.stage_bands import StageBand, stage_bands
from analysis.publish.wording.display import label, shown
from analysis.stages.left_out import LeftOut, left_out
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


def overlay(store: Store, pull_ids: list[int], request: OverlayRequest) -> Overlay:
    """The charts, the styles of the pulls, what can be picked, and where each finding lies."""
    pulls = _chosen(store, pull_ids, request)
    stage_ids = [pull.stage_id for pull in pulls.stored]
    drawing = Drawing(pull_ids, stage_ids, request.units)
    drawn = pulls.charts(request, request.resampled)
    reasons = _left_out(pulls) if request.bands else []
    bands = _bands(pulls, drawn, reasons, request) if request.bands else {}
    return Overlay(
        axis=request.axis,
        charts=tuple(drawing.chart(chart) for chart in drawn),
        styles=dict(zip(pull_ids, drawing.styles, strict=True)),
        quantities=tuple(
            PickableQuantity(quantity=quantity, label=label(quantity))
            for quantity in quantities_in(pulls.samples)
        ),
        charts_of_checks=CHART_OF_CHECK,
        places={
            pull.id: _places(report, request.axis)
            for pull, report in zip(pulls.stored, pulls.reports, strict=True)
        },
        stages={stage_id: store.stage(stage_id).name for stage_id in dict.fromkeys(stage_ids)},
        power_statements=_power_statements(pulls.powers, request.units),
        thinned=any(line.thinned for chart in drawn for lines in chart.lines for line in lines),
        bands=tuple(
            drawing.band(chart, band) for chart in drawn for band in bands.get(chart.key, ())
        ),
        band_statements=tuple(band_statements(pulls.stored, reasons, bands))
        if request.bands
        else (),
    )


def closer(
    store: Store, pull_ids: list[int], request: OverlayRequest, window: Window
) -> list[CloserLine]:
    """The lines of the overlay's channels inside a part of the axis, with the samples that the
    whole has no room for; in the shown unit."""
    pulls = [store.load_report(pull_id).pull for pull_id in pull_ids]
    drawn = charts(pulls, [None] * len(pulls), request.axis, request.wanted, window=window)
    return [
        CloserLine(chart=chart.key, pull=pull_id, name=line.name, x=line.x, y=unit.values(line.y))
        for chart in drawn
        for unit in [shown(chart.house_unit, request.units, chart.quantity)]
        for pull_id, lines in zip(pull_ids, chart.lines, strict=True)
        for line in lines
    ]


@dataclass(frozen=True, slots=True)
class _Chosen:
    """The pulls of an overlay, their power as it is asked for."""

    stored: list[StoredPull]
    reports: list[PullReport]
    powers: list[PowerCurve | None]

    @property
    def samples(self) -> list[Pull]:
        return [report.pull for report in self.reports]

    def charts(self, request: OverlayRequest, resampled: bool) -> list[Chart]:
        return charts(self.samples, self.powers, request.axis, request.wanted, resampled)


def _chosen(store: Store, pull_ids: list[int], request: OverlayRequest) -> _Chosen:
    stored = store.chosen(pull_ids)
    reports = [store.report_of(pull) for pull in stored]
    powers = [
        power_under(report, pull.setup, request.correction, request.loss)
        for pull, report in zip(stored, reports, strict=True)
    ]
    return _Chosen(stored, reports, powers)


def _left_out(pulls: _Chosen) -> list[LeftOut | None]:
    """Why each of the pulls is no part of its stage's mean; None where it is."""
    stages: dict[int, list[int]] = {}
    for index, pull in enumerate(pulls.stored):
        if pull.excluded is None:
            stages.setdefault(pull.stage_id, []).append(index)
    found: list[LeftOut | None] = [LeftOut.EXCLUDED] * len(pulls.stored)
    samples = pulls.samples
    reasons = left_out([[samples[index] for index in indices] for indices in stages.values()])
    for indices, whys in zip(stages.values(), reasons, strict=True):
        for index, why in zip(indices, whys, strict=True):
            found[index] = why
    return found


def _bands(
    pulls: _Chosen,
    drawn: list[Chart],
    reasons: Sequence[LeftOut | None],
    request: OverlayRequest,
) -> dict[str, list[StageBand]]:
    """The stages' bands, by the chart's key; over time there are none."""
    if request.axis is not Axis.ENGINE_SPEED:
        return {}
    gridded = drawn if request.resampled else pulls.charts(request, resampled=True)
    counted = [
        pull.stage_id if why is None else None
        for pull, why in zip(pulls.stored, reasons, strict=True)
    ]
    return {chart.key: stage_bands(chart, counted) for chart in gridded}


def _power_statements(powers: list[PowerCurve | None], units: Units) -> tuple[str, ...]:
    """How the shown power came about; corrections differ with the air of each pull."""
    said = [
        Reader(units).text(statement)
        for power in powers
        if power is not None
        for statement in (power.loss_statement, power.correction.statement)
    ]
    return tuple(dict.fromkeys(said))


def _places(report: PullReport, axis: Axis) -> tuple[Place | None, ...]:
    return tuple(_place(finding, report, axis) for finding in report.findings)


def _place(finding: Finding, report: PullReport, axis: Axis) -> Place | None:
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
    return (low - missing, high + missing)
