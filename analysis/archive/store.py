"""The archive: jobs, stages, pulls and findings in a database, samples in one Parquet file a pull.

Nothing is ever deleted: a pull is excluded with a reason, moved or annotated, and what was done to
it stays on record. Every call is one transaction with a connection of its own, so that worker
threads may save while the page reads. One database belongs to one station.
"""

import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Self, TypeVar

from pydantic import ValidationError
from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError, SQLAlchemyError
from sqlalchemy.orm import Session

from analysis.archive.database import open_database
from analysis.archive.evidence import PullEvidence, evidence_of
from analysis.archive.jobs import (
    Job,
    PullEdit,
    PullMark,
    Stage,
    StoredPull,
    StoredRefused,
    StoreError,
)
from analysis.archive.pull_cache import PullCache
from analysis.archive.pull_files import BOUNDS, write_pull
from analysis.archive.tables import (
    SETUP,
    FindingRow,
    JobRow,
    PullEditRow,
    PullRow,
    RefusedRow,
    SignatureRow,
    StageRow,
    now,
)
from analysis.judging.pull_report import PullReport
from analysis.model.findings import Severity
from analysis.model.pull import Refused
from analysis.model.setup import Setup
from analysis.phrases.say import as_plain
from analysis.readiness.readiness import Readiness

Row = TypeVar("Row", JobRow, StageRow, PullRow)


