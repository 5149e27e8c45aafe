"""The API of what is so now: the snapshot, an alert that somebody has seen, the operator's list."""

from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, HTTPException
from fastapi import Path as InPath
from pydantic import BaseModel, ConfigDict

from analysis.publish.live import LiveView

Tick = Callable[[int, bool], None]  # a point of the list, from 0; looked at or taken back


class Ticked(BaseModel):
    """What the operator says of a point of the list."""

    model_config = ConfigDict(extra="forbid")
    done: bool


def live_api_router(
    live: LiveView, acknowledge: Callable[[str], None], tick: Tick | None
) -> APIRouter:
    """Routes under /api/v1. They are coroutines: the live view belongs to the event loop."""
    router = APIRouter(tags=["live"])

    @router.get("/snapshot")
    async def snapshot() -> dict[str, Any]:
        """What the live page shows, once."""
        return live.snapshot()

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

    return router
