"""From the records of every source to live view, alerts, and pulls on their way to the desk."""

import asyncio
import time

from analysis.archive.jobs import Stage
from analysis.publish.messages.station import AlertMessage, PullMessage
from analysis.readiness.readiness import Readiness
from analysis.session.analysis import Step
from capture.bay.bay import OPERATOR, Bay
from decode.operator_records import OperatorRecord, PointTicked, StageEntered
from decode.records import RecordBatch


class Pipeline:
    """Follows the session analysis step by step, in the order in which records arrived."""

    def __init__(self, bay: Bay, stage: Stage) -> None:
        """stage: the one that pulls fall into until the operator enters another."""
        self._bay = bay
        self._stage_id = self._stage_at_start = stage.id
        self._ready_at_start: Readiness | None = None

    async def run(self) -> None:
        """Until the queue is closed and empty; a pull that is open then is interrupted."""
        bay = self._bay
        async for batch in bay.queue:
            if batch.source != OPERATOR.name:
                bay.watchdog.note_arrival(batch.source, time.monotonic())
            self._follow(bay.analysis.feed(batch), self._arrived_unix_ns(batch))
            await asyncio.sleep(0)  # a backlog must not starve the page and the broker
        self._follow(bay.analysis.finish())

    def _arrived_unix_ns(self, batch: RecordBatch) -> int:
        """Wall clock when the oldest record of a batch came from its adapter."""
        clock = self._bay.clock
        age_ns = (clock.now_ns() - int(batch.arrived_ns[0])) / clock.speed
        return time.time_ns() - round(age_ns)

    def _follow(self, step: Step, arrived_unix_ns: int | None = None) -> None:
        """Show, publish and hand on what one step of the session brought."""
        for statement in step.stated:
            self._apply(statement)
        self._alert(step, arrived_unix_ns)
        self._hand_on(step)
        bay = self._bay
        bay.readiness.feed(step.samples, step.now_s)
        bay.live.update(step.samples, step.now_s)
        bay.live.phase = step.phase

    def _apply(self, statement: OperatorRecord) -> None:
        live, readiness = self._bay.live, self._bay.readiness
        match statement:
            case StageEntered(stage_id=int(stage_id)):
                self._stage_id = stage_id
                live.job, live.stage = statement.job, statement.stage
                readiness.begin_stage()
            case PointTicked():
                readiness.tick(statement.point, statement.done)

    def _alert(self, step: Step, arrived_unix_ns: int | None) -> None:
        bay = self._bay
        for alert in step.alerts:
            bay.publish(
                AlertMessage(
                    station=bay.session.station,
                    session_id=bay.session.session_id,
                    alert=alert,
                    record_arrived_unix_ns=arrived_unix_ns,
                )
            )
            if bay.lamp is not None:
                bay.lamp.show(alert)
            bay.live.alert(alert)
            bay.readiness.hear(alert)

    def _hand_on(self, step: Step) -> None:
        bay = self._bay
        if step.started:  # a pull is of the stage it began in, whatever is opened while it runs
            self._ready_at_start, self._stage_at_start = bay.live.readiness, self._stage_id
        for started in step.started:
            bay.publish(
                PullMessage(
                    station=bay.session.station,
                    session_id=bay.session.session_id,
                    event="started",
                    start_s=started.start_s,
                    start_rpm=started.start_rpm,
                )
            )
        for closed in step.pulls:
            bay.desk.put(self._stage_at_start, closed, self._ready_at_start)
        for refused in step.refused:
            bay.desk.put(self._stage_id, refused)
