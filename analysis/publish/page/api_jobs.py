"""The API of jobs: what was agreed, its stages, the day's conditions, who signs.

Routes are plain functions, run in threads: the store blocks.
"""

from typing import Final

from fastapi import APIRouter, HTTPException
from pydantic import BaseModel

from analysis.archive.jobs import Job, Stage, StoreError
from analysis.archive.sign_off import sign
from analysis.publish.page.bay_control import enter_stage
from analysis.publish.page.route_parts import MISSING, BayParam, Id, Name, StoreParam, Text
from analysis.publish.page.whole_job import WholeJob, whole_job

jobs_api: Final = APIRouter(tags=["jobs"], responses=MISSING)


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


@jobs_api.get("/jobs")
def list_jobs(store: StoreParam) -> list[Job]:
    """Every job, oldest first."""
    return store.jobs()


@jobs_api.post("/jobs", status_code=201)
def open_job(bay: BayParam, job: NewJob) -> Job:
    """Make a job with its baseline stage; pulls fall into that from now on."""
    made = bay.store.open_job(job.name, job.car, job.fuel, job.agreed)
    enter_stage(bay, bay.store.open_stage(made.id, "baseline"))
    return made


@jobs_api.get("/jobs/{job_id}")
def read_job(store: StoreParam, job_id: Id) -> WholeJob:
    """A job with its stages, pulls and refused candidates."""
    return whole_job(store, job_id)


@jobs_api.post("/jobs/{job_id}/stages", status_code=201)
def open_stage(bay: BayParam, job_id: Id, stage: NewStage) -> Stage:
    """Make the job's next stage; pulls fall into it from now on."""
    made = bay.store.open_stage(job_id, stage.name, stage.changed)
    enter_stage(bay, made)
    return made


@jobs_api.put("/stages/{stage_id}/current", status_code=204)
def choose_stage(bay: BayParam, stage_id: Id) -> None:
    """Let pulls fall into this stage from now on."""
    bay.store.set_current_stage(stage_id)
    enter_stage(bay, bay.store.stage(stage_id))


@jobs_api.put("/jobs/{job_id}/conditions", status_code=204)
def set_conditions(store: StoreParam, job_id: Id, conditions: dict[Name, Text]) -> None:
    """Set what the operator typed of the day."""
    store.set_conditions(job_id, conditions)


@jobs_api.post(
    "/jobs/{job_id}/signatures",
    status_code=201,
    responses={409: {"description": "there is nothing to sign, or a file is broken"}},
)
def sign_job(bay: BayParam, job_id: Id, signature: NewSignature) -> Job:
    """Stand for the job as it is now: its content's hash is kept with the name."""
    bay.store.job(job_id)
    try:
        return sign(bay.store, job_id, signature.name, signature.remarks, bay.basis)
    except StoreError as error:
        raise HTTPException(409, str(error)) from error
