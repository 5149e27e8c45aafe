"""The API of what is so now: the snapshot, and an alert that somebody has seen."""

from collections.abc import Callable
from typing import Any

from fastapi import APIRouter, HTTPException

from analysis.publish.live import LiveView


def live_api_router(live: LiveView, acknowledge: Callable[[str], None]) -> APIRouter:
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

    return router
