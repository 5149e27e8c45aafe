"""How the bay itself is doing: its sources, recording, store, broker, lamp, disk."""

import shutil
from pathlib import Path

from analysis.publish.live.lamp import Lamp
from analysis.publish.messages.live_page import PolledValue, SourceHealth
from analysis.publish.mqtt.publisher import MqttPublisher, PublisherState
from analysis.readiness.readiness import Service
from capture.bay.bounded_queue import BoundedQueue
from capture.bay.pull_desk import PullDesk
from capture.recording.recorder import Recorder
from capture.supervision.reconnect import SourceRunner, SourceState
from decode.records import RecordBatch


def source_health(runner: SourceRunner) -> SourceHealth:
    """One source, as the page shows it."""
    health = runner.health()
    return SourceHealth(
        name=health.name,
        state=health.state,
        well=runner.state is SourceState.DELIVERING,
        records=health.records,
        dropped=health.lost,
        message=health.trouble or "",
        polled=tuple(
            PolledValue(share.channels, share.wanted_hz, share.achieved_hz, share.age_s)
            for share in runner.shares
        ),
    )


def own_trouble(
    recorder: Recorder, desk: PullDesk, queue: BoundedQueue[RecordBatch]
) -> list[SourceHealth]:
    """Recording, store and analysis, once one of them has lost something."""
    trouble: list[SourceHealth] = []
    if desk.failure is not None:
        trouble.append(SourceHealth("store", "failed", False, message=str(desk.failure)))
    if recorder.failure is not None:
        why = str(recorder.failure)
        trouble.append(
            SourceHealth("recording", "failed", False, recorder.written, recorder.lost, why)
        )
    if queue.dropped:
        why = "this machine is too slow: not all was judged; the recording holds it"
        keeps_up = len(queue) < queue.bound // 2
        trouble.append(
            SourceHealth("analysis", "behind", keeps_up, dropped=queue.dropped, message=why)
        )
    return trouble


def services(
    recorder: Recorder, desk: PullDesk, publisher: MqttPublisher | None, lamp: Lamp | None
) -> dict[Service, str | None]:
    """What is wrong with each part that a pull needs or that tells of it; None: nothing."""
    failures = {Service.RECORDING: recorder.failure, Service.STORE: desk.failure}
    found = {
        service: None if failure is None else str(failure) for service, failure in failures.items()
    }
    if publisher is not None:
        health = publisher.health
        online = health.state is PublisherState.ONLINE
        found[Service.BROKER] = health.outbox_failure or (
            None if online else health.failure or health.state.value
        )
    if lamp is not None:
        found[Service.LAMP] = lamp.failure
    return found


def free_gb(folder: Path) -> float | None:
    """Free space for recordings, in GB; None where the folder cannot be asked."""
    try:
        return shutil.disk_usage(folder).free / 1e9
    except OSError:  # the share is away: recorder and store tell what that costs
        return None
