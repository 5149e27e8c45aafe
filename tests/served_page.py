"""The page, really served on loopback, fed with an invented session: for browsers to look at."""

import asyncio
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import demo_job
import uvicorn
from page_bay import PageBay

from analysis.archive.store import Store
from analysis.judging.limits_file import default_limits
from analysis.model.events import Alert, AlertKind, AlertState, Phase
from analysis.model.findings import Severity
from analysis.model.setup import Air
from analysis.phrases.say import as_written
from analysis.publish.live.view import LiveView
from analysis.publish.messages.live_page import LastPull, SourceHealth
from analysis.publish.page.app import create_app
from analysis.readiness.readiness import Service
from analysis.readiness.watch import ReadinessWatch
from decode.operator_records import AirRead, AlertAcknowledged, OperatorRecord, PointTicked
from decode.samples import Samples

FEED_PERIOD_S = 0.03
NEWEST = LastPull(6, 6, Severity.LOOK_CLOSER, (as_written("Cylinder 3 had timing taken away."),))


def knock_alert(state: AlertState = AlertState.RAISED) -> Alert:
    return Alert(
        "knock_retard:3", AlertKind.KNOCK_RETARD, state, Severity.STOP,
        as_written("Cylinder 3: 8.4 deg of timing taken away"), 5.0, 5.2, 8.4, 8.0, "deg",
        5120.0, 3, "knock_retard_3", True,
    )  # fmt: skip


@dataclass
class Session:
    """Plays one pull of the changed stage over and over, as a bay would feed the view."""

    live: LiveView
    acknowledged: list[str] = field(default_factory=list)
    speed: float = 3.0  # times real time: nobody wants to wait for a test
    alerting: bool = True
    readiness: ReadinessWatch = field(
        default_factory=lambda: ReadinessWatch(demo_job.CHANNELS, default_limits())
    )
    air: Air = demo_job.SETUP.air
    newest: LastPull = NEWEST

    def record(self, statement: OperatorRecord) -> None:
        match statement:
            case AlertAcknowledged():
                self.acknowledged.append(statement.key)
                self.live.alert(knock_alert(AlertState.CLEARED))
            case PointTicked():
                self.readiness.tick(statement.point, statement.done)
            case AirRead():
                self.air = replace(
                    self.air, **dict[str, Any](statement.readings), origin="typed by the operator"
                )

    async def feed(self) -> None:
        pull = demo_job.pull(6, 1, start_s=3.0)
        self.live.health = (
            SourceHealth("engine", "open", True, 120_000),
            SourceHealth("dyno", "open", True, 9_000),
            SourceHealth("lambda", "open", True, 4_000),
        )
        started = time.monotonic()
        raised = False
        while True:
            now_s = (time.monotonic() - started) * self.speed
            at_s = now_s % 13.0
            shift_s = now_s - at_s
            heard = {
                name: Samples(s.time_s + shift_s, s.value)
                for name, column in pull.samples.items()
                if len(s := column.between(at_s - 0.04 * self.speed, at_s))
            }
            self.live.update(heard, now_s)
            self.readiness.feed(heard, now_s)
            self.live.readiness = self.readiness.judge(
                {Service.RECORDING: None, Service.BROKER: None}
            )
            self.live.air = self.air
            self.live.phase = _phase(at_s)
            if self.alerting and not raised and at_s > 9.0:
                raised = True
                self.live.alert(knock_alert())
            if at_s > 12.2:
                self.live.last_pull = self.newest
            await asyncio.sleep(FEED_PERIOD_S)


def _phase(at_s: float) -> Phase:
    if at_s < 1.0:
        return Phase.IDLE
    if at_s < 3.0:
        return Phase.HOLD
    return Phase.SWEEP if at_s < 12.0 else Phase.DONE


@dataclass
class ServedBay(PageBay):
    """Hands what is stated to the session."""

    session: Session | None = None

    def record(self, statement: OperatorRecord) -> None:
        assert self.session is not None
        self.session.record(statement)


@dataclass
class Served:
    url: str
    store: Store
    session: Session


@contextmanager
def served(folder: Path, port: int = 0) -> Iterator[Served]:
    """Serve the demo job from a thread of its own; port 0 takes a free one."""
    store = demo_job.fill(folder)
    live = LiveView(demo_job.CHANNELS, "bay-1")
    live.job, live.stage = "Larger charge cooler and calibration", "larger cooler, more boost"
    session = Session(live)
    app = create_app(ServedBay(store, live, session=session))
    server = uvicorn.Server(
        uvicorn.Config(app, port=port, log_level="warning", ws="websockets-sansio")
    )
    thread = threading.Thread(target=lambda: asyncio.run(_run(server, session)), name="page")
    thread.start()
    try:
        while not server.started:
            time.sleep(0.01)
        bound = server.servers[0].sockets[0].getsockname()[1]
        yield Served(f"http://127.0.0.1:{bound}", store, session)
    finally:
        server.should_exit = True
        thread.join(10)
        store.close()


async def _run(server: Any, session: Session) -> None:
    feeding = asyncio.create_task(session.feed(), name="feed")
    await server.serve()
    feeding.cancel()
    with suppress(asyncio.CancelledError):
        await feeding


if __name__ == "__main__":
    import tempfile

    with served(Path(tempfile.mkdtemp()), 8710) as page:
        print(page.url, flush=True)
        while True:
            time.sleep(1)
