"""Opens one station for one session, and closes it again.

    source threads -> recorder (raw first, lossless)
                   -> pipeline: decode, segment, alert -> live view, MQTT
                                     `-> pull desk: analysis thread -> store, MQTT

Shutdown, in this order: stop the adapters, drain the pipeline (an open pull is closed as
interrupted), finish the desk, close the recording, send what waits for a bounded time and say
offline, close the page.
"""

import asyncio
import gc
import logging
import time
import uuid
from collections.abc import AsyncIterator, Callable, Coroutine, Mapping, Sequence
from contextlib import AsyncExitStack, asynccontextmanager
from datetime import datetime
from typing import Any, Final

from analysis.archive.jobs import Stage
from analysis.archive.sign_off import Basis
from analysis.archive.store import Store
from analysis.judging.limits_file import default_limits, load_limits
from analysis.publish.live.lamp import Lamp
from analysis.publish.live.view import LiveView
from analysis.publish.messages.station import StationMessage, StatusMessage
from analysis.publish.page.app import create_app
from analysis.readiness.watch import ReadinessWatch
from analysis.session.analysis import SessionAnalysis
from capture.bay.bay import OPERATOR, Bay
from capture.bay.bounded_queue import BoundedQueue
from capture.bay.broker import open_broker
from capture.bay.monitoring import judge_readiness, publish_live, watch_sources
from capture.bay.page_server import Listener, PageServer, names_of, page_listener
from capture.bay.pipeline import Pipeline
from capture.bay.pull_desk import PullDesk
from capture.bay.starting_stage import open_stage
from capture.bay.watchdog import Watchdog
from capture.recording.format import SUFFIX
from capture.recording.recorder import Recorder
from capture.sources.base.clock import Clock
from capture.sources.base.source import Source
from capture.sources.make import make_sources
from capture.station.station import Station
from capture.supervision.reconnect import SourceRunner
from decode.channel_map import ChannelMap, load_map
from decode.records import SessionInfo

log = logging.getLogger(__name__)

PIPELINE_BOUND: Final = 5_000  # batches: several seconds of every source before one is dropped

Work = Coroutine[Any, Any, None]


@asynccontextmanager
async def open_bay(station: Station) -> AsyncIterator[Bay]:
    """The station at work while the block lasts. Raises PullwatchError: before the block where
    something cannot be opened, after it where the recording or the store has failed meanwhile."""
    error: Exception | None = None
    async with AsyncExitStack() as stack:
        try:
            bay = await _open_all(station, stack)
            yield bay
        except Exception as raised:  # raised again below: the task group would wrap it
            error = raised
    failure = error or bay.recorder.failure or bay.desk.failure
    if failure is not None:
        raise failure


async def _open_all(station: Station, stack: AsyncExitStack) -> Bay:
    """Files first, whose mistakes end it before anything is made; the tasks last."""
    clock = Clock(station.clock_speed)
    channel_map = load_map(station.map)
    limits = load_limits(station.limits) if station.limits else default_limits()
    sources = make_sources(station.sources, clock, channel_map)
    session = _new_session(station, clock, channel_map, sources)
    url = None if station.database == "sqlite" else station.database
    store = stack.enter_context(Store(station.store, url))
    job, stage = open_stage(store, station)
    listener = _listen_for_the_page(station, stack)
    broker, publisher = await open_broker(station, stack)
    publish = _publish_nowhere if publisher is None else publisher.put
    publish(StatusMessage(station=station.name, state="online", session_id=session.session_id))
    live = LiveView(channel_map.channels, station.name)
    live.job, live.stage = job.name, stage.name
    runners = {source.info.name: SourceRunner(source, clock) for source in sources}
    path = station.store / "recordings" / f"{session.session_id}{SUFFIX}"
    bay = Bay(
        station=station,
        session=session,
        clock=clock,
        loop=asyncio.get_running_loop(),
        store=store,
        basis=Basis(channel_map.text, limits),
        runners=runners,
        watchdog=Watchdog(runners, time.monotonic()),
        recorder=Recorder(path, session),
        queue=BoundedQueue(PIPELINE_BOUND),
        analysis=SessionAnalysis(session, channel_map, limits, station.setup),
        desk=PullDesk(session, store, limits, live, publish),
        live=live,
        readiness=ReadinessWatch(channel_map.channels, limits, station.checklist),
        publish=publish,
        publisher=publisher,
        broker=broker,
        lamp=await _open_lamp(station, stack),
        page_url=None if listener is None else listener.url,
    )
    await _start_all(bay, stage, listener, stack)
    return bay


def _new_session(
    station: Station, clock: Clock, channel_map: ChannelMap, sources: Sequence[Source]
) -> SessionInfo:
    session = SessionInfo(
        session_id=f"{datetime.now():%Y%m%d-%H%M%S}-{uuid.uuid4().hex[:6]}",
        station=station.name,
        started_ns=clock.now_ns(),
        started_unix_ns=time.time_ns(),
        sources=(*(source.info for source in sources), OPERATOR),
        map_text=channel_map.text,
    )
    for mismatch in channel_map.mismatches(session.sources):
        log.warning("%s", mismatch)
    return session


def _listen_for_the_page(station: Station, stack: AsyncExitStack) -> Listener | None:
    if station.page == "none":
        return None
    return stack.enter_context(page_listener(station.page.host, station.page.port))


async def _open_lamp(station: Station, stack: AsyncExitStack) -> Lamp | None:
    if station.lamp is None:
        return None
    return await stack.enter_async_context(Lamp(station.lamp.url, station.lamp.baud))


def _publish_nowhere(_message: StationMessage) -> None:
    """A station without a broker."""


async def _start_all(
    bay: Bay, stage: Stage, listener: Listener | None, stack: AsyncExitStack
) -> None:
    """What is started first is ended last: the stack, left, is the shutdown in its order."""
    tasks = _Tasks(await stack.enter_async_context(asyncio.TaskGroup()), stack)
    if listener is not None:
        server = PageServer(create_app(bay, names_of(listener.host)), listener)
        tasks.start({"page": server.run()}, server.close)
    if bay.publisher is not None:
        tasks.start({"mqtt": bay.publisher.run()}, bay.publisher.close)
    bay.recorder.open()
    stack.push_async_callback(bay.recorder.close)
    tasks.start({"pull desk": bay.desk.run()}, bay.desk.close)
    tasks.start({"pipeline": Pipeline(bay, stage).run()}, bay.queue.close)
    tasks.start(
        {
            "watch": watch_sources(bay),
            "live": publish_live(bay),
            "readiness": judge_readiness(bay),
            **{f"source {name}": each.run(bay.deliver) for name, each in bay.runners.items()},
        }
    )
    _freeze_garbage_collector()


class _Tasks:
    """Starts tasks of the bay's one group, to be ended by the stack."""

    def __init__(self, group: asyncio.TaskGroup, stack: AsyncExitStack) -> None:
        self._group = group
        self._stack = stack

    def start(self, works: Mapping[str, Work], end: Callable[[], object] | None = None) -> None:
        """end: lets them finish; without it they are cancelled. The stack waits until they are
        over, however; what one of them raises the group raises."""
        tasks = [self._group.create_task(work, name=name) for name, work in works.items()]
        self._stack.push_async_callback(asyncio.wait, tasks)
        for stop in [end] if end else [task.cancel for task in tasks]:
            self._stack.callback(stop)


def _freeze_garbage_collector() -> None:
    """Keep what exists now out of the garbage collector's sight: to look through every object of
    every library takes it 100 ms, in which no alert leaves."""
    gc.collect()
    gc.freeze()
