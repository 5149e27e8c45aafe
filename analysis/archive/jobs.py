"""What the store gives back: jobs, their stages, and the pulls in them, as frozen values."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from analysis.model.findings import Finding, Severity
from analysis.model.pull import PullBounds
from analysis.model.setup import Setup
from analysis.phrases.statement import Statement
from analysis.power.curve import PowerCurve
from analysis.readiness.readiness import Readiness
from decode.errors import PullwatchError


class StoreError(PullwatchError):
    """The store cannot do what was asked: nothing there under that number, or a broken file."""


@dataclass(frozen=True, slots=True)
class Signature:
    """Somebody stood for the job as it was. content_sha256: its content hash at that moment."""

    name: str
    remarks: str
    content_sha256: str
    signed: datetime


@dataclass(frozen=True, slots=True)
class Job:
    """One customer's car and what was agreed.

    conditions: what the operator typed of the day (free words and numbers). checklist: the
    operator's list before the first pull, item to done, in jobs of before each pull kept its own.
    signatures: oldest first; a later one adds to the earlier ones and never replaces them.
    """

    id: int
    name: str
    car: str
    fuel: str
    agreed: str
    created: datetime
    conditions: Mapping[str, Any]
    checklist: Mapping[str, bool]
    signatures: tuple[Signature, ...]


@dataclass(frozen=True, slots=True)
class Stage:
    """A named state of the car. position: from 1 in its job. changed: against the stage before."""

    id: int
    job_id: int
    position: int
    name: str
    changed: str
    created: datetime


@dataclass(frozen=True, slots=True)
class StoredPull:
    """All of a pull but its samples.

    excluded: why it does not count, None where it counts. power: None where the pull has no dyno
    data. setup: what it was judged by, without the points of a compressor map; None where nobody
    said. readiness: as it stood when the pull began, None where nobody looked.
    file: the samples, relative to the store's folder. file_sha256: of that file as written.
    """

    id: int
    job_id: int
    stage_id: int
    session_id: str
    number: int
    created: datetime
    bounds: PullBounds
    verdict: Severity
    findings: tuple[Finding, ...]
    power: PowerCurve | None
    setup: Setup | None
    readiness: Readiness | None
    excluded: str | None
    annotation: str
    file: str
    file_sha256: str


@dataclass(frozen=True, slots=True)
class PullMark:
    """A stored pull's place and verdict, for lists of many; the fields are those of StoredPull."""

    job_id: int
    stage_id: int
    verdict: Severity
    excluded: str | None


@dataclass(frozen=True, slots=True)
class StoredRefused:
    """A candidate that was no pull, and why."""

    id: int
    stage_id: int
    session_id: str
    created: datetime
    start_s: float
    end_s: float
    reason: Statement


@dataclass(frozen=True, slots=True)
class PullEdit:
    """What a person did to a stored pull, as text; the list of them only grows."""

    pull_id: int
    made: datetime
    what: str
