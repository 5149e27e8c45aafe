"""Two stages over each other: the mean of each, and the band that chance alone could explain."""

from collections.abc import Sequence
from typing import Final

from markupsafe import Markup

from analysis.phrases.reader import Reader
from analysis.publish.report.charts import Curve, line_chart
from analysis.publish.report.content import StageResult
from analysis.publish.report.palette import LineStyle, line_styles
from analysis.publish.wording.display import label, shown
from analysis.stages.comparison import Comparison
from analysis.stages.curves import WHEEL_POWER
from decode.quantities import Quantity

# Beside power: how hard the engine had to work for it.
BESIDE_POWER: Final = (Quantity.BOOST_PRESSURE, Quantity.CHARGE_AIR_TEMPERATURE)


def comparison_charts(comparison: Comparison, reader: Reader) -> list[Markup]:
    """Power first, then what stands beside it; empty where the stages share no speeds."""
    if len(comparison.engine_speed_rpm) < 2:
        return []
    by_quantity = {overlay.quantity: name for name, overlay in comparison.overlays.items()}
    beside = [by_quantity[q.value] for q in BESIDE_POWER if q.value in by_quantity]
    names = [WHEEL_POWER, *beside] if WHEEL_POWER in comparison.overlays else beside
    return [_stage_chart(comparison, name, reader) for name in names]


def pulls_chart(results: Sequence[StageResult], reader: Reader) -> list[Markup]:
    """Power of every pull that counts, where there are no two stages; empty without a dyno."""
    unit = shown("kW", reader.units)
    found = [(result, curve) for result in results for curve in result.curves]
    if not found:
        return []
    styles = line_styles([result.stage.id for result, _curve in found])
    curves = [
        Curve(result.stage.name, curve.engine_speed_rpm, curve.wheel_power_kw * unit.factor, style)
        for (result, curve), style in zip(found, styles, strict=True)
    ]
    title = reader.phrase("chart-power-every-pull")
    speed = reader.phrase("chart-engine-speed")
    return [line_chart(title, curves, speed, unit.symbol, from_zero=True)]


def _stage_chart(comparison: Comparison, name: str, reader: Reader) -> Markup:
    """Baseline dashed, changed whole with the band of the difference around it."""
    overlay = comparison.overlays[name]
    unit = shown(overlay.unit, reader.units)
    before, after = line_styles([0, 1])
    speeds = comparison.engine_speed_rpm
    curves = [
        Curve(
            comparison.names[0],
            speeds,
            overlay.mean_baseline * unit.factor + unit.offset,
            LineStyle(before.colour, (7, 4)),
        ),
        Curve(
            comparison.names[1],
            speeds,
            overlay.mean_changed * unit.factor + unit.offset,
            after,
            overlay.half_width * unit.factor,
        ),
    ]
    power = name == WHEEL_POWER
    quantity = Quantity(overlay.quantity)
    title = reader.phrase("chart-power") if power else label(quantity, reader.language)
    speed = reader.phrase("chart-engine-speed")
    return line_chart(title, curves, speed, unit.symbol, from_zero=power)
