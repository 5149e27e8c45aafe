"""The store's tables, the same in SQLite and in PostgreSQL, in the layout of today.

Whoever changes a table, or what a JSON column holds, adds a step to migrations/.
"""

import json
from datetime import UTC, datetime
from typing import Any, Final

from pydantic import TypeAdapter
from sqlalchemy import (
    DateTime,
    Dialect,
    Double,
    ForeignKey,
    Text,
    TypeDecorator,
    UniqueConstraint,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship

from analysis.archive.jobs import Job, PullEdit, Signature, Stage, StoredPull, StoredRefused
from analysis.archive.pull_files import BOUNDS
from analysis.model.findings import Finding, Severity
from analysis.model.setup import Setup
from analysis.phrases.say import statement_of
from analysis.power.curve import PowerCurve
from analysis.readiness.readiness import Readiness

SETUP: Final = TypeAdapter(Setup)


class UtcDateTime(TypeDecorator[datetime]):
    """A moment in UTC; SQLite forgets the zone, so it is put back on reading."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Give the moment its zone."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class JsonText(TypeDecorator[dict[str, Any]]):
    """Plain data as JSON text: floats come back exactly, NaN and infinity too, which the JSON type
    of PostgreSQL refuses."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: dict[str, Any] | None, dialect: Dialect) -> str | None:
        """To text; None stays NULL."""
        return None if value is None else json.dumps(value)

    def process_result_value(self, value: str | None, dialect: Dialect) -> dict[str, Any] | None:
        """From text."""
        return None if value is None else json.loads(value)


def now() -> datetime:
    """The wall clock."""
    return datetime.now(UTC)


class Table(DeclarativeBase):
    """Base of every table; free text is unbounded."""

    type_annotation_map = {  # noqa: RUF012 - read once by SQLAlchemy
        str: Text,
        float: Double,  # said here, because SQLAlchemy 2.1 changed what it makes of a float
        datetime: UtcDateTime,
        dict[str, Any]: JsonText,
    }


class VersionRow(Table):
    """One row: which layout of tables this database has."""

    __tablename__ = "store_version"
    version: Mapped[int] = mapped_column(primary_key=True)


class SignatureRow(Table):
    """See jobs.Signature."""

    __tablename__ = "signatures"
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"), index=True)
    name: Mapped[str]
    remarks: Mapped[str]
    content_sha256: Mapped[str]
    signed: Mapped[datetime] = mapped_column(default=now)

    def value(self) -> Signature:
        """The row as a frozen value."""
        return Signature(self.name, self.remarks, self.content_sha256, self.signed)


class JobRow(Table):
    """See jobs.Job."""

    __tablename__ = "jobs"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    car: Mapped[str]
    fuel: Mapped[str]
    agreed: Mapped[str]
    created: Mapped[datetime] = mapped_column(default=now)
    conditions: Mapped[dict[str, Any]] = mapped_column(default=dict)
    checklist: Mapped[dict[str, Any]] = mapped_column(default=dict)
    signatures: Mapped[list[SignatureRow]] = relationship(order_by=SignatureRow.id, lazy="selectin")

    def value(self) -> Job:
        """The row as a frozen value."""
        return Job(
            id=self.id,
            name=self.name,
            car=self.car,
            fuel=self.fuel,
            agreed=self.agreed,
            created=self.created,
            conditions=self.conditions,
            checklist=self.checklist,
            signatures=tuple(row.value() for row in self.signatures),
        )


class StageRow(Table):
    """See jobs.Stage. made_current: the newest one in the database is the stage pulls fall into."""

    __tablename__ = "stages"
    __table_args__ = (UniqueConstraint("job_id", "position"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id"))
    position: Mapped[int]
    name: Mapped[str]
    changed: Mapped[str]
    created: Mapped[datetime] = mapped_column(default=now)
    made_current: Mapped[datetime] = mapped_column(default=now)

    def value(self) -> Stage:
        """The row as a frozen value."""
        return Stage(self.id, self.job_id, self.position, self.name, self.changed, self.created)


class FindingRow(Table):
    """One finding: whole as JSON, and in columns what a shop asks its database for."""

    __tablename__ = "findings"
    id: Mapped[int] = mapped_column(primary_key=True)
    pull_id: Mapped[int] = mapped_column(ForeignKey("pulls.id"), index=True)
    check_name: Mapped[str]
    severity: Mapped[str]
    cause: Mapped[str | None]
    finding: Mapped[dict[str, Any]]

    @classmethod
    def of(cls, finding: Finding) -> "FindingRow":
        """The row of a finding."""
        return cls(
            check_name=finding.check,
            severity=finding.severity.value,
            cause=None if finding.cause is None else finding.cause.value,
            finding=finding.to_json(),
        )


class PullRow(Table):
    """See jobs.StoredPull."""

    __tablename__ = "pulls"
    __table_args__ = (UniqueConstraint("session_id", "number"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    stage_id: Mapped[int] = mapped_column(ForeignKey("stages.id"), index=True)
    session_id: Mapped[str]
    number: Mapped[int]
    created: Mapped[datetime] = mapped_column(default=now)
    bounds: Mapped[dict[str, Any]]
    verdict: Mapped[str]
    power: Mapped[dict[str, Any] | None]
    setup: Mapped[dict[str, Any] | None]
    readiness: Mapped[dict[str, Any] | None]
    excluded: Mapped[str | None]
    annotation: Mapped[str] = mapped_column(default="")
    file: Mapped[str] = mapped_column(default="")
    file_sha256: Mapped[str] = mapped_column(default="")
    stage: Mapped[StageRow] = relationship(lazy="joined", innerjoin=True)
    findings: Mapped[list[FindingRow]] = relationship(order_by=FindingRow.id, lazy="selectin")

    def value(self) -> StoredPull:
        """The row, with its findings, as a frozen value."""
        return StoredPull(
            id=self.id,
            job_id=self.stage.job_id,
            stage_id=self.stage_id,
            session_id=self.session_id,
            number=self.number,
            created=self.created,
            bounds=BOUNDS.validate_python(self.bounds),
            verdict=Severity(self.verdict),
            findings=tuple(Finding.from_json(row.finding) for row in self.findings),
            power=None if self.power is None else PowerCurve.from_json(self.power),
            setup=None if self.setup is None else SETUP.validate_python(self.setup),
            readiness=None if self.readiness is None else Readiness.from_json(self.readiness),
            excluded=self.excluded,
            annotation=self.annotation,
            file=self.file,
            file_sha256=self.file_sha256,
        )


class RefusedRow(Table):
    """See jobs.StoredRefused."""

    __tablename__ = "refused"
    id: Mapped[int] = mapped_column(primary_key=True)
    stage_id: Mapped[int] = mapped_column(ForeignKey("stages.id"), index=True)
    session_id: Mapped[str]
    created: Mapped[datetime] = mapped_column(default=now)
    start_s: Mapped[float]
    end_s: Mapped[float]
    reason: Mapped[dict[str, Any]]

    def value(self) -> StoredRefused:
        """The row as a frozen value."""
        return StoredRefused(
            self.id,
            self.stage_id,
            self.session_id,
            self.created,
            self.start_s,
            self.end_s,
            statement_of(self.reason),
        )


class PullEditRow(Table):
    """See jobs.PullEdit."""

    __tablename__ = "changes"
    id: Mapped[int] = mapped_column(primary_key=True)
    pull_id: Mapped[int] = mapped_column(ForeignKey("pulls.id"), index=True)
    made: Mapped[datetime] = mapped_column(default=now)
    what: Mapped[str]

    def value(self) -> PullEdit:
        """The row as a frozen value."""
        return PullEdit(self.pull_id, self.made, self.what)


class OriginalRow(Table):
    """A document as it was first stored, which a step of migrations/ has rewritten since.

    layout: the one it was written in. content: the text of the column.
    """

    __tablename__ = "originals"
    __table_args__ = (UniqueConstraint("table_name", "row_id", "column_name"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    table_name: Mapped[str]
    row_id: Mapped[int]
    column_name: Mapped[str]
    layout: Mapped[int]
    content: Mapped[str]
