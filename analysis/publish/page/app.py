"""The page's application: one FastAPI, on loopback, with nothing from outside."""

import re
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from bokeh.settings import settings
from fastapi import FastAPI, Request
from fastapi.responses import JSONResponse
from fastapi.staticfiles import StaticFiles

from analysis.archive.jobs import StoreError
from analysis.publish.page.api_jobs import jobs_api
from analysis.publish.page.api_live import live_api
from analysis.publish.page.api_pulls import pulls_api
from analysis.publish.page.api_reports import reports_api
from analysis.publish.page.api_schemas import schemas_api
from analysis.publish.page.bay_control import BayControl
from analysis.publish.page.downloads import downloads_api
from analysis.publish.page.guard import KnownHost, SameOrigin
from analysis.publish.page.live_stream import live_router
from analysis.publish.page.pages import pages
from analysis.publish.page.route_parts import API
from analysis.publish.page.templating import environment

# The API's description of itself: the same for every bay, and half a second to make.
_description: Final[dict[str, Any]] = {}


def create_app(bay: BayControl, names: Sequence[str] = ("localhost",)) -> FastAPI:
    """The page of a bay, and its API. names: of this machine, that the page may be asked for by;
    an address in numbers always may."""
    app = FastAPI(
        title="pullwatch",
        version="1",
        docs_url=None,  # the generated page would load its scripts from outside
        redoc_url=None,
        openapi_url=f"{API}/openapi.json",
    )
    app.state.bay = bay
    app.add_middleware(SameOrigin)
    app.add_middleware(KnownHost, names=names)
    app.add_exception_handler(StoreError, _not_in_store)
    app.add_exception_handler(405, _wrong_method)
    app.mount("/static", StaticFiles(directory=str(files(__package__) / "static")))
    app.mount("/bokeh", StaticFiles(directory=Path(settings.bokehjs_path()) / "js"))
    stream = live_router(bay.live, bay.setup, bay.language)
    for router in (stream, live_api, jobs_api, reports_api, pulls_api, downloads_api, schemas_api):
        app.include_router(router, prefix=API)
    app.include_router(pages)
    # Both are made at the first question otherwise, while somebody waits for the answer.
    environment()
    if not _description:
        _description.update(app.openapi())
    app.openapi_schema = _description
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
