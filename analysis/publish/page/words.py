"""What the operator writes down of the day, and how templates speak."""

from functools import cache
from typing import Final

from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined, pass_context
from jinja2.runtime import Context

from analysis.model.findings import Finding, Severity
from analysis.publish.report.content import TITLES
from analysis.publish.report.stage_charts import comparison_charts
from analysis.publish.wording.cautions import LIVE_ALERTS_CAUTION
from analysis.publish.wording.display import CHOICES, VERDICT_WORDS, Units, local_minute, symbol
from analysis.publish.wording.sentences import in_units
from analysis.publish.wording.summary import headline, peak_wheel_power_kw, verdict_of_job

CONDITIONS: Final = (
    "Operator",
    "Tyres and their pressure",
    "Fuel as filled",
    "Cooling fan",
    "Weather",
    "Remarks",
)
# Findings that ask for nothing: folded away where there are others.
CALM: Final = (Severity.HEALTHY, Severity.NOTE)
# The page's own templates, then those it shares with the report.
PACKAGES: Final = ("analysis.publish.page", "analysis.publish.report")


@cache
def environment() -> Environment:
    """The templates of every page, compiled, with the words and figures they use."""
    made = Environment(
        loader=ChoiceLoader([PackageLoader(package, "templates") for package in PACKAGES]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals |= {
        "unit_choices": CHOICES,
        "live_alerts_caution": LIVE_ALERTS_CAUTION,
        "comparison_charts": comparison_charts,
    }
    made.filters |= {
        "symbol": symbol,
        "said": said,
        "local_minute": local_minute,
        "verdict_word": lambda severity: VERDICT_WORDS[severity],
        "headline": headline,
        "peak_wheel_power_kw": peak_wheel_power_kw,
        "numbered_gravest_first": numbered_gravest_first,
        "check_title": lambda name: TITLES.get(name, name),
        "job_verdict": lambda whole: verdict_of_job(whole.stages, whole.pulls),
    }
    for name in made.list_templates():
        made.get_template(name)  # compiled here, not while somebody waits for the first page
    return made


@pass_context
def said(context: Context, sentence: str) -> str:
    """A statement in the units of who reads the page."""
    units: Units = context["units"]
    return in_units(sentence, units)


def numbered_gravest_first(findings: tuple[Finding, ...]) -> list[tuple[int, Finding]]:
    """Stop before look closer before healthy before notes, each with its place in the pull's own
    order, by which the page knows it."""
    order = list(reversed(Severity))
    return sorted(enumerate(findings), key=lambda pair: order.index(pair[1].severity))
