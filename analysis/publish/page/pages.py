"""The HTML pages. They hold what is read; the scripts beside them fetch what moves."""

from dataclasses import asdict, replace
from typing import Annotated, Any

from fastapi import APIRouter, Cookie, Query, Request
from fastapi.responses import HTMLResponse, Response
from fastapi.templating import Jinja2Templates

from analysis.archive.recordings import kept_recordings
from analysis.archive.sign_off import Basis, verify
from analysis.archive.store import Store
from analysis.model.setup import Setup, Standard
from analysis.phrases.units import Units
from analysis.publish.page.api_jobs import Id, whole_job
from analysis.publish.page.api_live import AirRead
from analysis.publish.page.conventions import possible_losses
from analysis.publish.page.words import CALM, CHECKLIST, CONDITIONS, environment
from analysis.publish.report.compressor_chart import pulls_on_map
from analysis.publish.report.content import stage_results
from analysis.publish.wording.cautions import cautions
from analysis.publish.wording.display import Conversion, amount, shown
from analysis.publish.wording.readiness_words import readiness_statements
from analysis.publish.wording.summary import judged_jobs

UnitsCookie = Annotated[str, Cookie()]


def pages_router(store: Store, setup: Setup, basis: Basis | None) -> APIRouter:
    """Every page a person opens."""
    router = APIRouter(include_in_schema=False)
    templates = Jinja2Templates(env=environment())

    def page(request: Request, name: str, units_text: str, **context: Any) -> Response:
        units = Units.parse(units_text)
        shared = {
            "here": request.url.path,
            "units": units,
            "chosen": asdict(units),
            "amount": lambda value, unit: amount(value, unit, units),
            "readiness": lambda stored: readiness_statements(stored, units),
            "show": lambda house, unit: shown(unit, units).text(house),
        }
        return templates.TemplateResponse(request, name, {**shared, **context})

    @router.get("/", response_class=HTMLResponse)
    def live_page(request: Request, units: UnitsCookie = "") -> Response:
        return page(request, "live.html", units)

    @router.get("/cautions", response_class=HTMLResponse)
    def cautions_page(request: Request, units: UnitsCookie = "") -> Response:
        return page(request, "cautions.html", units, cautions=cautions())

    @router.get("/jobs", response_class=HTMLResponse)
    def jobs_page(request: Request, units: UnitsCookie = "") -> Response:
        return page(request, "jobs.html", units, jobs=judged_jobs(store)[::-1])

    @router.get("/recordings", response_class=HTMLResponse)
    def recordings_page(request: Request, units: UnitsCookie = "") -> Response:
        names = {job.id: job.name for job in store.jobs()}
        found = kept_recordings(store)
        return page(request, "recordings.html", units, recordings=found, names=names)

    @router.get("/jobs/{job_id}", response_class=HTMLResponse)
    def job_page(request: Request, job_id: Id, units: UnitsCookie = "") -> Response:
        whole = whole_job(store, job_id)
        context = {
            "whole": whole,
            "results": stage_results(store, job_id),
            "checklist": whole.job.checklist or dict.fromkeys(CHECKLIST, False),
            "condition_names": CONDITIONS,
            "air_fields": _air_fields(Units.parse(units)),
            "signed": None if basis is None else verify(store, job_id, basis),
        }
        return page(request, "job.html", units, **context)

    @router.get("/review", response_class=HTMLResponse)
    def review_page(
        request: Request,
        pulls: Annotated[list[int], Query(min_length=1, max_length=24)],
        units: UnitsCookie = "",
    ) -> Response:
        chosen = store.chosen(list(dict.fromkeys(pulls)))
        stages = {stage_id: store.stage(stage_id) for stage_id in {p.stage_id for p in chosen}}
        job = store.job(chosen[0].job_id)
        context = {
            "pulls": chosen,
            "stages": stages,
            "job": job,
            "calm": CALM,
            "standards": list(Standard),
            "losses": possible_losses(setup),
            "dyno": setup.dyno,
            "compressor": pulls_on_map(store, chosen, stages, setup),
        }
        return page(request, "review.html", units, **context)

    return router


def _air_fields(units: Units) -> list[tuple[str, str, Conversion, list[float]]]:
    """What the operator may type of the air: the field, its words, its unit, its bounds in it."""
    pressure = shown("kPa", units)
    asked = [
        ("barometric_kpa", "Pressure", replace(pressure, decimals=pressure.decimals + 1)),
        ("temperature_degc", "Temperature", shown("degC", units)),
        ("relative_humidity_percent", "Humidity", shown("%", units)),
    ]
    return [
        (field, words, unit, [round(unit.value(end), 2) for end in AirRead.bounds(field)])
        for field, words, unit in asked
    ]
