"""The JSON Schemas of every message, for whoever writes a program that reads them."""

from typing import Annotated, Final

from fastapi import APIRouter, HTTPException
from fastapi import Path as InPath
from fastapi.responses import FileResponse

from analysis.publish.messages.schemas import MESSAGES, schema_file

schemas_api: Final = APIRouter(tags=["schemas"])


@schemas_api.get("/schemas")
def list_schemas() -> list[str]:
    """The name of every message that has a schema."""
    return list(MESSAGES)


@schemas_api.get(
    "/schemas/{name}",
    response_class=FileResponse,
    responses={404: {"description": "no message has this name"}},
)
def schema(name: Annotated[str, InPath(max_length=40)]) -> FileResponse:
    """The JSON Schema of a message."""
    if name not in MESSAGES:
        raise HTTPException(404, f"no message is named {name}: {', '.join(MESSAGES)}")
    return FileResponse(schema_file(name), media_type="application/schema+json")
