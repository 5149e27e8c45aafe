"""The page's application: one FastAPI, on loopback, with nothing from outside."""

import re
from collections.abc import Callable, Sequence
from importlib.resources import files
from pathlib import Path
from typing import Final

from bokeh.settings import settings
from fastapi import FastAPI, Request
from fastapi.responses import JSONResponse
from fastapi.staticfiles import StaticFiles

from analysis.archive.jobs import Stage, StoreError
from analysis.archive.sign_off import Basis
from analysis.archive.store import Store
from analysis.model.setup import Setup
from analysis.publish.live.view import LiveView
from analysis.publish.page.api_jobs import jobs_router
from analysis.publish.page.api_live import Read, Tick, live_api_router
from analysis.publish.page.api_pulls import pulls_router
from analysis.publish.page.downloads import downloads_router
from analysis.publish.page.guard import KnownHost, SameOrigin
from analysis.publish.page.live_stream import live_router
from analysis.publish.page.pages import pages_router
from analysis.publish.report.letterhead import Letterhead

API: Final = "/api/v1"


def create_app(
    store: Store,
    live: LiveView,
    setup: Setup,
    acknowledge: Callable[[str], None],
    on_stage: Callable[[Stage], None] | None = None,
    basis: Basis | None = None,
    letterhead: Letterhead | None = None,
    names: Sequence[str] = ("localhost",),
    tick: Tick | None = None,
    read: Read | None = None,
) -> FastAPI:
    """The page and its API.

    acknowledge: called with an alert's key in the event loop's thread. on_stage: told of the stage
    that pulls fall into from now on, in a worker thread. basis: what a signature stands for
    beside the pulls; without it nobody can sign. letterhead: of the reports. names: of this
    machine, that the page may be asked for by; an address in numbers always may. tick: told of the
    operator's list, read: of the air that somebody read off, both in the event loop's thread.
    """
    app = FastAPI(
        title="pullwatch",
        version="1",
        docs_url=None,  # the generated page would load its scripts from outside
        redoc_url=None,
        openapi_url=f"{API}/openapi.json",
    )
    app.add_middleware(SameOrigin)
    app.add_middleware(KnownHost, names=names)
    app.add_exception_handler(StoreError, _not_in_store)
    app.add_exception_handler(405, _wrong_method)
    app.mount("/static", StaticFiles(directory=str(files(__package__) / "static")))
    app.mount("/bokeh", StaticFiles(directory=Path(settings.bokehjs_path()) / "js"))
    app.include_router(live_router(live, setup), prefix=API)
    app.include_router(live_api_router(live, acknowledge, tick, read, setup.air), prefix=API)
    app.include_router(jobs_router(store, setup, on_stage, basis, letterhead), prefix=API)
    app.include_router(pulls_router(store), prefix=API)
    app.include_router(downloads_router(store), prefix=API)
    app.include_router(pages_router(store, setup, basis))
    return app


async def _not_in_store(_request: Request, error: Exception) -> JSONResponse:
    return JSONResponse({"detail": str(error)}, 404)


async def _wrong_method(request: Request, error: Exception) -> JSONResponse:
    """Names every right method of the path: the framework names those of one route alone."""
    allowed = [
        method.upper()
        for path, operations in request.app.openapi()["paths"].items()
        if re.fullmatch(re.sub(r"\\{\w+\\}", "[^/]+", re.escape(path)), request.url.path)
        for method in operations
    ]
    headers = {"Allow": ", ".join(allowed)} if allowed else getattr(error, "headers", None)
    return JSONResponse({"detail": "Method Not Allowed"}, 405, headers)
