"""The head of a recording, the same in every form: which form it is, and the session, as JSON.

Both stand in the metadata of the Arrow schema. A recording is evidence and is never rewritten: each
form that was ever written keeps its reader (form_1.py, form_2.py, and format.py for today's).
"""

import dataclasses
import json
from typing import Any, Final

import pyarrow as pa

from decode.errors import RecordingError
from decode.records import SessionInfo, SourceInfo, SourceKind

FORM_KEY: Final = b"pullwatch_recording"
SESSION_KEY: Final = b"session"
FORM: Final = 3  # of the recordings that are written today


def schema_of(session: SessionInfo, fields: tuple[pa.Field, ...]) -> pa.Schema:
    """The schema of a recording written today, with the session in its metadata."""
    head = json.dumps(dataclasses.asdict(session))
    form = str(FORM).encode()
    return pa.schema(fields, metadata={FORM_KEY: form, SESSION_KEY: head.encode()})


def form_of(schema: pa.Schema) -> int:
    """The form of a recording; RecordingError where it is none of ours, or a newer one."""
    found = (schema.metadata or {}).get(FORM_KEY, b"").decode(errors="replace")
    if not found.isdecimal() or int(found) < 1:
        raise RecordingError("is no pullwatch recording")
    if int(found) > FORM:
        raise RecordingError(
            f"was written by a newer pullwatch: it is of form {found}, this pullwatch reads forms "
            f"1 to {FORM}; read it with the newer one"
        )
    return int(found)


def session_of(schema: pa.Schema, *known_fields: tuple[pa.Field, ...]) -> SessionInfo:
    """The session of a recording whose columns are one of `known_fields`; else RecordingError."""
    if not any(schema.equals(pa.schema(fields)) for fields in known_fields):
        raise RecordingError("has a damaged head: its columns are not those of a recording")
    try:
        return _session_from(json.loads(schema.metadata[SESSION_KEY]))
    except (KeyError, TypeError, ValueError) as error:
        raise RecordingError(f"has a damaged head: {error}") from error


def _session_from(head: dict[str, Any]) -> SessionInfo:
    sources = tuple(
        SourceInfo(s["name"], SourceKind(s["kind"]), tuple(s["columns"])) for s in head["sources"]
    )
    return SessionInfo(**{**head, "sources": sources})
