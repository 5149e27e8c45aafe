"""What a signature rests on: the documents of a pull as they were first stored.

A step of migrations/ may rewrite a document and then keeps its first form in `originals`. Here that
form is given back, as long as the steps lead from it to what the table holds now: a document that
somebody has changed since the upgrade is given as it is, so that the signature finds it changed.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from analysis.archive.migrations import steps_after
from analysis.archive.tables import OriginalRow, PullRow

Place = tuple[str, int, str]  # table, row, column


@dataclass(frozen=True, slots=True)
class PullEvidence:
    """A pull for the content hash. findings, power and bounds: documents, as plain data."""

    id: int
    stage_id: int
    file_sha256: str
    verdict: str
    findings: Sequence[Mapping[str, Any]]
    power: Mapping[str, Any] | None
    bounds: Mapping[str, Any]
    excluded: str | None
    annotation: str


def evidence_of(session: Session, rows: Sequence[PullRow]) -> list[PullEvidence]:
    """The rows as they were first stored."""
    kept = {
        (row.table_name, row.row_id, row.column_name): row
        for row in session.scalars(select(OriginalRow))
    }
    return [
        PullEvidence(
            id=row.id,
            stage_id=row.stage_id,
            file_sha256=row.file_sha256,
            verdict=row.verdict,
            findings=[
                _first_stored(finding.finding, kept, ("findings", finding.id, "finding"))
                for finding in row.findings
            ],
            power=_first_stored(row.power, kept, ("pulls", row.id, "power")),
            bounds=_first_stored(row.bounds, kept, ("pulls", row.id, "bounds")),
            excluded=row.excluded,
            annotation=row.annotation,
        )
        for row in rows
    ]


def _first_stored(now: Any, kept: Mapping[Place, OriginalRow], place: Place) -> Any:
    original = kept.get(place)
    if original is None or _text(_upgraded(original)) != _text(now):
        return now
    return json.loads(original.content)


def _upgraded(original: OriginalRow) -> Any:
    """What the steps since make of it."""
    document = original.content
    for rewrite in (
        rewrite
        for _, step in steps_after(original.layout)
        for rewrite in step.rewrites
        if (rewrite.table, rewrite.column) == (original.table_name, original.column_name)
    ):
        document = json.dumps(rewrite.change(rewrite.read(document)))
    return json.loads(document)


def _text(document: Any) -> str:
    return json.dumps(document, sort_keys=True)
