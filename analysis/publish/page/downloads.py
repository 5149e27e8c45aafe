"""The API of files: the samples of a pull, and the raw recording of its session.

Routes are plain functions, run in threads: the store blocks.
"""

import csv
from collections.abc import Iterator
from io import StringIO
from pathlib import Path
from typing import Annotated, Final

from fastapi import APIRouter, HTTPException
from fastapi import Path as PathParameter
from fastapi.responses import FileResponse, Response, StreamingResponse

from analysis.archive.recordings import FOLDER, KeptRecording, kept_recordings
from analysis.model.pull import Pull
from analysis.publish.page.route_parts import MISSING, Id, StoreParam

PARQUET: Final = "application/vnd.apache.parquet"
ARROW: Final = "application/vnd.apache.arrow.stream"
# Only names that the bay gives its sessions: a path must not climb out of the folder.
SessionId = Annotated[str, PathParameter(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]{0,99}$")]

downloads_api: Final = APIRouter(tags=["downloads"], responses=MISSING)


@downloads_api.get("/pulls/{pull_id}/samples", response_class=Response)
def samples(store: StoreParam, pull_id: Id) -> Response:
    """Every sample of every channel, as the store keeps it: a Parquet file."""
    content = (store.folder / store.pull(pull_id).file).read_bytes()
    return Response(content, media_type=PARQUET, headers=_named(f"pull-{pull_id}.parquet"))


@downloads_api.get("/pulls/{pull_id}/samples.csv", response_class=StreamingResponse)
def samples_csv(store: StoreParam, pull_id: Id) -> StreamingResponse:
    """Every sample as one line: channel, unit, time in the session, value."""
    lines = _csv(store.load_report(pull_id).pull)
    headers = _named(f"pull-{pull_id}.csv")
    return StreamingResponse(lines, media_type="text/csv; charset=utf-8", headers=headers)


@downloads_api.get("/recordings")
def recordings(store: StoreParam) -> list[KeptRecording]:
    """Every recording, the newest first, with the jobs that own pulls of it."""
    return kept_recordings(store)


@downloads_api.get("/sessions/{session_id}/recording", response_class=FileResponse)
def recording(store: StoreParam, session_id: SessionId) -> FileResponse:
    """The raw recording of a whole session, as far as it is written."""
    found = sorted((store.folder / FOLDER).glob(f"{session_id}.*"))
    if not found:
        raise HTTPException(404, f"there is no recording of session {session_id} in the store")
    return FileResponse(Path(found[0]), media_type=ARROW, filename=found[0].name)


def _named(name: str) -> dict[str, str]:
    return {"Content-Disposition": f'attachment; filename="{name}"'}


def _csv(pull: Pull) -> Iterator[str]:
    """The lines, a channel at a time. Numbers as Python prints them: the shortest that is exact."""
    yield "channel,unit,time_s,value\r\n"
    for name, samples in pull.samples.items():
        text = StringIO()
        unit = pull.channels[name].unit
        rows = zip(samples.time_s.tolist(), samples.value.tolist(), strict=True)
        csv.writer(text).writerows((name, unit, time_s, value) for time_s, value in rows)
        yield text.getvalue()
