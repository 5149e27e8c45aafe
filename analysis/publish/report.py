"""The report of a job: two pages for the customer, a technical annex for the calibrator."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

import numpy as np
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from analysis.checks import CHECKS
from analysis.compare import compare_stages
from analysis.comparison import Comparison, Overlay
from analysis.findings import Finding, Severity, worst
from analysis.jobs import Job, Stage, StoredPull, StoredRefused
from analysis.power.curve import PowerCurve
from analysis.publish.cautions import CAUTIONS
from analysis.publish.charts import Curve, line_chart
from analysis.publish.display import VERDICT_WORDS, Units, label, shown, symbol
from analysis.publish.palette import LineStyle, line_styles
from analysis.publish.summary import curve_of, headline
from analysis.pull import Pull
from analysis.setup import Setup
from analysis.stage_curves import WHEEL_POWER
from analysis.store import Store
from analysis.verdict import stage_verdict
from decode.quantities import Quantity

# What a customer reads beside power: how hard the engine had to work for it.
CUSTOMER_OVERLAYS: Final = (Quantity.BOOST_PRESSURE, Quantity.CHARGE_AIR_TEMPERATURE)
TABLE_STEP_RPM: Final = 500  # rows of the annex's power table: one page holds them all
CHECK_TITLES: Final = {check.name: check.title for check in CHECKS}


ANSWERS: Final = {
    Severity.HEALTHY: "Healthy",
    Severity.LOOK_CLOSER: "Look closer",
    Severity.STOP: "Stop",
    Severity.NOTE: "Not judged",
}
EXPLANATIONS: Final = {
    Severity.HEALTHY: "In every pull that counts, everything that could be judged was in order.",
    Severity.LOOK_CLOSER: "Something should be looked at before more is asked of the engine.",
    Severity.STOP: "Do not drive at full load until the cause is found and mended.",
    Severity.NOTE: "Too little could be measured to judge the engine.",
}


@dataclass(frozen=True, slots=True)
class Shop:
    """Whose report it is: from the station file. logo: a data URI, as the report needs no file."""

    name: str = ""
    text: str = ""
    logo: str = ""


@dataclass(frozen=True, slots=True)
class StageResult:
    """A stage with its pulls and what they add up to. comparison: against the first stage."""

    stage: Stage
    pulls: list[StoredPull]
    comparison: Comparison | None

    @property
    def counted(self) -> list[StoredPull]:
        """The pulls that nobody excluded."""
        return [pull for pull in self.pulls if pull.excluded is None]

    @property
    def verdict(self) -> Severity:
        """The stage's verdict over the pulls that count."""
        return stage_verdict(pull.verdict for pull in self.counted)

    @property
    def curves(self) -> list[PowerCurve]:
        """Torque and power of the whole pulls that count."""
        whole = [pull for pull in self.counted if pull.bounds.complete]
        return [curve for pull in whole if (curve := curve_of(pull)) is not None]

    @property
    def peak_kw(self) -> float | None:
        """Mean of the pulls' peaks at the wheel, uncorrected."""
        return _mean(float(np.nanmax(curve.wheel_power_kw)) for curve in self.curves)

    @property
    def peak_nm(self) -> float | None:
        """Mean of the pulls' peaks of torque from wheel power, uncorrected."""
        return _mean(float(np.nanmax(curve.wheel_torque_nm)) for curve in self.curves)

    @property
    def engine_peak_kw(self) -> float | None:
        """Mean of the pulls' peaks by the loss convention; None where it adds no loss."""
        engine = [curve.engine_power_kw for curve in self.curves]
        return _mean(float(np.nanmax(power)) for power in engine if power is not None)

    @property
    def corrected_peak_kw(self) -> float | None:
        """Mean of the pulls' peaks at the wheel by the station's standard; None without one."""
        return _mean(
            float(np.nanmax(curve.wheel_power_kw)) * curve.correction.factor
            for curve in self.curves
            if curve.correction.factor != 1.0
        )


def counted(store: Store, stage: Stage) -> list[Pull]:
    """The samples of a stage's pulls that nobody excluded, as comparisons take them."""
    pulls = store.pulls(stage_id=stage.id)
    return [store.load_report(pull.id).pull for pull in pulls if pull.excluded is None]


