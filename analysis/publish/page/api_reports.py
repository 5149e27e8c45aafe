"""The API of what a job comes to: two stages compared, the customer's report.

Routes are plain functions, run in threads: the store blocks.
"""

from typing import Final

from fastapi import APIRouter, HTTPException
from fastapi.responses import HTMLResponse, Response

from analysis.archive.job_comparison import stored_runs
from analysis.phrases.reader import Reader
from analysis.publish.messages.comparison import ComparisonMessage, comparison_message
from analysis.publish.page.bay_control import BayControl
from analysis.publish.page.route_parts import (
    MISSING,
    BayParam,
    Id,
    IdQuery,
    ReaderParam,
    StoreParam,
)
from analysis.publish.report.document import render_report
from analysis.publish.report.pdf import PdfUnavailableError, report_pdf
from analysis.stages.compare import compare_runs

reports_api: Final = APIRouter(tags=["jobs"], responses=MISSING)


@reports_api.get("/jobs/{job_id}/comparison")
def compare(
    store: StoreParam, job_id: Id, baseline: IdQuery, changed: IdQuery
) -> ComparisonMessage:
    """Two stages of the job against each other, in house units: the pulls that count, by the
    set-up that held when they were made."""
    store.job(job_id)
    stages = (store.stage(baseline), store.stage(changed))
    (compared,) = compare_runs([(stage.name, stored_runs(store, stage.id)) for stage in stages])
    return comparison_message(compared)


@reports_api.get("/jobs/{job_id}/report", response_class=HTMLResponse)
def report(bay: BayParam, job_id: Id, reader: ReaderParam) -> HTMLResponse:
    """The customer's report: one HTML file that needs nothing else, in the chosen units."""
    headers = {"Content-Disposition": f'inline; filename="report-job-{job_id}.html"'}
    return HTMLResponse(_rendered(bay, job_id, reader), headers=headers)


@reports_api.get(
    "/jobs/{job_id}/report.pdf",
    response_class=Response,
    responses={404: {"description": "not in the store, or the pdf extra is not installed"}},
)
def report_as_pdf(bay: BayParam, job_id: Id, reader: ReaderParam) -> Response:
    """The same report as a PDF."""
    try:
        content = report_pdf(_rendered(bay, job_id, reader))
    except PdfUnavailableError as error:
        raise HTTPException(404, str(error)) from error
    headers = {"Content-Disposition": f'attachment; filename="report-job-{job_id}.pdf"'}
    return Response(content, media_type="application/pdf", headers=headers)


def _rendered(bay: BayControl, job_id: int, reader: Reader) -> str:
    return render_report(bay.store, job_id, bay.setup, reader, bay.letterhead)
