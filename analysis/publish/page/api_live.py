"""The API of what is so now: the snapshot, an alert that somebody has seen, the list, the air."""

from collections.abc import Callable
from dataclasses import replace
from typing import Annotated, Any

from fastapi import APIRouter, Cookie, HTTPException
from fastapi import Path as InPath
from pydantic import BaseModel, ConfigDict, Field

from analysis.model.setup import Air
from analysis.phrases.units import Units
from analysis.power.air import not_of_this_station
from analysis.publish.live.view import LiveView
from analysis.publish.page.live_stream import said_in
from analysis.publish.wording.sentences import in_units

Read = Callable[[dict[str, float]], None]  # fields of Air, what the operator read off for each
Tick = Callable[[int, bool], None]  # a point of the list, from 0; looked at or taken back


class Ticked(BaseModel):
    """What the operator says of a point of the list."""

    model_config = ConfigDict(extra="forbid")
    done: bool


class AirRead(BaseModel):
    """What the operator read off instruments at the dyno; what is left out stays as it was."""

    model_config = ConfigDict(extra="forbid")
    barometric_kpa: float | None = Field(None, ge=50, le=110)
    temperature_degc: float | None = Field(None, ge=-50, le=60)
    relative_humidity_percent: float | None = Field(None, ge=0, le=100)

    @classmethod
    def bounds(cls, field: str) -> tuple[float, float]:
        """The lowest and the highest that a field may be, in its house unit."""
        low, high = cls.model_fields[field].metadata
        return low.ge, high.le


def live_api_router(
    live: LiveView,
    acknowledge: Callable[[str], None],
    tick: Tick | None,
    read: Read | None,
    station: Air,
) -> APIRouter:
    """Routes under /api/v1. They are coroutines: the live view belongs to the event loop."""
    router = APIRouter(tags=["live"])

    @router.get("/snapshot")
    async def snapshot(units: Annotated[str, Cookie()] = "") -> dict[str, Any]:
        """What the live page shows, once; its sentences in the units of the cookie `units`."""
        return said_in(live.snapshot(), Units.parse(units))

    @router.post(
        "/alerts/{key}/acknowledge",
        status_code=204,
        responses={404: {"description": "no such alert stands"}},
    )
    async def acknowledge_alert(key: str) -> None:
        """Somebody has seen the alert: it goes once its value is fine again."""
        if key not in {alert.key for alert in live.alerts}:
            raise HTTPException(404, f"no alert {key} stands")
        acknowledge(key)

    @router.post(
        "/checklist/{point}",
        status_code=204,
        responses={
            400: {"description": "the body is no JSON"},
            404: {"description": "the list has no such point"},
        },
    )
    async def tick_point(point: Annotated[int, InPath(ge=0)], ticked: Ticked) -> None:
        """The operator has looked at a point of the list before the pull, or takes it back."""
        points = () if live.readiness is None else live.readiness.checklist
        if tick is None or point >= len(points):
            raise HTTPException(404, f"the list has no point {point}")
        tick(point, ticked.done)

    @router.put(
        "/air",
        status_code=204,
        responses={
            400: {"description": "the body is no JSON"},
            404: {"description": "no session runs"},
            409: {"description": "the pressure cannot be that of this station"},
        },
    )
    async def read_air(said: AirRead, units: Annotated[str, Cookie()] = "") -> None:
        """Tell the air of the bay from now on; a channel that reads it is believed before."""
        if read is None:
            raise HTTPException(404, "no session runs")
        fields = said.model_dump(exclude_none=True)
        doubt = not_of_this_station(replace(station, **fields))
        if doubt:
            raise HTTPException(409, in_units(doubt, Units.parse(units)))
        read(fields)

    return router
