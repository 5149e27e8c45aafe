"""The HTML pages. They hold what is read; the scripts beside them fetch what moves."""

from dataclasses import asdict, replace
from functools import cache
from typing import Any, Final

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from fastapi.templating import Jinja2Templates

from analysis.archive.recordings import kept_recordings
from analysis.archive.sign_off import verify
from analysis.model.setup import POSSIBLE_AIR, Standard
from analysis.phrases.units import Units
from analysis.publish.page.api_pulls import PullIds
from analysis.publish.page.conventions import possible_losses
from analysis.publish.page.route_parts import BayParam, Id, StoreParam, UnitsParam
from analysis.publish.page.templating import CONDITIONS, environment
from analysis.publish.page.whole_job import whole_job
from analysis.publish.report.compressor_chart import pulls_on_map
from analysis.publish.report.content import stage_results
from analysis.publish.wording.cautions import cautions
from analysis.publish.wording.display import Conversion, amount, shown
from analysis.publish.wording.readiness_text import readiness_statements
from analysis.publish.wording.summary import judged_jobs

pages: Final = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)


@pages.get("/")
def live_page(request: Request, units: UnitsParam) -> Response:
    """What is so now, at two metres."""
    return _page(request, "live.html", units)


@pages.get("/cautions")
def cautions_page(request: Request, bay: BayParam, units: UnitsParam) -> Response:
    """What the program cannot know."""
    return _page(request, "cautions.html", units, cautions=cautions(bay.language))


@pages.get("/jobs")
def jobs_page(request: Request, store: StoreParam, units: UnitsParam) -> Response:
    """Every job, the newest first, with its verdict."""
    return _page(request, "jobs.html", units, jobs=judged_jobs(store)[::-1])


@pages.get("/recordings")
def recordings_page(request: Request, store: StoreParam, units: UnitsParam) -> Response:
    """Every recording, and the jobs that own pulls of it."""
    names = {job.id: job.name for job in store.jobs()}
    found = kept_recordings(store)
    return _page(request, "recordings.html", units, recordings=found, names=names)


@pages.get("/jobs/{job_id}")
def job_page(request: Request, bay: BayParam, job_id: Id, units: UnitsParam) -> Response:
    """One job: its stages and pulls, the list before a pull, the air, the sign-off."""
    context = {
        "whole": whole_job(bay.store, job_id),
        "results": stage_results(bay.store, job_id),
        "condition_names": CONDITIONS,
        "air_fields": _air_fields(units),
        "signed": verify(bay.store, job_id, bay.basis),
    }
    return _page(request, "job.html", units, **context)


@pages.get("/review")
def review_page(request: Request, bay: BayParam, pulls: PullIds, units: UnitsParam) -> Response:
    """Pulls over each other, with what was found in each."""
    store, setup = bay.store, bay.setup
    chosen = store.chosen(list(dict.fromkeys(pulls)))
    stages = {stage_id: store.stage(stage_id) for stage_id in {p.stage_id for p in chosen}}
    context = {
        "pulls": chosen,
        "stages": stages,
        "job": store.job(chosen[0].job_id),
        "standards": list(Standard),
        "losses": possible_losses(setup),
        "dyno": setup.dyno,
        "compressor": pulls_on_map(store, chosen, stages, setup),
    }
    return _page(request, "review.html", units, **context)


@cache
def _templates() -> Jinja2Templates:
    return Jinja2Templates(env=environment())


def _page(request: Request, name: str, units: Units, **context: Any) -> Response:
    shared = {
        "here": request.url.path,
        "units": units,
        "language": request.app.state.bay.language,
        "chosen": asdict(units),
        "amount": lambda value, unit: amount(value, unit, units),
        "readiness": readiness_statements,
        "show": lambda house, unit: shown(unit, units).text(house),
    }
    return _templates().TemplateResponse(request, name, {**shared, **context})


def _air_fields(units: Units) -> list[tuple[str, str, Conversion, list[float]]]:
    """What the operator may type of the air: the field, its words, its unit, its bounds in it."""
    pressure = shown("kPa", units)
    asked = [
        ("barometric_kpa", "Pressure", replace(pressure, decimals=pressure.decimals + 1)),
        ("temperature_degc", "Temperature", shown("degC", units)),
        ("relative_humidity_percent", "Humidity", shown("%", units)),
    ]
    return [
        (field, words, unit, [round(unit.value(end), 2) for end in POSSIBLE_AIR[field]])
        for field, words, unit in asked
    ]
