"""Charts as the page draws them: in the user's units, each line in the style of its pull."""

from collections.abc import Sequence
from typing import Final

from analysis.phrases.units import Units
from analysis.publish.page.curves import Chart, Line
from analysis.publish.page.overlay_form import DrawnBand, DrawnChart, DrawnLine
from analysis.publish.page.stage_bands import StageBand
from analysis.publish.report.palette import COLOURS, LineStyle, line_styles
from analysis.publish.wording.display import Conversion, shown

FAINT_DASHES: Final = ("2 4", "10 3 2 3")  # what stands beside the measured line, in its order


class Drawing:
    """The pulls of one overlay: their stages, their styles, the user's units."""

    def __init__(self, pull_ids: Sequence[int], stage_ids: Sequence[int], units: Units) -> None:
        self.styles = line_styles(stage_ids)
        self._pull_ids = pull_ids
        self._stage_ids = stage_ids
        self._units = units

    def chart(self, chart: Chart) -> DrawnChart:
        """One chart with its lines."""
        unit = self._unit(chart)
        return DrawnChart(
            key=chart.key,
            title=chart.title,
            unit=unit.symbol,
            decimals=max(unit.decimals, 1),
            lines=tuple(
                self._line(pull_id, style, line, index, unit)
                for pull_id, style, lines in zip(
                    self._pull_ids, self.styles, chart.lines, strict=True
                )
                for index, line in enumerate(lines)
            ),
        )

    def band(self, chart: Chart, band: StageBand) -> DrawnBand:
        """A stage's mean with its band."""
        unit = self._unit(chart)
        return DrawnBand(
            chart=chart.key,
            stage_id=band.stage_id,
            colour=self._colour(band),
            x=band.x,
            mean=unit.values(band.mean),
            half_width=None if band.half_width is None else band.half_width * unit.factor,
        )

    def _unit(self, chart: Chart) -> Conversion:
        return shown(chart.house_unit, self._units, chart.quantity)

    def _line(
        self, pull_id: int, style: LineStyle, line: Line, index: int, unit: Conversion
    ) -> DrawnLine:
        return DrawnLine(
            pull=pull_id,
            name=line.name,
            x=line.x,
            y=unit.values(line.y),
            faint=line.faint,
            colour=style.colour,
            dash=self._dash(style, line, index),
        )

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
