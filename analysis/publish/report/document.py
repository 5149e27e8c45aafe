"""The report of a job: two pages for the customer, a technical annex for the calibrator."""

from functools import partial
from typing import Any, Final

import numpy as np
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from analysis.archive.jobs import StoredRefused
from analysis.archive.store import Store
from analysis.checks.check import title_of
from analysis.judging.verdict import job_verdict
from analysis.model.findings import Severity
from analysis.model.pull import PullBounds
from analysis.model.setup import Setup
from analysis.phrases.reader import HOUSE_READER, Reader
from analysis.phrases.say import amount, key_of, say, word
from analysis.phrases.statement import Statement
from analysis.power.figures import Measure
from analysis.publish.report.compressor_chart import pulls_on_map
from analysis.publish.report.content import (
    StageResult,
    air_facts,
    days,
    gain_text,
    health,
    how_to_read,
    power_table,
    setups_differ,
    stage_budgets,
    stage_results,
)
from analysis.publish.report.letterhead import Letterhead
from analysis.publish.report.stage_charts import comparison_charts, pulls_chart
from analysis.publish.wording.cautions import cautions
from analysis.publish.wording.display import amount as amount_in_units
from analysis.publish.wording.display import figure_text, local_minute, shown, verdict_word
from analysis.publish.wording.power_text import curve_statement
from analysis.publish.wording.readiness_text import readiness_facts, readiness_statements
from analysis.stages.comparison import Comparison

EXPLAINED: Final = {
    Severity.HEALTHY: "report-explained-healthy",
    Severity.LOOK_CLOSER: "report-explained-look-closer",
    Severity.STOP: "report-explained-stop",
    Severity.NOTE: "report-explained-note",
}


def render_report(
    store: Store,
    job_id: int,
    setup: Setup,
    reader: Reader = HOUSE_READER,
    letterhead: Letterhead | None = None,
) -> str:
    """One HTML file that needs nothing else and prints well. Raises StoreError for no such job.

    setup: of the station, for what no pull tells.
    """
    context = _context(store, job_id, setup, reader)
    template = _environment(reader).get_template("report.html")
    return template.render(context | {"letterhead": letterhead or Letterhead()})


def _context(store: Store, job_id: int, setup: Setup, reader: Reader) -> dict[str, Any]:
    results = stage_results(store, job_id)
    run = [result for result in results if result.counted]
    last = run[-1] if run else None
    comparison = None if last is None else last.comparison
    curves = [curve for result in run for curve in result.curves]
    compared = [] if comparison is None else comparison_charts(comparison, reader)
    job = store.job(job_id)
    return {
        "job": job,
        "results": results,
        "last": last,
        "job_verdict": job_verdict([result.verdict for result in run]),
        "explained": EXPLAINED,
        "note": Severity.NOTE,
        "healthy": Severity.HEALTHY,
        "comparison": comparison,
        "banded": comparison is not None and _banded(comparison),
        "gain": None if comparison is None else gain_text(comparison, reader),
        "peaks": {result.stage.id: _peaks(result, reader) for result in results},
        "has_corrected": _has(results, Measure.CORRECTED_POWER),
        "has_engine": _has(results, Measure.ENGINE_POWER),
        "doubts": list(dict.fromkeys(doubt for result in run for doubt in result.doubts)),
        "budgets": {
            result.stage.id: [*stage_budgets(result), *_of_curve(store, result)]
            for result in results
        },
        "standard": curves[0].correction.standard.value if curves else "",
        "loss": reader.phrase(key_of(curves[0].loss)) if curves else "",
        "setups_differ": setups_differ(run),
        "charts": compared or pulls_chart(run, reader),
        "health": health(results, reader),
        "how_to_read": how_to_read(curves),
        "air_facts": air_facts([c.correction.air for c in curves] or [setup.air], reader),
        "dates": days([pull.created for result in run for pull in result.pulls], reader),
        "refused": store.refused(job_id),
        "readiness_facts": readiness_facts(
            [p for r in results for p in r.counted], job.checklist, reader
        ),
        "compressor": _compressor(store, results, setup, reader),
        "cautions": cautions(reader.language),
        "tables": {result.stage.id: power_table(result, reader.units) for result in results},
    }


def _has(results: list[StageResult], measure: Measure) -> bool:
    return any(result.peak(measure) is not None for result in results)


def _peaks(result: StageResult, reader: Reader) -> dict[str, str]:
    """Each peak of the stage with its uncertainty, as it is printed."""
    doubtful = bool(result.doubts)
    return {
        measure.value: reader.number(figure_text(result.peak(measure), reader.units, doubtful))
        for measure in Measure
    }


def _of_curve(store: Store, result: StageResult) -> list[Statement]:
    """How sure a point of a curve is: of the first pull, as the whole stage is measured alike."""
    first = next((pull for pull in result.counted if pull.power is not None), None)
    curve = None if first is None else store.report_of(first).uncertain_curve()
    return [] if curve is None else [curve_statement(curve)]


def _banded(comparison: Comparison) -> bool:
    return any(np.isfinite(each.half_width).any() for each in comparison.overlays.values())


def _compressor(
    store: Store, results: list[StageResult], setup: Setup, reader: Reader
) -> Markup | None:
    counted = [pull for result in results for pull in result.counted]
    return pulls_on_map(store, counted, {r.stage.id: r.stage for r in results}, setup, reader)


def _environment(reader: Reader) -> Environment:
    environment = Environment(
        loader=PackageLoader("analysis.publish.report", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    units = reader.units
    environment.filters["verdict_word"] = partial(verdict_word, language=reader.language)
    environment.filters["local_minute"] = local_minute
    environment.filters["text"] = reader.text
    environment.filters["check_title"] = lambda name: reader.text(title_of(name))
    environment.globals["t"] = reader.phrase
    environment.globals["note_word"] = reader.phrase("finding-note")
    environment.globals["sweep_of"] = _sweep_of
    environment.globals["refusal"] = _refusal
    environment.globals["key_of"] = key_of
    environment.globals["language"] = reader.language
    environment.globals["amount"] = lambda value, unit: reader.number(
        amount_in_units(value, unit, units)
    )
    environment.globals["readiness"] = lambda seen: reader.text(readiness_statements(seen))
    environment.globals["show"] = lambda house, unit, finer=0: reader.number(
        shown(unit, units).text(house, finer)
    )
    environment.filters["number"] = reader.number
    return environment


def _sweep_of(bounds: PullBounds) -> Statement:
    """Where a pull ran and how it ended."""
    return say(
        "report-sweep",
        low=amount(bounds.start_rpm, "rpm"),
        high=amount(bounds.end_rpm, "rpm"),
        duration=amount(bounds.end_s - bounds.start_s, "s", 2),
        ended=word(bounds.end_reason),
    )


def _refusal(candidate: StoredRefused) -> Statement:
    return say(
        "report-refused-candidate",
        start=amount(candidate.start_s, "s", 1),
        end=amount(candidate.end_s, "s", 1),
        session=candidate.session_id,
        reason=candidate.reason,
    )
