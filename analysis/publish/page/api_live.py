"""The API of what is so now: the snapshot, an alert that somebody has seen, the list, the air.

Routes are coroutines: the live view belongs to the event loop.
"""

from typing import Annotated, Any, Final

from fastapi import APIRouter, HTTPException
from fastapi import Path as InPath
from pydantic import BaseModel, ConfigDict, Field

from analysis.model.setup import POSSIBLE_AIR
from analysis.power.air import not_of_this_station
from analysis.publish.messages.live_page import NowMessage
from analysis.publish.page.route_parts import BayParam, ReaderParam
from analysis.session.air import with_readings
from decode.operator_records import AirRead, AlertAcknowledged, PointTicked

live_api: Final = APIRouter(tags=["live"])


class Ticked(BaseModel):
    """What the operator says of a point of the list."""

    model_config = ConfigDict(extra="forbid", strict=True)
    done: bool


def _possible(field: str) -> Any:
    """May be left out, and is otherwise what the air can be."""
    low, high = POSSIBLE_AIR[field]
    return Field(None, ge=low, le=high)


class TypedAir(BaseModel):
    """What the operator read off instruments at the dyno; what is left out stays as it was."""

    model_config = ConfigDict(extra="forbid", strict=True)
    barometric_kpa: float | None = _possible("barometric_kpa")
    temperature_degc: float | None = _possible("temperature_degc")
    relative_humidity_percent: float | None = _possible("relative_humidity_percent")


@live_api.get("/snapshot")
async def snapshot(bay: BayParam, reader: ReaderParam) -> NowMessage:
    """What the live page shows, once; its sentences in the units of the cookie `units`."""
    return bay.live.now().written_for(reader)


@live_api.post(
    "/alerts/{key}/acknowledge",
    status_code=204,
    responses={404: {"description": "no such alert stands"}},
)
async def acknowledge_alert(bay: BayParam, key: str) -> None:
    """Somebody has seen the alert: it goes once its value is fine again."""
    if key not in {alert.key for alert in bay.live.alerts}:
        raise HTTPException(404, f"no alert {key} stands")
    bay.record(AlertAcknowledged(key=key))


@live_api.post(
    "/checklist/{point}",
    status_code=204,
    responses={
        400: {"description": "the body is no JSON"},
        404: {"description": "the list has no such point"},
    },
)
async def tick_point(bay: BayParam, point: Annotated[int, InPath(ge=0)], ticked: Ticked) -> None:
    """The operator has looked at a point of the list before the pull, or takes it back."""
    readiness = bay.live.readiness
    if readiness is None or point >= len(readiness.checklist):
        raise HTTPException(404, f"the list has no point {point}")
    bay.record(PointTicked(point=point, done=ticked.done))


@live_api.put(
    "/air",
    status_code=204,
    responses={
        400: {"description": "the body is no JSON"},
        409: {"description": "the pressure cannot be that of this station"},
    },
)
async def read_air(bay: BayParam, reader: ReaderParam, typed: TypedAir) -> None:
    """Tell the air of the bay from now on; a channel that reads it is believed before."""
    reading = AirRead.model_validate(typed.model_dump())
    doubt = not_of_this_station(with_readings(bay.setup.air, reading.readings))
    if doubt is not None:
        raise HTTPException(409, reader.text(doubt))
    bay.record(reading)
