"""Where a closed pull is analysed, shown, stored and published, one after the other."""

import asyncio
import logging
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from analysis.archive.jobs import StoreError
from analysis.archive.store import Store
from analysis.judging.analyse_pull import analyse_pull
from analysis.judging.pull_report import PullReport
from analysis.model.limits import Limits
from analysis.model.pull import Refused
from analysis.model.setup import Setup
from analysis.publish.live.view import LiveView
from analysis.publish.messages.live_page import LastPull
from analysis.publish.messages.station import (
    FindingMessage,
    PullMessage,
    StationMessage,
    VerdictMessage,
    because,
)
from analysis.publish.wording.summary import headline_of
from analysis.readiness.readiness import Readiness
from analysis.session.analysis import ClosedPull
from decode.records import SessionInfo

log = logging.getLogger(__name__)

Publish = Callable[[StationMessage], None]


@dataclass(frozen=True, slots=True)
class _Work:
    stage_id: int
    subject: ClosedPull | Refused
    readiness: Readiness | None


class PullDesk:
    """Takes pulls and refused candidates as they close; works through them in order.

    Its queue is short by nature, a pull takes seconds to drive, and so has no bound.

    failure: why the last pull that could not be stored was not, or None.
    """

    def __init__(
        self,
        session: SessionInfo,
        store: Store,
        limits: Limits,
        live: LiveView,
        publish: Publish,
    ) -> None:
        self.failure: StoreError | None = None
        self._session = session
        self._store = store
        self._limits = limits
        self._live = live
        self._publish = publish
        self._queue: asyncio.Queue[_Work | None] = asyncio.Queue()

    def put(
        self, stage_id: int, subject: ClosedPull | Refused, readiness: Readiness | None = None
    ) -> None:
        """Take a pull or a refused candidate of a stage. readiness: when the pull began."""
        self._queue.put_nowait(_Work(stage_id, subject, readiness))

    def close(self) -> None:
        """No more will come: run() returns when all is done."""
        self._queue.put_nowait(None)

    async def run(self) -> None:
        """Work until closed."""
        while (work := await self._queue.get()) is not None:
            if isinstance(work.subject, Refused):
                await self._refuse(work.stage_id, work.subject)
            else:
                await self._report(work.stage_id, work.subject, work.readiness)

    async def _refuse(self, stage_id: int, refused: Refused) -> None:
        await asyncio.to_thread(self._save_refused, stage_id, refused)
        self._publish(
            PullMessage(
                station=self._session.station,
                session_id=self._session.session_id,
                event="refused",
                start_s=refused.start_s,
                end_s=refused.end_s,
                reason=refused.reason,
            )
        )

    async def _report(self, stage_id: int, closed: ClosedPull, readiness: Readiness | None) -> None:
        """Shown as soon as it is judged: the recording holds it, whatever becomes of the store."""
        report = await asyncio.to_thread(analyse_pull, closed.pull, self._limits, closed.context)
        number, statements = report.pull.number, headline_of(report.findings, report.verdict)
        self._live.last_pull = LastPull(None, number, report.verdict, statements)
        pull_id = await asyncio.to_thread(
            self._save_pull, stage_id, report, closed.context.setup, readiness
        )
        self._live.last_pull = LastPull(pull_id, number, report.verdict, statements)
        for message in self._messages(report, pull_id):
            self._publish(message)

    def _messages(self, report: PullReport, pull_id: int | None) -> Iterator[StationMessage]:
        """The pull, its findings in their order, then what they add up to."""
        station, session_id = self._session.station, self._session.session_id
        bounds, number = report.pull.bounds, report.pull.number
        yield PullMessage(
            station=station,
            session_id=session_id,
            event="ended",
            start_s=bounds.start_s,
            end_s=bounds.end_s,
            start_rpm=bounds.start_rpm,
            number=number,
            pull_id=pull_id,
            bounds=bounds,
        )
        for finding in report.findings:
            yield FindingMessage(
                station=station,
                session_id=session_id,
                number=number,
                pull_id=pull_id,
                finding=finding,
            )
        yield VerdictMessage(
            station=station,
            session_id=session_id,
            number=number,
            pull_id=pull_id,
            verdict=report.verdict,
            because=because(report.findings, report.verdict),
            power=report.figures(),
        )

    def _save_pull(
        self, stage_id: int, report: PullReport, setup: Setup, readiness: Readiness | None
    ) -> int | None:
        """The pull's number in the store; None where the store failed."""
        try:
            session_id = self._session.session_id
            return self._store.save_pull(stage_id, session_id, report, setup, readiness)
        except StoreError as error:
            self._fail(error)
        return None

    def _save_refused(self, stage_id: int, refused: Refused) -> None:
        try:
            self._store.save_refused(stage_id, self._session.session_id, refused)
        except StoreError as error:
            self._fail(error)

    def _fail(self, error: StoreError) -> None:
        """Alerts and verdicts go on without the store, and the recording holds the pull."""
        log.error("pull not stored: %s", error)
        self.failure = error
