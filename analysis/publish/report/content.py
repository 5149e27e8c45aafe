"""What the report says, before it is laid out: stages and figures, health by check, tables."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Final

import numpy as np

from analysis.archive.job_comparison import stored_runs
from analysis.archive.jobs import Stage, StoredPull
from analysis.archive.store import Store
from analysis.checks import CHECKS
from analysis.checks.check import title_of
from analysis.judging.verdict import stage_verdict
from analysis.model.findings import Finding, Severity, worst
from analysis.model.setup import Air
from analysis.phrases.reader import Reader
from analysis.phrases.say import amount, in_line, say
from analysis.phrases.statement import Joint, Statement
from analysis.phrases.units import Units
from analysis.power.curve import PowerCurve
from analysis.power.figures import Figure, Measure, PowerFigures, of_stage
from analysis.publish.wording.display import shown
from analysis.publish.wording.power_text import budget_statements
from analysis.stages.compare import compare_runs
from analysis.stages.comparison import Comparison

TABLE_STEP_RPM: Final = 500  # rows of the annex's power table: one page holds them all


@dataclass(frozen=True, slots=True)
class StageResult:
    """A stage with its pulls and what they add up to. comparison: against the first stage.
    figures: by the pull's number in the store. job_peaks: of every stage, for how pulls differ."""

    stage: Stage
    pulls: list[StoredPull]
    comparison: Comparison | None
    figures: Mapping[int, PowerFigures] = field(default_factory=dict)
    job_peaks: tuple[list[PowerFigures], ...] = ()

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
        return [pull.power for pull in whole if pull.power is not None]

    @property
    def peaks(self) -> list[PowerFigures]:
        """Of the whole pulls that count."""
        whole = [pull for pull in self.counted if pull.bounds.complete]
        return [self.figures[pull.id] for pull in whole if pull.id in self.figures]

    @property
    def doubts(self) -> list[Statement]:
        """Why figures of its pulls cannot be."""
        return [figures.doubt for figures in self.peaks if figures.doubt is not None]

    def peak(self, measure: Measure) -> Figure | None:
        """Mean of the pulls' peaks with its uncertainty; None where there are none."""
        return of_stage(measure, self.peaks, self.job_peaks)


def stage_results(store: Store, job_id: int) -> list[StageResult]:
    """Every stage of the job; each with pulls, from the second such on, against the first."""
    stages = store.stages(job_id)
    runs = [(stage, stored_runs(store, stage.id)) for stage in stages]
    run = [(stage, found) for stage, found in runs if found]
    compared = compare_runs([(stage.name, found) for stage, found in run])
    # compare_runs gives, for each, the first and then (from the third on) the one before
    against_first = {
        stage.id: compared[max(0, 2 * index - 1)] for index, (stage, _) in enumerate(run[1:])
    }
    results = [
        StageResult(stage, pulls, against_first.get(stage.id), _figures(store, pulls))
        for stage in stages
        for pulls in [store.pulls(stage_id=stage.id)]
    ]
    job_peaks = tuple(result.peaks for result in results)
    return [replace(result, job_peaks=job_peaks) for result in results]


def _figures(store: Store, pulls: Sequence[StoredPull]) -> dict[int, PowerFigures]:
    reports = {pull.id: store.report_of(pull) for pull in pulls if pull.power is not None}
    found = {number: report.figures() for number, report in reports.items()}
    return {number: figures for number, figures in found.items() if figures is not None}


def stage_budgets(result: StageResult) -> list[Statement]:
    """Where the uncertainty of each of the stage's peaks comes from."""
    peaks = [figure for measure in Measure if (figure := result.peak(measure)) is not None]
    return budget_statements(peaks)


def gain_text(comparison: Comparison, reader: Reader) -> str:
    """What the change did to peak power at the wheel, in one sentence for the customer."""
    gain = comparison.peak_gain
    if gain is None or not comparison.assessable:
        return reader.phrase("report-gain-unknown")
    key = "report-gain" if comparison.claimed else "report-gain-within-spread"
    change, low, high = (
        amount(value, gain.unit, 1, signed=True, difference=True)
        for value in (gain.value, gain.low, gain.high)
    )
    return reader.text(say(key, change=change, low=low, high=high))


def setups_differ(results: Sequence[StageResult]) -> bool:
    """Not all the pulls that count were judged by the same car and dyno."""
    setups = [pull.setup for result in results for pull in result.counted]
    kept = [None if setup is None else (setup.car, setup.dyno) for setup in setups]
    return any(one != kept[0] for one in kept)


