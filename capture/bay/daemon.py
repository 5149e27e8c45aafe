"""The daemon: sources, recorder, session analysis, store, MQTT and page in one task group.

    source threads -> recorder (raw first, lossless)
                   -> pipeline: decode, segment, alert -> live view, MQTT
                                     `-> pull desk: analysis thread -> store, MQTT

Shutdown, in this order: stop the adapters, drain the pipeline (an open pull is closed as
interrupted), finish the desk, close the recording, send what waits for a bounded time and say
offline, close the page.
"""

import asyncio
import gc
import json
import logging
import time
import uuid
from contextlib import AsyncExitStack
from datetime import datetime
from typing import Any, Final

from analysis.archive.jobs import Stage
from analysis.archive.sign_off import Basis
from analysis.archive.store import Store
from analysis.judging.limits_file import default_limits, load_limits
from analysis.publish.live.lamp import Lamp
from analysis.publish.live.view import LiveView
from analysis.publish.mqtt.address import BrokerAddress
from analysis.publish.mqtt.broker import embedded_broker
from analysis.publish.mqtt.documents import alert_document, live_document, pull_started_document
from analysis.publish.mqtt.publisher import MqttPublisher
from analysis.publish.mqtt.topics import Topic
from analysis.publish.page.app import create_app
from analysis.readiness.readiness import Readiness
from analysis.readiness.watch import ReadinessWatch
from analysis.session.analysis import SessionAnalysis, Step
from capture.bay.bounded_queue import BoundedQueue
from capture.bay.health import free_gb, own_trouble, services, source_health
from capture.bay.opening import broker_address, open_stage
from capture.bay.page_server import PageServer, names_of
from capture.bay.pull_desk import PullDesk
from capture.bay.watchdog import Watchdog
from capture.recording.format import SUFFIX
from capture.recording.recorder import Recorder
from capture.sources.base.clock import Clock
from capture.sources.make import make_sources
from capture.station.station import OPERATOR_NAME, Station
from capture.supervision.reconnect import SourceRunner
from decode.channel_map import load_map
from decode.errors import RecordingError
from decode.records import RecordBatch, SessionInfo, SourceInfo, SourceKind

log = logging.getLogger(__name__)

OPERATOR: Final = SourceInfo(OPERATOR_NAME, SourceKind.OPERATOR)
WATCH_PERIOD_S: Final = 0.25  # how often silence is looked for and health is shown
EMBEDDED_ROOT: Final = "pullwatch"
QUIET_AFTER_S: Final = 1.0  # without a word from any source the session's time must go on alone
READINESS_PERIOD_S: Final = 1.0  # a car warms up more slowly than that
LIVE_PERIOD_S: Final = 0.1  # for MQTT's readers; the page has 25 Hz of its own
PIPELINE_BOUND: Final = 5_000  # batches: several seconds of every source before one is dropped


