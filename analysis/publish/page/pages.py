"""The HTML pages. They hold what is read; the scripts beside them fetch what moves."""

from dataclasses import asdict, dataclass
from typing import Annotated, Any, Final

from fastapi import APIRouter, Cookie, Query, Request
from fastapi.responses import HTMLResponse, Response
from fastapi.templating import Jinja2Templates
from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined

from analysis.comparison import Comparison
from analysis.findings import Finding, Severity, worst
from analysis.jobs import Stage, StoredPull
from analysis.publish.cautions import CAUTIONS, LIVE_ALERTS_CAUTION
from analysis.publish.display import CHOICES, VERDICT_WORDS, Units, shown, symbol
from analysis.publish.page.api_jobs import Id, WholeJob, comparison_of, whole_job
from analysis.publish.summary import headline, peak_wheel_power_kw
from analysis.setup import Setup
from analysis.store import Store

UnitsCookie = Annotated[str, Cookie()]

# What an operator goes through before the first pull: common practice, no published source.
CHECKLIST: Final = (
    "Straps tight, nobody before or behind the car",
    "Tyres: pressure set, no damage, dry",
    "Exhaust extraction and fan running",
    "Fuel as agreed, enough for the job",
    "Oil and coolant levels good, no leaks",
    "Fire extinguisher in reach",
    "Customer has agreed to full-load pulls",
)

CALM: Final = (Severity.HEALTHY, Severity.NOTE)
# The page's own templates, then those it shares with the report.
PACKAGES: Final = ("analysis.publish.page", "analysis.publish")
CONDITIONS: Final = (
    "Operator",
    "Tyres and their pressure",
    "Fuel as filled",
    "Cooling fan",
    "Weather",
    "Remarks",
)


@dataclass(frozen=True, slots=True)
class StageSection:
    """A stage as the job page shows it. comparison: against the first stage."""

    stage: Stage
    pulls: list[StoredPull]
    comparison: Comparison | None

    @property
    def verdict(self) -> Severity:
        """The worst of its pulls that count."""
        return worst_verdict(self.pulls)


def pages_router(store: Store, setup: Setup) -> APIRouter:
    """Every page a person opens."""
    router = APIRouter(include_in_schema=False)
    templates = Jinja2Templates(env=_environment())

    def page(request: Request, name: str, units_text: str, **context: Any) -> Response:
        units = Units.parse(units_text)
        shared = {
            "here": request.url.path,
            "units": asdict(units),
            "show": lambda house, unit: shown(unit, units).text(house),
            "show_difference": lambda house, unit: shown(unit, units).difference(house),
        }
        return templates.TemplateResponse(request, name, {**shared, **context})

    @router.get("/", response_class=HTMLResponse)
    def live_page(request: Request, units: UnitsCookie = "") -> Response:
        return page(request, "live.html", units)

    @router.get("/cautions", response_class=HTMLResponse)
    def cautions_page(request: Request, units: UnitsCookie = "") -> Response:
        return page(request, "cautions.html", units, cautions=CAUTIONS)

    @router.get("/jobs", response_class=HTMLResponse)
    def jobs_page(request: Request, units: UnitsCookie = "") -> Response:
        jobs = [whole_job(store, job.id) for job in reversed(store.jobs())]
        return page(request, "jobs.html", units, jobs=jobs)

    @router.get("/jobs/{job_id}", response_class=HTMLResponse)
    def job_page(request: Request, job_id: Id, units: UnitsCookie = "") -> Response:
        whole = whole_job(store, job_id)
        checklist = whole.job.checklist or dict.fromkeys(CHECKLIST, False)
        sections = _sections(store, setup, whole)
        context = {
            "whole": whole,
            "sections": sections,
            "checklist": checklist,
            "condition_names": CONDITIONS,
        }
        return page(request, "job.html", units, **context)

    @router.get("/review", response_class=HTMLResponse)
    def review_page(
        request: Request,
        pulls: Annotated[list[int], Query(min_length=1, max_length=24)],
        units: UnitsCookie = "",
    ) -> Response:
        chosen = [store.pull(pull_id) for pull_id in dict.fromkeys(pulls)]
        stages = {stage.id: stage for stage in store.stages(chosen[0].job_id)}
        stages |= {p.stage_id: store.stage(p.stage_id) for p in chosen}
        job = store.job(chosen[0].job_id)
        context = {"pulls": chosen, "stages": stages, "job": job, "calm": CALM}
        return page(request, "review.html", units, **context)

    return router


def _sections(store: Store, setup: Setup, whole: WholeJob) -> list[StageSection]:
    first = whole.stages[0] if whole.stages else None
    return [
        StageSection(
            stage,
            [pull for pull in whole.pulls if pull.stage_id == stage.id],
            None if first is None or stage is first else comparison_of(store, setup, first, stage),
        )
        for stage in whole.stages
    ]


def _environment() -> Environment:
    environment = Environment(
        loader=ChoiceLoader([PackageLoader(package, "templates") for package in PACKAGES]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals["unit_choices"] = CHOICES
    environment.globals["live_alerts_caution"] = LIVE_ALERTS_CAUTION
    environment.filters["symbol"] = symbol
    environment.filters["verdict_word"] = lambda severity: VERDICT_WORDS[severity]
    environment.filters["headline"] = headline
    environment.filters["peak_wheel_power_kw"] = peak_wheel_power_kw
    environment.filters["numbered_gravest_first"] = numbered_gravest_first
    environment.filters["worst_verdict"] = worst_verdict
    return environment


def numbered_gravest_first(findings: tuple[Finding, ...]) -> list[tuple[int, Finding]]:
    """Stop before look closer before healthy before notes, each with its place in the pull's own
    order, by which the page knows it."""
    order = list(reversed(Severity))
    return sorted(enumerate(findings), key=lambda pair: order.index(pair[1].severity))


def worst_verdict(pulls: list[StoredPull]) -> Severity:
    """The worst of the pulls that count."""
    return worst(pull.verdict for pull in pulls if pull.excluded is None)