def air_facts(airs: Sequence[Air], reader: Reader) -> dict[str, str]:
    """The air of the pulls: from the lowest to the highest of each figure, and who read them."""
    origins = dict.fromkeys(air.origin for air in airs if air.origin)
    return {
        reader.phrase("report-air-pressure"): _range(
            [a.barometric_kpa for a in airs], "kPa", 1, reader
        ),
        reader.phrase("report-air-temperature"): _range(
            [a.temperature_degc for a in airs], "degC", 0, reader
        ),
        reader.phrase("report-humidity"): _range(
            [a.relative_humidity_percent for a in airs], "%", 0, reader
        ),
        reader.phrase("report-air-origin"): "; ".join(origins),
    }


def _range(values: Sequence[float | None], unit: str, decimals: int, reader: Reader) -> str:
    known = [round(value, decimals) for value in values if value is not None]
    if not known:
        return "–"
    low, high = (amount(value, unit, decimals) for value in (min(known), max(known)))
    if low == high:
        return reader.text(say("report-value", value=low))
    return reader.text(say("report-range", low=low, high=high))


@dataclass(frozen=True, slots=True)
class HealthLine:
    """One check over the job: its verdict in each stage, and what to know of the worst."""

    title: str
    verdicts: tuple[Severity, ...]
    statements: tuple[Statement, ...]

    @property
    def worst(self) -> Severity:
        """Over every stage."""
        return worst(self.verdicts)


def health(results: Sequence[StageResult], reader: Reader) -> list[HealthLine]:
    """One line a check, in the checks' order."""
    return [
        HealthLine(
            title=reader.text(title_of(name)),
            verdicts=tuple(worst(f.severity for f in _of(name, result)) for result in results),
            statements=tuple(dict.fromkeys(_worst_of(name, results))),
        )
        for name in (check.name for check in CHECKS)
    ]


def _of(check: str, result: StageResult) -> list[Finding]:
    return [f for pull in result.counted for f in pull.findings if f.check == check]


def _worst_of(check: str, results: Sequence[StageResult]) -> Iterable[Statement]:
    """What the worst pull of each stage showed that should not be there."""
    for result in results:
        grave = [f for f in _of(check, result) if f.severity.is_trouble]
        if grave:
            worst_one = max(grave, key=lambda f: (f.severity.rank, f.confidence))
            seen = in_line(worst_one.statements, Joint.SENTENCES)
            yield say("report-of-stage", stage=result.stage.name, seen=seen)


def how_to_read(curves: Sequence[PowerCurve]) -> list[Statement]:
    """How the figures came about: the first curve's words, as the whole job is measured alike."""
    return [
        statement
        for curve in curves[:1]
        for statement in (
            say("report-power-comes-from", method=curve.method),
            curve.loss_statement,
            curve.correction.statement,
            say("report-smoothing", smoothing=curve.smoothing),
            *curve.cautions,
        )
    ]


@dataclass(frozen=True, slots=True)
class PowerTable:
    """Power at the wheel, uncorrected, at round engine speeds; one column a pull, in its unit."""

    unit: str
    pulls: list[StoredPull]
    rows: list[tuple[float, list[float | None]]]


def power_table(result: StageResult, units: Units) -> PowerTable | None:
    """The stage's table; None where it has no dyno data."""
    found = [(pull, pull.power) for pull in result.counted if pull.power is not None]
    if not found:
        return None
    unit = shown("kW", units)
    low = min(curve.engine_speed_rpm[0] for _pull, curve in found)
    high = max(curve.engine_speed_rpm[-1] for _pull, curve in found)
    speeds = np.arange(np.ceil(low / TABLE_STEP_RPM) * TABLE_STEP_RPM, high + 1, TABLE_STEP_RPM)
    rows = [(rpm, [_at(curve, rpm, unit.factor) for _pull, curve in found]) for rpm in speeds]
    return PowerTable(unit.symbol, [pull for pull, _curve in found], rows)


def _at(curve: PowerCurve, rpm: float, factor: float) -> float | None:
    speeds, power_kw = curve.engine_speed_rpm, curve.wheel_power_kw
    value = float(np.interp(rpm, speeds, power_kw, left=np.nan, right=np.nan))
    return value * factor if np.isfinite(value) else None


def days(times: Sequence[datetime], reader: Reader) -> str:
    """The day by the workshop's clock, or the first and the last."""
    found = sorted({f"{time.astimezone():%Y-%m-%d}" for time in times})
    if not found:
        return "–"
    if len(found) == 1:
        return found[0]
    return reader.phrase("report-days", first=found[0], last=found[-1])