def stage_results(store: Store, job_id: int, setup: Setup) -> list[StageResult]:
    """Every stage of the job, each from the second on compared with the first."""
    stages = store.stages(job_id)
    samples = {stage.id: counted(store, stage) for stage in stages}
    first = stages[0] if stages else None
    return [
        StageResult(
            stage,
            store.pulls(stage_id=stage.id),
            None
            if first is None or stage is first
            else compare_stages(
                samples[first.id], samples[stage.id], setup, (first.name, stage.name)
            ),
        )
        for stage in stages
    ]


def render_report(
    store: Store,
    job_id: int,
    setup: Setup,
    units: Units | None = None,
    shop: Shop | None = None,
) -> str:
    """One HTML file that needs nothing else and prints well. Raises StoreError for no such job."""
    shown_units = units or Units()
    job = store.job(job_id)
    results = stage_results(store, job_id, setup)
    context = _context(job, results, store.refused(job_id), setup, shown_units)
    template = _environment(shown_units).get_template("report.html")
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
        "car": setup.car,
        "results": results,
        "last": last,
        "answers": ANSWERS,
        "explanations": EXPLANATIONS,
        "has_corrected": any(result.corrected_peak_kw is not None for result in results),
        "has_engine": any(result.engine_peak_kw is not None for result in results),
        "standard": setup.dyno.correction.value,
        "loss": setup.dyno.loss.value,
        "comparison": comparison,
        "gain": None if comparison is None else gain_words(comparison, units),
        "charts": _charts(comparison, run, units),
        "health": _health(results),
        "how_read": _how_read(curves),
        "air": curves[0].correction.air if curves else setup.air,
        "dates": _dates([pull.created for result in run for pull in result.pulls]),
        "refused": refused,
        "cautions": CAUTIONS,
        "tables": {r.stage.id: _power_table(r, units) for r in results},
    }


def gain_words(comparison: Comparison, units: Units) -> str:
    """What the change did to peak power at the wheel, in one sentence for the customer."""
    gain = comparison.peak_gain
    if gain is None or not comparison.assessable:
        return "The pulls do not allow a statement about the change of power."
    unit = shown("kW", units)
    interval = f"between {unit.difference(gain.low)} and {unit.difference(gain.high)}"
    if not _beyond_spread(comparison.overlays[WHEEL_POWER]):
        return (
            f"Not more than run-to-run spread: {unit.difference(gain.value)} at the peak "
            f"({interval}, 95 % sure)."
        )
    return f"{unit.difference(gain.value)} at the peak ({interval}, 95 % sure)."


def _beyond_spread(overlay: Overlay) -> bool:
    return bool(np.any(np.abs(overlay.difference) > overlay.half_width))


def _charts(
    comparison: Comparison | None, run: Sequence[StageResult], units: Units
) -> dict[str, Markup]:
    """The customer's charts: stage means where stages can be compared, else the single pulls."""
    if comparison is not None and len(comparison.engine_speed_rpm) > 1:
        by_quantity = {overlay.quantity: name for name, overlay in comparison.overlays.items()}
        beside = [by_quantity[q.value] for q in CUSTOMER_OVERLAYS if q.value in by_quantity]
        names = [WHEEL_POWER, *beside] if WHEEL_POWER in comparison.overlays else beside
        return {name: _stage_chart(comparison, name, units) for name in names}
    curves = _pull_curves(run, units)
    if not curves:
        return {}
    unit = shown("kW", units)
    title = "Power at the wheel, uncorrected, every pull"
    chart = line_chart(title, curves, "Engine speed in rpm", unit.symbol, from_zero=True)
    return {WHEEL_POWER: chart}


def _stage_chart(comparison: Comparison, name: str, units: Units) -> Markup:
    overlay = comparison.overlays[name]
    unit = shown(overlay.unit, units)
    styles = line_styles([0, 1])
    means = (overlay.mean_baseline, overlay.mean_changed)
    widths = (None, overlay.half_width)
    curves = [
        Curve(
            stage,
            comparison.engine_speed_rpm,
            mean * unit.factor + unit.offset,
            LineStyle(style.colour, () if index else (7, 4)),
            None if width is None else width * unit.factor,
        )
        for index, (stage, mean, width, style) in enumerate(
            zip(comparison.names, means, widths, styles, strict=True)
        )
    ]
    power = name == WHEEL_POWER
    title = "Power at the wheel, uncorrected" if power else label(Quantity(overlay.quantity))
    return line_chart(title, curves, "Engine speed in rpm", unit.symbol, from_zero=power)


