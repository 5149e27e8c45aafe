"""Everything that is open while one station works on one session."""

import asyncio
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from analysis.archive.sign_off import Basis
from analysis.archive.store import Store
from analysis.model.setup import Setup
from analysis.phrases.table import Language
from analysis.publish.live.lamp import Lamp
from analysis.publish.live.view import LiveView
from analysis.publish.mqtt.address import BrokerAddress
from analysis.publish.mqtt.publisher import MqttPublisher
from analysis.publish.report.letterhead import Letterhead
from analysis.readiness.watch import ReadinessWatch
from analysis.session.analysis import SessionAnalysis
from capture.bay.bounded_queue import BoundedQueue
from capture.bay.pull_desk import Publish, PullDesk
from capture.bay.watchdog import Watchdog
from capture.recording.recorder import Recorder
from capture.sources.base.clock import Clock
from capture.station.station import OPERATOR_NAME, Station
from capture.supervision.reconnect import SourceRunner
from decode.operator_records import OperatorRecord, operator_payload
from decode.records import RecordBatch, SessionInfo, SourceInfo, SourceKind

OPERATOR: Final = SourceInfo(OPERATOR_NAME, SourceKind.OPERATOR)


@dataclass(frozen=True, slots=True)
class Bay:
    """What `open_bay` has opened; the page sees it as a BayControl.

    loop: the event loop of all this. runners: of every source, by name. queue: what the pipeline
    has not taken yet. publish: over MQTT, where the station has a broker. publisher, broker, lamp,
    page_url: None where the station has none.
    """

    station: Station
    session: SessionInfo
    clock: Clock
    loop: asyncio.AbstractEventLoop
    store: Store
    basis: Basis
    runners: Mapping[str, SourceRunner]
    watchdog: Watchdog
    recorder: Recorder
    queue: BoundedQueue[RecordBatch]
    analysis: SessionAnalysis
    desk: PullDesk
    live: LiveView
    readiness: ReadinessWatch
    publish: Publish
    publisher: MqttPublisher | None
    broker: BrokerAddress | None
    lamp: Lamp | None
    page_url: str | None

    @property
    def setup(self) -> Setup:
        """Car, dyno and air of the station file."""
        return self.station.setup

    @property
    def letterhead(self) -> Letterhead:
        """Whose reports these are."""
        return self.station.letterhead

    @property
    def language(self) -> Language:
        """Of reports and findings."""
        return self.station.language

    @property
    def recording(self) -> Path:
        """The file of this session's records."""
        return self.recorder.path

    def deliver(self, batch: RecordBatch) -> None:
        """In the event loop, for every batch of every source: raw first."""
        self.recorder.put(batch)
        self.queue.put(batch)

    def record(self, statement: OperatorRecord) -> None:
        """Put down what the operator states, so that a replay meets it at the same place. From any
        thread; nothing once the session is over, though the page is there a moment longer."""
        self.loop.call_soon_threadsafe(self._put_down, statement)

    def _put_down(self, statement: OperatorRecord) -> None:
        if self.queue.closed:
            return
        payload = operator_payload(statement)
        self.deliver(RecordBatch.of(OPERATOR.name, [self.clock.now_ns()], [payload]))
