"""What the operator writes down of the day, and how templates speak."""

from collections.abc import Iterable
from functools import cache
from typing import Final

from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined, pass_context
from jinja2.runtime import Context

from analysis.checks.check import title_of
from analysis.model.findings import Finding
from analysis.phrases.reader import HOUSE_READER, Reader
from analysis.phrases.statement import Statement
from analysis.phrases.units import CHOICES, symbol
from analysis.publish.report.content import stage_budgets
from analysis.publish.report.stage_charts import comparison_charts
from analysis.publish.wording.cautions import live_alerts_caution
from analysis.publish.wording.display import local_minute, verdict_word
from analysis.publish.wording.power_text import wheel_power_text
from analysis.publish.wording.summary import headline, verdict_of_job

CONDITIONS: Final = (
    "Operator",
    "Tyres and their pressure",
    "Fuel as filled",
    "Cooling fan",
    "Weather",
    "Remarks",
)
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
        "note_word": HOUSE_READER.phrase("finding-note"),
        "live_alerts_caution": live_alerts_caution(),
        "wheel_power": wheel_power_text,
        "comparison_charts": lambda comparison, units: comparison_charts(comparison, Reader(units)),
    }
    made.filters |= {
        "symbol": symbol,
        "text": text,
        "local_minute": local_minute,
        "verdict_word": verdict_word,
        "headline": headline,
        "budgets": stage_budgets,
        "numbered_gravest_first": numbered_gravest_first,
        "check_title": check_title,
        "job_verdict": lambda whole: verdict_of_job(whole.stages, whole.pulls),
    }
    for name in made.list_templates():
        made.get_template(name)  # compiled here, not while somebody waits for the first page
    return made


@pass_context
def text(context: Context, statements: Statement | Iterable[Statement] | None) -> str:
    """Statements as who looks at the page reads them."""
    return Reader(context["units"], context["language"]).text(statements)


@pass_context
def check_title(context: Context, name: str) -> str:
    """The title of a check, by its name as a finding has it."""
    return text(context, title_of(name))


def numbered_gravest_first(findings: tuple[Finding, ...]) -> list[tuple[int, Finding]]:
    """Stop before look closer before healthy before notes, each with its place in the pull's own
    order, by which the page knows it."""
    return sorted(enumerate(findings), key=lambda pair: -pair[1].severity.rank)