def _pull_curves(run: Sequence[StageResult], units: Units) -> list[Curve]:
    unit = shown("kW", units)
    found = [(result, curve) for result in run for curve in result.curves]
    styles = line_styles([result.stage.id for result, _curve in found])
    return [
        Curve(
            result.stage.name,
            curve.engine_speed_rpm,
            curve.wheel_power_kw * unit.factor,
            style,
        )
        for (result, curve), style in zip(found, styles, strict=True)
    ]


@dataclass(frozen=True, slots=True)
class HealthLine:
    """One check over the job: its verdict in each stage, and what to know of the worst."""

    title: str
    verdicts: tuple[Severity, ...]
    statements: tuple[str, ...]

    @property
    def judged(self) -> bool:
        """Some pull had the channels the check needs."""
        return any(severity is not Severity.NOTE for severity in self.verdicts)


def _health(results: Sequence[StageResult]) -> list[HealthLine]:
    return [
        HealthLine(
            title=title,
            verdicts=tuple(worst(f.severity for f in _of(name, result)) for result in results),
            statements=tuple(dict.fromkeys(_said(name, results))),
        )
        for name, title in CHECK_TITLES.items()
    ]


def _of(check: str, result: StageResult) -> list[Finding]:
    return [f for pull in result.counted for f in pull.findings if f.check == check]


def _said(check: str, results: Sequence[StageResult]) -> Iterable[str]:
    """What the worst pull of each stage showed that should not be there."""
    for result in results:
        grave = [f for f in _of(check, result) if f.severity in _WORTH_SAYING]
        if grave:
            worst_one = max(grave, key=lambda f: (f.severity is Severity.STOP, f.confidence))
            yield f"{result.stage.name}: {worst_one.statement}"


_WORTH_SAYING: Final = (Severity.LOOK_CLOSER, Severity.STOP)


def _how_read(curves: Sequence[PowerCurve]) -> list[str]:
    """How the figures came about, each sentence once."""
    sentences = [
        text
        for curve in curves[:1]
        for text in (
            curve.method,
            curve.loss_statement,
            curve.correction.statement,
            f"Smoothing: {curve.smoothing}.",
            *curve.cautions,
        )
    ]
    return list(dict.fromkeys(sentences))


@dataclass(frozen=True, slots=True)
class PowerTable:
    """Power at the wheel, uncorrected, at round engine speeds; one column a pull, in its unit."""

    unit: str
    pulls: list[StoredPull]
    rows: list[tuple[float, list[float | None]]]


def _power_table(result: StageResult, units: Units) -> PowerTable | None:
    found = [(pull, curve) for pull in result.counted if (curve := curve_of(pull)) is not None]
    if not found:
        return None
    unit = shown("kW", units)
    low = min(curve.engine_speed_rpm[0] for _pull, curve in found)
    high = max(curve.engine_speed_rpm[-1] for _pull, curve in found)
    speeds = np.arange(np.ceil(low / TABLE_STEP_RPM) * TABLE_STEP_RPM, high + 1, TABLE_STEP_RPM)
    rows = [(rpm, [_at(curve, rpm, unit.factor) for _pull, curve in found]) for rpm in speeds]
    return PowerTable(unit.symbol, [pull for pull, _curve in found], rows)


def _at(curve: PowerCurve, rpm: float, factor: float) -> float | None:
    value = np.interp(rpm, curve.engine_speed_rpm, curve.wheel_power_kw, left=np.nan, right=np.nan)
    return float(value * factor) if np.isfinite(value) else None


def _mean(values: Iterable[float]) -> float | None:
    found = list(values)
    return float(np.mean(found)) if found else None


def _dates(times: Sequence[datetime]) -> str:
    days = sorted({time.strftime("%Y-%m-%d") for time in times})
    return days[0] if len(days) == 1 else " to ".join([days[0], days[-1]]) if days else "–"


def _environment(units: Units) -> Environment:
    environment = Environment(
        loader=PackageLoader("analysis.publish", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["verdict_word"] = lambda severity: VERDICT_WORDS[severity]
    environment.filters["headline"] = headline
    environment.filters["symbol"] = symbol
    environment.filters["check_title"] = lambda name: CHECK_TITLES.get(name, name)
    environment.globals["show"] = lambda house, unit: shown(unit, units).text(house)
    return environment
