"""What many routes take and answer: the bay, the reader's units, numbers and words of the store."""

from typing import Annotated, Any, Final

from fastapi import Cookie, Depends, Path, Query
from fastapi.requests import HTTPConnection
from pydantic import Field

from analysis.archive.store import Store
from analysis.phrases.reader import Reader
from analysis.phrases.units import Units
from analysis.publish.page.bay_control import BayControl

API: Final = "/api/v1"
MISSING: Final[dict[int | str, dict[str, Any]]] = {
    400: {"description": "the body is no JSON"},
    404: {"description": "not in the store"},
}
# What a database's integer column holds; beyond it a number names nothing.
Id = Annotated[int, Path(ge=1, le=2**31 - 1)]
IdQuery = Annotated[int, Query(ge=1, le=2**31 - 1)]
Text = Annotated[str, Field(max_length=2000)]
Name = Annotated[str, Field(min_length=1, max_length=200, pattern=r"\S")]


# Coroutines: the framework would start a thread for a plain function.
async def _bay(connection: HTTPConnection) -> BayControl:
    bay: BayControl = connection.app.state.bay
    return bay


async def _store(connection: HTTPConnection) -> Store:
    return (await _bay(connection)).store


async def _units(units: Annotated[str, Cookie()] = "") -> Units:
    return Units.parse(units)


async def _reader(connection: HTTPConnection, units: Annotated[str, Cookie()] = "") -> Reader:
    return Reader(Units.parse(units), (await _bay(connection)).language)


BayParam = Annotated[BayControl, Depends(_bay)]
StoreParam = Annotated[Store, Depends(_store)]
ReaderParam = Annotated[Reader, Depends(_reader)]
UnitsParam = Annotated[Units, Depends(_units)]  # of the cookie `units`, as the page's switch sets
