"""The report of a job: two pages for the customer, a technical annex for the calibrator."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from analysis.comparison import Comparison
from analysis.findings import Severity
from analysis.jobs import Job, StoredRefused
from analysis.publish.cautions import CAUTIONS
from analysis.publish.charts import Curve, line_chart
from analysis.publish.display import VERDICT_WORDS, Units, label, shown, symbol
from analysis.publish.palette import LineStyle, line_styles
from analysis.publish.report_content import (
    CHECK_TITLES,
    StageResult,
    days,
    gain_words,
    health,
    how_to_read,
    power_table,
    stage_results,
)
from analysis.setup import Setup
from analysis.stage_curves import WHEEL_POWER
from analysis.store import Store
from decode.quantities import Quantity

# What a customer reads beside power: how hard the engine had to work for it.
CUSTOMER_OVERLAYS: Final = (Quantity.BOOST_PRESSURE, Quantity.CHARGE_AIR_TEMPERATURE)
EXPLANATIONS: Final = {
    Severity.HEALTHY: "In every pull that counts, everything that could be judged was in order.",
    Severity.LOOK_CLOSER: "Something should be looked at before more is asked of the engine.",
    Severity.STOP: "Do not drive at full load until the cause is found and mended.",
    Severity.NOTE: "Too little could be measured to judge the engine.",
}
SPEED_AXIS: Final = "Engine speed in rpm"


@dataclass(frozen=True, slots=True)
class Shop:
    """Whose report it is: from the station file. logo: a data URI, as the report needs no file."""

    name: str = ""
    text: str = ""
    logo: str = ""


def render_report(
    store: Store,
    job_id: int,
    setup: Setup,
    units: Units | None = None,
    shop: Shop | None = None,
) -> str:
    """One HTML file that needs nothing else and prints well. Raises StoreError for no such job."""
    chosen = units or Units()
    job = store.job(job_id)
    results = stage_results(store, job_id, setup)
    context = _context(job, results, store.refused(job_id), setup, chosen)
    template = _environment(chosen).get_template("report.html")
    return template.render(context | {"shop": shop or Shop()})


def _context(
    job: Job,
    results: list[StageResult],
    refused: list[StoredRefused],
    setup: Setup,
    units: Units,
) -> dict[str, Any]:
    run = [result for result in results if result.counted]
    last = run[-1] if run else None
    comparison = None if last is None else last.comparison
    curves = [curve for result in run for curve in result.curves]
    return {
        "job": job,
        "results": results,
        "last": last,
        "explanations": EXPLANATIONS,
        "note": Severity.NOTE,
        "healthy": Severity.HEALTHY,
        "comparison": comparison,
        "gain": None if comparison is None else gain_words(comparison, units),
        "has_corrected": any(result.corrected_peak_kw is not None for result in results),
        "has_engine": any(result.engine_peak_kw is not None for result in results),
        "standard": setup.dyno.correction.value,
        "loss": setup.dyno.loss.value,
        "charts": _charts(comparison, run, units),
        "health": health(results),
        "how_to_read": how_to_read(curves),
        "air": curves[0].correction.air if curves else setup.air,
        "dates": days([pull.created for result in run for pull in result.pulls]),
        "refused": refused,
        "cautions": CAUTIONS,
        "tables": {result.stage.id: power_table(result, units) for result in results},
    }


def _charts(
    comparison: Comparison | None, run: Sequence[StageResult], units: Units
) -> list[Markup]:
    """The customer's charts: stage means where stages can be compared, else the single pulls."""
    if comparison is None or len(comparison.engine_speed_rpm) < 2:
        curves = _pull_curves(run, units)
        title = "Power at the wheel, uncorrected, every pull"
        symbol_kw = shown("kW", units).symbol
        return [line_chart(title, curves, SPEED_AXIS, symbol_kw, from_zero=True)] if curves else []
    by_quantity = {overlay.quantity: name for name, overlay in comparison.overlays.items()}
    beside = [by_quantity[q.value] for q in CUSTOMER_OVERLAYS if q.value in by_quantity]
    names = [WHEEL_POWER, *beside] if WHEEL_POWER in comparison.overlays else beside
    return [_stage_chart(comparison, name, units) for name in names]


def _stage_chart(comparison: Comparison, name: str, units: Units) -> Markup:
    """Baseline dashed, changed whole with the band of the difference around it."""
    overlay = comparison.overlays[name]
    unit = shown(overlay.unit, units)
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
    title = "Power at the wheel, uncorrected" if power else label(Quantity(overlay.quantity))
    return line_chart(title, curves, SPEED_AXIS, unit.symbol, from_zero=power)


def _pull_curves(run: Sequence[StageResult], units: Units) -> list[Curve]:
    unit = shown("kW", units)
    found = [(result, curve) for result in run for curve in result.curves]
    styles = line_styles([result.stage.id for result, _curve in found])
    return [
        Curve(result.stage.name, curve.engine_speed_rpm, curve.wheel_power_kw * unit.factor, style)
        for (result, curve), style in zip(found, styles, strict=True)
    ]


def _environment(units: Units) -> Environment:
    environment = Environment(
        loader=PackageLoader("analysis.publish", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["verdict_word"] = lambda severity: VERDICT_WORDS[severity]
    environment.filters["symbol"] = symbol
    environment.filters["check_title"] = lambda name: CHECK_TITLES.get(name, name)
    environment.globals["show"] = lambda house, unit, finer=0: shown(unit, units).text(house, finer)
    return environment