class Daemon:
    """One station at work on one session."""

    def __init__(self, station: Station) -> None:
        """Read map and limits, open the store. Raises PullwatchError."""
        self._station = station
        self._clock = Clock(station.clock_speed)
        self._map = load_map(station.map)
        limits = load_limits(station.limits) if station.limits else default_limits()
        self._limits = limits
        sources = make_sources(station.sources, self._clock, self._map)
        self._runners = {source.info.name: SourceRunner(source, self._clock) for source in sources}
        self._heard = time.monotonic()
        self._watchdog = Watchdog(self._runners, self._heard)
        self.session = SessionInfo(
            session_id=f"{datetime.now():%Y%m%d-%H%M%S}-{uuid.uuid4().hex[:6]}",
            station=station.name,
            started_ns=self._clock.now_ns(),
            started_unix_ns=time.time_ns(),
            sources=(*(source.info for source in sources), OPERATOR),
            map_text=self._map.text,
        )
        for mismatch in self._map.mismatches(self.session.sources):
            log.warning("%s", mismatch)
        self._analysis = SessionAnalysis(self.session, self._map, limits, station.setup)
        url = None if station.database == "sqlite" else station.database
        self.store = Store(station.store, url)
        self.live = LiveView(self._map.channels, station.name)
        self._readiness = ReadinessWatch(self._map.channels, limits, station.checklist)
        self._ready_at_start: Readiness | None = None
        self.setup = station.setup
        self.recording = station.store / "recordings" / f"{self.session.session_id}{SUFFIX}"
        self._recorder = Recorder(self.recording, self.session)
        self._queue: BoundedQueue[RecordBatch] = BoundedQueue(PIPELINE_BOUND)
        self._desk = PullDesk(self.session.session_id, self.store, limits, self.live, self._tell)
        self._publisher: MqttPublisher | None = None
        self._lamp = Lamp(station.lamp.url, station.lamp.baud) if station.lamp else None
        self._loop: asyncio.AbstractEventLoop | None = None
        job, stage = open_stage(self.store, station)
        self._stage_id = self._stage_at_start = stage.id
        self.live.job, self.live.stage = job.name, stage.name
        self.page_url: str | None = None
        self.broker: BrokerAddress | None = None

    async def run(self, stop: asyncio.Event, ready: asyncio.Event | None = None) -> None:
        """Work until `stop` is set; `ready` is set when page and sources have been started."""
        self._loop = asyncio.get_running_loop()
        async with AsyncExitStack() as stack:
            stack.callback(self.store.close)
            page = self._make_page()
            publisher = await self._make_publisher(stack)
            if self._lamp is not None:
                await stack.enter_async_context(self._lamp)
            group = await stack.enter_async_context(asyncio.TaskGroup())
            if page is not None:
                group.create_task(page.run(), name="page")
            if publisher is not None:
                group.create_task(publisher.run(), name="mqtt")
            desk = group.create_task(self._desk.run(), name="pull desk")
            failed = await self._work(group, stop, ready)
            self._desk.close()
            await desk
            failure = failed or self._desk.failure
            if publisher is not None:
                await publisher.close()
            if page is not None:
                page.close()
        if failure is not None:
            raise failure

    async def _work(
        self, group: asyncio.TaskGroup, stop: asyncio.Event, ready: asyncio.Event | None
    ) -> RecordingError | None:
        """Sources, recorder and pipeline until `stop` is set.

        A recording that failed is returned: pulls that wait are stored and told all the same.
        """
        try:
            async with self._recorder:
                pipeline = group.create_task(self._run_pipeline(), name="pipeline")
                watchers = [
                    group.create_task(self._watch(), name="watch"),
                    group.create_task(self._tell_live(), name="live"),
                    group.create_task(self._look_whether_ready(), name="readiness"),
                    *(
                        group.create_task(runner.run(self._deliver), name=f"source {name}")
                        for name, runner in self._runners.items()
                    ),
                ]
                _forget_the_libraries()
                if ready is not None:
                    ready.set()
                await stop.wait()
                for watcher in watchers:
                    watcher.cancel()
                await asyncio.wait(watchers)
                self._queue.close()
                await pipeline
        except RecordingError as error:
            return error
        return None

    def acknowledge(self, key: str) -> None:
        """Somebody has seen a latched alert."""
        self._say({"acknowledge": key})

    def tick(self, point: int, done: bool) -> None:
        """The operator has looked at a point of the list before a pull, or takes it back."""
        self._say({"ticked": point, "done": done})

    def read_air(self, said: dict[str, float]) -> None:
        """Somebody has read off the air of the bay: fields of Air and their values."""
        self._say({"air": said})

    def enter_stage(self, stage: Stage) -> None:
        """Pulls fall into this stage from now on. Call it from any thread but the loop's."""
        assert self._loop is not None, "the daemon is not running"
        job = self.store.job(stage.job_id).name
        said = {"job": job, "stage": stage.name, "stage_id": stage.id}
        self._loop.call_soon_threadsafe(self._say, said)

    def _make_page(self) -> PageServer | None:
        address = self._station.page
        if address == "none":
            return None
        app = create_app(
            self.store,
            self.live,
            self._station.setup,
            self.acknowledge,
            self.enter_stage,
            Basis(self._map.text, self._limits),
            self._station.whose,
            tick=self.tick,
            read=self.read_air,
            names=names_of(address.host),
        )
        server = PageServer(app, address.host, address.port)
        self.page_url = server.url
        return server

    async def _make_publisher(self, stack: AsyncExitStack) -> MqttPublisher | None:
        broker = self._station.broker
        if broker == "none":
            return None
        if broker == "embedded":
            self.broker = await stack.enter_async_context(embedded_broker())
            root = EMBEDDED_ROOT
        else:
            self.broker, root = broker_address(broker), broker.root
        outbox = self._station.store / "outbox.db"
        self._publisher = MqttPublisher(self.broker, root, self._station.name, outbox)
        self._publisher.put(
            Topic.STATUS, {"state": "online", "session_id": self.session.session_id}
        )
        return self._publisher

    def _deliver(self, batch: RecordBatch) -> None:
        """In the event loop, for every batch of every source: raw first."""
        self._recorder.put(batch)
        self._queue.put(batch)

    def _say(self, document: dict[str, Any]) -> None:
        """A record of the operator's, so that a replay hears it at the same place; nothing once
        the session is over, though the page is still there for a moment."""
        if self._queue.closed:
            return
        payload = json.dumps(document).encode()
        self._deliver(RecordBatch.of(OPERATOR.name, [self._clock.now_ns()], [payload]))

    async def _run_pipeline(self) -> None:
        async for batch in self._queue:
            if batch.source == OPERATOR.name:
                self._hear(json.loads(batch.payload(0)))
            else:
                self._heard = time.monotonic()
                self._watchdog.heard(batch.source, self._heard)
            self._follow(self._analysis.feed(batch), self._unix_ns(batch))
            await asyncio.sleep(0)  # a backlog must not starve the page and the broker
        self._follow(self._analysis.finish())

    def _hear(self, said: dict[str, Any]) -> None:
        if "stage_id" in said:
            self._stage_id = said["stage_id"]
            self.live.job, self.live.stage = said["job"], said["stage"]
            self._readiness.begin_stage()
        if "ticked" in said:
            self._readiness.tick(said["ticked"], said["done"])

    def _unix_ns(self, batch: RecordBatch) -> int:
        """Wall clock when the oldest record of a batch came from its adapter."""
        age_ns = (self._clock.now_ns() - int(batch.arrived_ns[0])) / self._clock.speed
        return time.time_ns() - round(age_ns)

    def _follow(self, step: Step, arrived_unix_ns: int | None = None) -> None:
        """Tell and hand on what one step of the session brought."""
        session_id = self.session.session_id
        for alert in step.alerts:
            self._tell(Topic.ALERT, alert_document(session_id, alert, arrived_unix_ns))
            if self._lamp is not None:
                self._lamp.show(alert)
            self.live.alert(alert)
        if step.started:  # a pull is of the stage it began in, whatever is opened while it runs
            self._ready_at_start, self._stage_at_start = self.live.readiness, self._stage_id
        for started in step.started:
            self._tell(Topic.PULL, pull_started_document(session_id, started))
        for closed in step.pulls:
            self._desk.put(self._stage_at_start, closed, self._ready_at_start)
        for refused in step.refused:
            self._desk.put(self._stage_id, refused)
        self._readiness.hear(step.samples, step.now_s)
        self.live.update(step.samples, step.now_s)
        self.live.phase = step.phase

    def _tell(self, topic: Topic, document: dict[str, Any]) -> None:
        if self._publisher is not None:
            self._publisher.put(topic, document)

    async def _watch(self) -> None:
        """Silence of all sources or of one, health for the page."""
        while True:
            if time.monotonic() - self._heard > QUIET_AFTER_S:
                self._say({"quiet_s": WATCH_PERIOD_S * self._clock.speed})
            for change in self._watchdog.check(time.monotonic()):
                if change.silent and not self._runners[change.source].tells_silence:
                    why = f"nothing was heard for {change.silent_s:.1f} s"
                    log.warning("%s: %s", change.source, why)
                    self._runners[change.source].reopen(why)
            sources = [source_health(runner) for runner in self._runners.values()]
            trouble = own_trouble(self._recorder, self._desk, self._queue)
            self.live.health = [*sources, *trouble]
            self.live.air = self._analysis.air
            await asyncio.sleep(WATCH_PERIOD_S)

    async def _look_whether_ready(self) -> None:
        while True:
            storage_gb = await asyncio.to_thread(free_gb, self._station.store)
            found = services(self._recorder, self._desk, self._publisher, self._lamp)
            self.live.readiness = self._readiness.judge(found, storage_gb)
            await asyncio.sleep(READINESS_PERIOD_S)

    async def _tell_live(self) -> None:
        while True:
            await asyncio.sleep(LIVE_PERIOD_S)
            document = live_document(
                self.session.session_id,
                round(self.live.now_s, 3),
                self.live.phase,
                self.live.values(),
            )
            self._tell(Topic.LIVE, document)


def _forget_the_libraries() -> None:
    """Keep what exists now out of the garbage collector's sight: to look through every object of
    every library takes it 100 ms, in which no alert leaves."""
    gc.collect()
    gc.freeze()
