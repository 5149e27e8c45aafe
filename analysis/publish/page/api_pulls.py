"""The API of pulls: what was found, what people say of it, the overlay's charts.

Routes are plain functions, run in threads: the store blocks.
"""

from typing import Annotated, Final, TypeVar

from fastapi import APIRouter, HTTPException, Query
from fastapi.responses import Response
from pydantic import BaseModel, Field, TypeAdapter

from analysis.archive.jobs import PullEdit, StoredPull
from analysis.model.setup import LossConvention, Standard
from analysis.publish.page.curves import Axis
from analysis.publish.page.figures import OverlayRequest, closer, overlay
from analysis.publish.page.overlay_form import CloserLine, Overlay
from analysis.publish.page.route_parts import MISSING, Id, StoreParam, UnitsParam
from decode.quantities import Quantity

MAX_OVERLAID: Final = 24  # more curves than this in one chart cannot be told apart

pulls_api: Final = APIRouter(tags=["pulls"], responses=MISSING)

PullIds = Annotated[
    list[Annotated[int, Field(ge=1, le=2**31 - 1)]],
    Query(min_length=1, max_length=MAX_OVERLAID),
]


class Reason(BaseModel):
    """Why a pull does not count."""

    reason: Annotated[str, Field(min_length=1, max_length=2000, pattern=r"\S")]


class Remark(BaseModel):
    """What somebody writes beside a pull."""

    annotation: Annotated[str, Field(max_length=2000)]


class Destination(BaseModel):
    """Where a pull belongs."""

    stage_id: Annotated[int, Field(ge=1, le=2**31 - 1)]


@pulls_api.get("/pulls")
def list_pulls(store: StoreParam) -> list[StoredPull]:
    """Every pull of every job, oldest first."""
    return store.pulls()


@pulls_api.get("/pulls/{pull_id}")
def read_pull(store: StoreParam, pull_id: Id) -> StoredPull:
    """One pull: bounds, verdict, findings, torque; without its samples."""
    return store.pull(pull_id)


@pulls_api.get("/pulls/{pull_id}/history")
def history(store: StoreParam, pull_id: Id) -> list[PullEdit]:
    """What people did to the pull, oldest first."""
    store.pull(pull_id)
    return store.history(pull_id)


@pulls_api.put("/pulls/{pull_id}/exclusion", status_code=204)
def exclude(store: StoreParam, pull_id: Id, reason: Reason) -> None:
    """Let the pull count no longer, for a reason that stays on record."""
    store.exclude_pull(pull_id, reason.reason)


@pulls_api.delete("/pulls/{pull_id}/exclusion", status_code=204)
def include(store: StoreParam, pull_id: Id) -> None:
    """Let the pull count again; that it did not stays on record."""
    store.include_pull(pull_id)


@pulls_api.put("/pulls/{pull_id}/annotation", status_code=204)
def annotate(store: StoreParam, pull_id: Id, remark: Remark) -> None:
    """Write a remark beside the pull."""
    store.annotate_pull(pull_id, remark.annotation)


@pulls_api.put("/pulls/{pull_id}/stage", status_code=204)
def move(store: StoreParam, pull_id: Id, destination: Destination) -> None:
    """Put the pull into another stage."""
    store.move_pull(pull_id, destination.stage_id)


@pulls_api.get("/overlay", response_model=Overlay)
def overlaid(
    store: StoreParam,
    units: UnitsParam,
    pulls: PullIds,
    axis: Axis = Axis.ENGINE_SPEED,
    quantity: Annotated[list[Quantity] | None, Query()] = None,
    correction: Standard | None = None,
    loss: LossConvention | None = None,
    resampled: bool = False,
    bands: bool = False,
) -> Response:
    """Charts of the pulls over each other, line by line, with what the page needs beside.

    The units are those of the cookie `units`, as the page's switch sets it. correction and
    loss: another convention than the station's; uncorrected power at the wheel is always
    there. resampled: on the comparisons' grid. bands: each stage's mean with
    its simultaneous 95 % band, of the pulls that count.
    """
    request = OverlayRequest(axis, quantity, units, correction, loss, resampled, bands)
    return _as_json(_OVERLAY, overlay(store, list(dict.fromkeys(pulls)), request))


@pulls_api.get(
    "/overlay/closer",
    response_model=list[CloserLine],
    responses={409: {"description": "high is not above low"}},
)
def overlaid_closer(
    store: StoreParam,
    units: UnitsParam,
    pulls: PullIds,
    low: Annotated[float, Query(allow_inf_nan=False)],
    high: Annotated[float, Query(allow_inf_nan=False)],
    axis: Axis = Axis.ENGINE_SPEED,
    quantity: Annotated[list[Quantity] | None, Query()] = None,
) -> Response:
    """The channels' lines between two places of the axis, in rpm or in seconds since the sweep
    began: every sample, where the overlay of the whole had to leave some out."""
    if not low < high:
        raise HTTPException(409, f"high must be above low, {low:g}, not {high:g}")
    request = OverlayRequest(axis, quantity, units)
    return _as_json(_CLOSER, closer(store, list(dict.fromkeys(pulls)), request, (low, high)))


Answer = TypeVar("Answer")
_OVERLAY: Final = TypeAdapter(Overlay)
_CLOSER: Final = TypeAdapter(list[CloserLine])


def _as_json(form: TypeAdapter[Answer], content: Answer) -> Response:
    """Typed already: the framework would look at each of its numbers once more."""
    return Response(form.dump_json(content), media_type="application/json")
