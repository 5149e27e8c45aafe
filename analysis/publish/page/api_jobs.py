"""The API of jobs: what was agreed, its stages, the day's conditions, comparison, report."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, Final

from fastapi import APIRouter, Cookie, HTTPException, Path, Query
from fastapi.responses import HTMLResponse, Response
from pydantic import BaseModel, Field, StrictBool

from analysis.archive.job_comparison import stored_runs
from analysis.archive.jobs import Job, Stage, StoredPull, StoredRefused, StoreError
from analysis.archive.sign_off import Basis
from analysis.archive.sign_off import sign as sign_job
from analysis.archive.store import Store
from analysis.model.setup import Setup
from analysis.publish.report.document import render_report
from analysis.publish.report.letterhead import Letterhead
from analysis.publish.report.pdf import PdfUnavailableError, report_pdf
from analysis.publish.wording.display import Units
from analysis.stages.compare import compare_runs
from analysis.stages.comparison import Comparison

MISSING: Final[dict[int | str, dict[str, Any]]] = {
    400: {"description": "the body is no JSON"},
    404: {"description": "not in the store"},
}
# What a database's integer column holds; beyond it a number names nothing.
Id = Annotated[int, Path(ge=1, le=2**31 - 1)]
IdQuery = Annotated[int, Query(ge=1, le=2**31 - 1)]
Text = Annotated[str, Field(max_length=2000)]
Name = Annotated[str, Field(min_length=1, max_length=200, pattern=r"\S")]


class NewJob(BaseModel):
    """What is agreed with the customer."""

    name: Name
    car: Text = ""
    fuel: Text = ""
    agreed: Text = ""


class NewStage(BaseModel):
    """A state of the car, and what changed since the stage before."""

    name: Name
    changed: Text = ""


class NewSignature(BaseModel):
    """Who stands for the job as it is."""

    name: Name
    remarks: Text = ""


@dataclass(frozen=True, slots=True)
class WholeJob:
    """A job with everything in it."""

    job: Job
    stages: list[Stage]
    current_stage_id: int | None
    pulls: list[StoredPull]
    refused: list[StoredRefused]


def whole_job(store: Store, job_id: int) -> WholeJob:
    """Read a job with everything in it."""
    current = store.current_stage()
    return WholeJob(
        job=store.job(job_id),
        stages=store.stages(job_id),
        current_stage_id=None if current is None else current.id,
        pulls=store.pulls(job_id),
        refused=store.refused(job_id),
    )


def comparison_of(store: Store, stages: tuple[Stage, Stage]) -> Comparison:
    """Compare the pulls of two stages that count, by the set-up that held when they were made."""
    return compare_runs([(stage.name, stored_runs(store, stage.id)) for stage in stages])[0]


def jobs_router(
    store: Store,
    setup: Setup,
    on_stage: Callable[[Stage], None] | None,
    basis: Basis | None,
    letterhead: Letterhead | None,
) -> APIRouter:
    """Routes under /api/v1. They are plain functions, run in threads: the store blocks."""
    router = APIRouter(tags=["jobs"], responses=MISSING)

    def tell(stage: Stage) -> Stage:
        if on_stage is not None:
            on_stage(stage)
        return stage

    @router.get("/jobs")
    def list_jobs() -> list[Job]:
        """Every job, oldest first."""
        return store.jobs()

    @router.post("/jobs", status_code=201)
    def open_job(job: NewJob) -> Job:
        """Make a job with its baseline stage; pulls fall into that from now on."""
        made = store.open_job(job.name, job.car, job.fuel, job.agreed)
        tell(store.open_stage(made.id, "baseline"))
        return made

    @router.get("/jobs/{job_id}")
    def read_job(job_id: Id) -> WholeJob:
        """A job with its stages, pulls and refused candidates."""
        return whole_job(store, job_id)

    @router.post("/jobs/{job_id}/stages", status_code=201)
    def open_stage(job_id: Id, stage: NewStage) -> Stage:
        """Make the job's next stage; pulls fall into it from now on."""
        return tell(store.open_stage(job_id, stage.name, stage.changed))

    @router.put("/stages/{stage_id}/current", status_code=204)
    def choose_stage(stage_id: Id) -> None:
        """Let pulls fall into this stage from now on."""
        store.set_current_stage(stage_id)
        tell(store.stage(stage_id))

    @router.put("/jobs/{job_id}/conditions", status_code=204)
    def set_conditions(job_id: Id, conditions: dict[Name, Text]) -> None:
        """Set what the operator typed of the day."""
        store.set_conditions(job_id, conditions)

    @router.put("/jobs/{job_id}/checklist", status_code=204)
    def set_checklist(job_id: Id, checklist: dict[Name, StrictBool]) -> None:
        """Set the operator's list."""
        store.set_checklist(job_id, checklist)

    if basis is not None:

        @router.post(
            "/jobs/{job_id}/signatures",
            status_code=201,
            responses={409: {"description": "there is nothing to sign, or a file is broken"}},
        )
        def sign(job_id: Id, signature: NewSignature) -> Job:
            """Stand for the job as it is now: its content's hash is kept with the name."""
            store.job(job_id)
            try:
                return sign_job(store, job_id, signature.name, signature.remarks, basis)
            except StoreError as error:
                raise HTTPException(409, str(error)) from error

    @router.get("/jobs/{job_id}/comparison")
    def compare(job_id: Id, baseline: IdQuery, changed: IdQuery) -> dict[str, Any]:
        """Two stages of the job against each other, in house units."""
        store.job(job_id)
        return comparison_of(store, (store.stage(baseline), store.stage(changed))).to_json()

    @router.get("/jobs/{job_id}/report", response_class=HTMLResponse)
    def report(job_id: Id, units: Annotated[str, Cookie()] = "") -> HTMLResponse:
        """The customer's report: one HTML file that needs nothing else, in the chosen units."""
        headers = {"Content-Disposition": f'inline; filename="report-job-{job_id}.html"'}
        html = render_report(store, job_id, setup, Units.parse(units), letterhead)
        return HTMLResponse(html, headers=headers)

    @router.get(
        "/jobs/{job_id}/report.pdf",
        response_class=Response,
        responses={404: {"description": "not in the store, or the pdf extra is not installed"}},
    )
    def report_as_pdf(job_id: Id, units: Annotated[str, Cookie()] = "") -> Response:
        """The same report as a PDF."""
        html = render_report(store, job_id, setup, Units.parse(units), letterhead)
        try:
            content = report_pdf(html)
        except PdfUnavailableError as error:
            raise HTTPException(404, str(error)) from error
        headers = {"Content-Disposition": f'attachment; filename="report-job-{job_id}.pdf"'}
        return Response(content, media_type="application/pdf", headers=headers)

    return router
