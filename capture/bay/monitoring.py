"""What the bay looks at again and again, beside the records: silence, health, readiness."""

import asyncio
import logging
import time
from typing import Final

from analysis.publish.messages.station import LiveMessage
from capture.bay.bay import Bay
from capture.bay.health import free_gb, own_trouble, services, source_health
from decode.operator_records import SilencePassed

log = logging.getLogger(__name__)

WATCH_PERIOD_S: Final = 0.25  # how often silence is looked for and health is shown
QUIET_AFTER_S: Final = 1.0  # without a record from any source the session's time must go on alone
READINESS_PERIOD_S: Final = 1.0  # a car warms up more slowly than that
LIVE_PERIOD_S: Final = 0.1  # for MQTT's readers; the page has 25 Hz of its own


async def watch_sources(bay: Bay) -> None:
    """Silence of all sources or of one; health and air for the page."""
    while True:
        now_s = time.monotonic()
        if bay.watchdog.quiet_s(now_s) > QUIET_AFTER_S:
            bay.record(SilencePassed(duration_s=WATCH_PERIOD_S * bay.clock.speed))
        for change in bay.watchdog.check(now_s):
            runner = bay.runners[change.source]
            if change.silent and not runner.detects_silence_itself:
                why = f"nothing was heard for {change.silent_s:.1f} s"
                log.warning("%s: %s", change.source, why)
                runner.reopen(why)
        sources = [source_health(runner) for runner in bay.runners.values()]
        bay.live.health = [*sources, *own_trouble(bay.recorder, bay.desk, bay.queue)]
        bay.live.air = bay.analysis.air
        await asyncio.sleep(WATCH_PERIOD_S)


async def judge_readiness(bay: Bay) -> None:
    """Whether the car is ready for a pull, for the page."""
    while True:
        storage_gb = await asyncio.to_thread(free_gb, bay.station.store)
        found = services(bay.recorder, bay.desk, bay.publisher, bay.lamp)
        if (pull := bay.live.last_pull) is not None:
            bay.readiness.note_verdict(pull.number, pull.verdict)
        bay.live.readiness = bay.readiness.judge(found, storage_gb)
        await asyncio.sleep(READINESS_PERIOD_S)


async def publish_live(bay: Bay) -> None:
    """The newest values, over MQTT."""
    while True:
        await asyncio.sleep(LIVE_PERIOD_S)
        live = bay.live
        bay.publish(
            LiveMessage(
                station=bay.session.station,
                session_id=bay.session.session_id,
                at_s=round(live.now_s, 3),
                phase=live.phase,
                values=live.values(),
            )
        )
