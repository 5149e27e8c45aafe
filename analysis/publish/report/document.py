"""The report of a job: two pages for the customer, a technical annex for the calibrator."""

from typing import Any, Final

import numpy as np
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from analysis.archive.store import Store
from analysis.judging.verdict import job_verdict
from analysis.model.findings import Severity
from analysis.model.setup import Setup
from analysis.publish.report.compressor_chart import pulls_on_map
from analysis.publish.report.content import (
    TITLES,
    StageResult,
    air_facts,
    days,
    gain_words,
    health,
    how_to_read,
    power_table,
    setups_differ,
    stage_results,
)
from analysis.publish.report.letterhead import Letterhead
from analysis.publish.report.stage_charts import comparison_charts, pulls_chart
from analysis.publish.wording.cautions import CAUTIONS
from analysis.publish.wording.display import VERDICT_WORDS, Units, amount, local_minute, shown
from analysis.publish.wording.readiness_words import readiness_facts, readiness_statements
from analysis.publish.wording.sentences import in_units
from analysis.stages.comparison import Comparison

EXPLANATIONS: Final = {
    Severity.HEALTHY: "In every pull that counts, everything that could be judged was in order.",
    Severity.LOOK_CLOSER: "Something should be looked at before more is asked of the engine.",
    Severity.STOP: "Do not drive at full load until the cause is found and mended.",
    Severity.NOTE: "Too little could be measured to judge the engine.",
}
SETUP_CHANGED: Final = (
    "The station's settings of car or dyno were not the same for all of these pulls: each is "
    "told by those that held when it was made."
)


def render_report(
    store: Store,
    job_id: int,
    setup: Setup,
    units: Units | None = None,
    letterhead: Letterhead | None = None,
) -> str:
    """One HTML file that needs nothing else and prints well. Raises StoreError for no such job.

    setup: of the station, for what no pull tells.
    """
    chosen = units or Units()
    context = _context(store, job_id, setup, chosen)
    template = _environment(chosen).get_template("report.html")
    return template.render(context | {"letterhead": letterhead or Letterhead()})


def _context(store: Store, job_id: int, setup: Setup, units: Units) -> dict[str, Any]:
    results = stage_results(store, job_id)
    run = [result for result in results if result.counted]
    last = run[-1] if run else None
    comparison = None if last is None else last.comparison
    curves = [curve for result in run for curve in result.curves]
    compared = [] if comparison is None else comparison_charts(comparison, units)
    job = store.job(job_id)
    return {
        "job": job,
        "results": results,
        "last": last,
        "job_verdict": job_verdict([result.verdict for result in run]),
        "explanations": EXPLANATIONS,
        "note": Severity.NOTE,
        "healthy": Severity.HEALTHY,
        "comparison": comparison,
        "banded": comparison is not None and _banded(comparison),
        "gain": None if comparison is None else gain_words(comparison, units),
        "has_corrected": any(result.corrected_peak_kw is not None for result in results),
        "has_engine": any(result.engine_peak_kw is not None for result in results),
        "standard": curves[0].correction.standard.value if curves else "",
        "loss": curves[0].loss.value if curves else "",
        "doubts": [SETUP_CHANGED] if setups_differ(run) else [],
        "charts": compared or pulls_chart(run, units),
        "health": health(results),
        "how_to_read": how_to_read(curves),
        "air_facts": air_facts([c.correction.air for c in curves] or [setup.air], units),
        "dates": days([pull.created for result in run for pull in result.pulls]),
        "refused": store.refused(job_id),
        "readiness_facts": readiness_facts([p for r in results for p in r.counted], job.checklist),
        "compressor": _compressor(store, results, setup),
        "cautions": CAUTIONS,
        "tables": {result.stage.id: power_table(result, units) for result in results},
    }


def _banded(comparison: Comparison) -> bool:
    return any(np.isfinite(each.half_width).any() for each in comparison.overlays.values())


def _compressor(store: Store, results: list[StageResult], setup: Setup) -> Markup | None:
    counted = [pull for result in results for pull in result.counted]
    return pulls_on_map(store, counted, {r.stage.id: r.stage for r in results}, setup)


def _environment(units: Units) -> Environment:
    environment = Environment(
        loader=PackageLoader("analysis.publish.report", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["verdict_word"] = lambda severity: VERDICT_WORDS[severity]
    environment.filters["local_minute"] = local_minute
    environment.filters["said"] = lambda sentence: in_units(sentence, units)
    environment.globals["amount"] = lambda value, unit: amount(value, unit, units)
    environment.filters["check_title"] = lambda name: TITLES.get(name, name)
    environment.globals["readiness"] = lambda stored: readiness_statements(stored, units)
    environment.globals["show"] = lambda house, unit, finer=0: shown(unit, units).text(house, finer)
    return environment
