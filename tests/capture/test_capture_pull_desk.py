"""What becomes of a closed pull, and when."""

import asyncio
import threading
from pathlib import Path
from typing import Any

import demo_job
import pytest
from patience import until

from analysis.archive.jobs import StoreError
from analysis.archive.store import Store
from analysis.checks.check import Context
from analysis.judging.limits_file import default_limits
from analysis.model.findings import Severity
from analysis.publish.live.view import LiveView
from analysis.publish.messages.station import StationMessage, Topic
from analysis.session.analysis import ClosedPull
from capture.bay.pull_desk import PullDesk
from decode.records import SessionInfo

SESSION = SessionInfo("session-1", "bay-1", 0, 0, (), "")
CLOSED = ClosedPull(
    demo_job.pull(6, 1), Context(demo_job.SETUP, (), demo_job.CHANNELS), announced_s=15.2
)


class BusyStore(Store):
    """Stores nothing before it may; then it keeps the pull or fails."""

    def __init__(self, folder: Path, fails: bool) -> None:
        super().__init__(folder)
        self.may = threading.Event()
        self._fails = fails

    def save_pull(self, *pull: Any) -> int:
        self.may.wait()
        if self._fails:
            raise StoreError("the store failed: no space left")
        return super().save_pull(*pull)


@pytest.mark.parametrize("fails", [False, True])
async def test_a_pull_is_shown_before_it_is_stored_and_can_be_opened_after(
    tmp_path: Path, fails: bool
) -> None:
    published: list[StationMessage] = []
    live = LiveView(demo_job.CHANNELS, "bay-1")
    with BusyStore(tmp_path, fails) as store:
        stage = store.open_stage(store.open_job("x").id, "baseline")
        desk = PullDesk(SESSION, store, default_limits(), live, published.append)
        working = asyncio.create_task(desk.run(), name="desk")
        desk.put(stage.id, CLOSED)
        desk.close()
        await until(lambda: live.last_pull is not None)
        shown = live.last_pull
        store.may.set()
        await working
        stored = [pull.id for pull in store.pulls()]
    assert shown is not None
    assert (shown.number, shown.verdict, shown.pull_id) == (6, Severity.LOOK_CLOSER, None)
    assert live.last_pull is not None
    assert live.last_pull.pull_id == (stored[0] if stored else None)
    assert (desk.failure is not None) is fails
    assert [published[0].topic, published[-1].topic] == [Topic.PULL, Topic.VERDICT]