class Store:
    """Jobs, stages and pulls. Blocks on the disk: call it by asyncio.to_thread from a loop."""

    def __init__(self, folder: Path, url: str | None = None) -> None:
        """Open the store, making folder and tables where there are none; see open_database.

        url: an SQLAlchemy URL; None means SQLite in the folder. Raises StoreError.
        """
        self.folder = folder
        # SQLite has one writer at a time; waiting here is fair, waiting on its file lock is not.
        self._writing = threading.Lock()
        self._pull_files = PullCache()
        try:
            folder.mkdir(parents=True, exist_ok=True)
            self._engine = open_database(folder, url)
            (folder / "pulls").mkdir(exist_ok=True)
        except OSError as error:
            raise StoreError(f"{folder}: the store cannot be opened: {error}") from error

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *error: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    # Jobs

    def open_job(self, name: str, car: str = "", fuel: str = "", agreed: str = "") -> Job:
        """Make a job."""
        with self._write() as session:
            row = JobRow(name=name, car=car, fuel=fuel, agreed=agreed, signatures=[])
            session.add(row)
            session.flush()
            return row.value()

    def jobs(self) -> list[Job]:
        """Every job, oldest first."""
        with self._read() as session:
            return [row.value() for row in session.scalars(select(JobRow).order_by(JobRow.id))]

    def job(self, job_id: int) -> Job:
        """One job; StoreError where there is none."""
        with self._read() as session:
            return _get(session, JobRow, job_id, "job").value()

    def set_conditions(self, job_id: int, conditions: Mapping[str, Any]) -> None:
        """Set what the operator typed of the day."""
        with self._write() as session:
            _get(session, JobRow, job_id, "job").conditions = dict(conditions)

    def sign_job(self, job_id: int, name: str, remarks: str, content_sha256: str) -> Job:
        """Add a signature over the job as it is (content_hash.manifest_hash)."""
        with self._write() as session:
            row = _get(session, JobRow, job_id, "job")
            signature = SignatureRow(name=name, remarks=remarks, content_sha256=content_sha256)
            row.signatures.append(signature)
            session.flush()
            return row.value()

    # Stages

    def open_stage(self, job_id: int, name: str, changed: str = "") -> Stage:
        """Make the job's next stage; it becomes the current one."""
        with self._write() as session:
            _get(session, JobRow, job_id, "job")
            count = select(func.count()).where(StageRow.job_id == job_id)
            position = session.scalar(count.select_from(StageRow)) or 0
            row = StageRow(job_id=job_id, position=position + 1, name=name, changed=changed)
            session.add(row)
            session.flush()
            return row.value()

    def stages(self, job_id: int) -> list[Stage]:
        """The job's stages, in order."""
        query = select(StageRow).where(StageRow.job_id == job_id).order_by(StageRow.position)
        with self._read() as session:
            return [row.value() for row in session.scalars(query)]

    def stage(self, stage_id: int) -> Stage:
        """One stage; StoreError where there is none."""
        with self._read() as session:
            return _get(session, StageRow, stage_id, "stage").value()

    def current_stage(self) -> Stage | None:
        """The stage that pulls fall into: the one opened or chosen last; None in a new store."""
        query = select(StageRow).order_by(StageRow.made_current.desc(), StageRow.id.desc())
        with self._read() as session:
            row = session.scalars(query.limit(1)).first()
            return None if row is None else row.value()

    def set_current_stage(self, stage_id: int) -> None:
        """Let pulls fall into this stage from now on."""
        with self._write() as session:
            _get(session, StageRow, stage_id, "stage").made_current = now()

    # Pulls

    def save_pull(
        self,
        stage_id: int,
        session_id: str,
        report: PullReport,
        setup: Setup | None = None,
        readiness: Readiness | None = None,
    ) -> int:
        """Store the pull with its samples, findings and torque; return its number in the store.

        setup: what it was judged by, so that its figures can be had again another way.
        readiness: how it stood when the pull began.

        Raises StoreError for a pull of this session with this number that is there already.
        """
        row = PullRow(
            stage_id=stage_id,
            session_id=session_id,
            number=report.pull.number,
            bounds=BOUNDS.dump_python(report.pull.bounds, mode="json"),
            verdict=report.verdict.value,
            power=None if report.power is None else report.power.to_json(),
            setup=None if setup is None else SETUP.dump_python(setup, mode="json"),
            readiness=None if readiness is None else readiness.to_json(),
            findings=[FindingRow.of(finding) for finding in report.findings],
        )
        with self._write() as session:
            _get(session, StageRow, stage_id, "stage")
            session.add(row)
            session.flush()  # gives the id; if the file fails, the row is rolled back
            row.file = f"pulls/pull-{row.id:06d}.parquet"
            row.file_sha256 = write_pull(self.folder / row.file, report.pull)
            return row.id

    def pulls(self, job_id: int | None = None, stage_id: int | None = None) -> list[StoredPull]:
        """The pulls of a job, of a stage or of all, oldest first, excluded ones too."""
        query = select(PullRow).order_by(PullRow.id)
        if job_id is not None:
            query = query.where(PullRow.stage.has(StageRow.job_id == job_id))
        if stage_id is not None:
            query = query.where(PullRow.stage_id == stage_id)
        with self._read() as session:
            return [row.value() for row in session.scalars(query)]

    def pull_marks(self) -> list[PullMark]:
        """Every pull's place and verdict, oldest first: quick however many there are."""
        query = (
            select(StageRow.job_id, PullRow.stage_id, PullRow.verdict, PullRow.excluded)
            .join(StageRow, PullRow.stage_id == StageRow.id)
            .order_by(PullRow.id)
        )
        with self._read() as session:
            return [
                PullMark(job_id, stage_id, Severity(verdict), excluded)
                for job_id, stage_id, verdict, excluded in session.execute(query)
            ]

    def sessions(self) -> dict[str, dict[int, int]]:
        """How many pulls of each recorded session every job has: by session, by job."""
        query = (
            select(PullRow.session_id, StageRow.job_id, func.count())
            .join(StageRow, PullRow.stage_id == StageRow.id)
            .group_by(PullRow.session_id, StageRow.job_id)
        )
        found: dict[str, dict[int, int]] = {}
        with self._read() as session:
            for session_id, job_id, count in session.execute(query):
                found.setdefault(session_id, {})[job_id] = count
        return found

    def pull(self, pull_id: int) -> StoredPull:
        """One pull without its samples; StoreError where there is none."""
        with self._read() as session:
            return _get(session, PullRow, pull_id, "pull").value()

    def chosen(self, pull_ids: Sequence[int]) -> list[StoredPull]:
        """These pulls in this order, read at once; StoreError where there is none of a number."""
        query = select(PullRow).where(PullRow.id.in_(pull_ids))
        with self._read() as session:
            rows = {row.id: row for row in session.scalars(query)}
            return [(rows.get(n) or _get(session, PullRow, n, "pull")).value() for n in pull_ids]

    def load_report(self, pull_id: int) -> PullReport:
        """The report as it was saved, samples bit for bit.

        Raises StoreError where the pull or its file is gone, or the file has been changed.
        """
        return self.report_of(self.pull(pull_id))

    def report_of(self, stored: StoredPull) -> PullReport:
        """The report of a pull that has been read, as load_report gives it."""
        return PullReport(
            pull=self._pull_files.read(self.folder / stored.file, stored.file_sha256),
            findings=stored.findings,
            verdict=stored.verdict,
            power=stored.power,
            setup=stored.setup or Setup(),
        )

    def evidence(self, job_id: int) -> list[PullEvidence]:
        """The pulls of a job as they were first stored: what a signature rests on."""
        query = select(PullRow).where(PullRow.stage.has(StageRow.job_id == job_id))
        with self._read() as session:
            return evidence_of(session, session.scalars(query.order_by(PullRow.id)).all())

    def move_pull(self, pull_id: int, stage_id: int) -> None:
        """Put the pull into another stage."""
        with self._change(pull_id) as (session, row, said):
            stage = _get(session, StageRow, stage_id, "stage")
            said.append(f"moved from stage {row.stage.id} to stage {stage.id}")
            row.stage = stage

    def exclude_pull(self, pull_id: int, reason: str) -> None:
        """Let the pull count no longer. Raises StoreError without a reason."""
        if not reason.strip():
            raise StoreError("a pull is excluded only with a reason")
        with self._change(pull_id) as (_session, row, said):
            said.append(f"excluded: {reason}")
            row.excluded = reason

    def include_pull(self, pull_id: int) -> None:
        """Let the pull count again."""
        with self._change(pull_id) as (_session, row, said):
            said.append("included again")
            row.excluded = None

    def annotate_pull(self, pull_id: int, annotation: str) -> None:
        """Write a remark beside the pull in place of the last one, which stays in the history."""
        with self._change(pull_id) as (_session, row, said):
            said.append(f"annotated: {annotation}")
            row.annotation = annotation

    def history(self, pull_id: int) -> list[PullEdit]:
        """What people did to the pull, oldest first."""
        query = select(PullEditRow).where(PullEditRow.pull_id == pull_id).order_by(PullEditRow.id)
        with self._read() as session:
            return [row.value() for row in session.scalars(query)]

    # Candidates that were no pull

    def save_refused(self, stage_id: int, session_id: str, refused: Refused) -> None:
        """Store a refused candidate and why."""
        with self._write() as session:
            _get(session, StageRow, stage_id, "stage")
            session.add(
                RefusedRow(
                    stage_id=stage_id,
                    session_id=session_id,
                    start_s=refused.start_s,
                    end_s=refused.end_s,
                    reason=as_plain(refused.reason),
                )
            )

    def refused(self, job_id: int) -> list[StoredRefused]:
        """The refused candidates of a job, oldest first."""
        query = (
            select(RefusedRow)
            .join(StageRow, RefusedRow.stage_id == StageRow.id)
            .where(StageRow.job_id == job_id)
            .order_by(RefusedRow.id)
        )
        with self._read() as session:
            return [row.value() for row in session.scalars(query)]

    # Transactions

    @contextmanager
    def _read(self) -> Iterator[Session]:
        with _errors_of_the_database(), Session(self._engine) as session:
            yield session

    @contextmanager
    def _write(self) -> Iterator[Session]:
        with self._writing, _errors_of_the_database(), Session(self._engine) as session:
            yield session
            session.commit()

    @contextmanager
    def _change(self, pull_id: int) -> Iterator[tuple[Session, PullRow, list[str]]]:
        """Change a pull and say in words what is done to it."""
        said: list[str] = []
        with self._write() as session:
            yield session, _get(session, PullRow, pull_id, "pull"), said
            session.add_all(PullEditRow(pull_id=pull_id, what=what) for what in said)


@contextmanager
def _errors_of_the_database() -> Iterator[None]:
    try:
        yield
    except IntegrityError as error:
        raise StoreError(f"the store has this already: {error.orig}") from error
    except (SQLAlchemyError, OSError) as error:
        raise StoreError(f"the store failed: {error}") from error
    except ValidationError as error:
        raise StoreError(f"a document in the store is not as it was written: {error}") from error


def _get(session: Session, table: type[Row], row_id: int, word: str) -> Row:
    row = session.get(table, row_id)
    if row is None:
        raise StoreError(f"there is no {word} {row_id} in the store")
    return row
