"""Keeps what readiness is judged by: a few samples, and how often every channel comes."""

from collections import deque
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from analysis.model.events import Alert, AlertState
from analysis.model.findings import Severity
from analysis.model.limits import Limits
from analysis.phrases.statement import Statement
from analysis.readiness.readiness import (
    CHECKLIST,
    LOOK_BACK_S,
    Point,
    Rate,
    Readiness,
    Recent,
    Service,
    assess,
)
from decode.quantities import Quantity
from decode.samples import Channel, SampleBatch, Samples

KEPT_EVERY_S: Final = 0.1  # of a judged channel: temperatures and speeds before a pull are slow
MARK_EVERY_S: Final = 1.0  # how often counts are noted, so how finely LOOK_BACK_S is met
JUDGED: Final = (
    Quantity.ENGINE_SPEED,
    Quantity.ROLLER_SPEED,
    Quantity.COOLANT_TEMPERATURE,
    Quantity.OIL_TEMPERATURE,
    Quantity.INTAKE_AIR_TEMPERATURE,
    Quantity.CHARGE_AIR_TEMPERATURE,
    Quantity.AMBIENT_TEMPERATURE,
    Quantity.BATTERY_VOLTAGE,
)


class ReadinessWatch:
    """Fed with every batch, so hear() does as little as can be. limits must contain
    readiness.LIMITS, and those shared with the verdicts, by name."""

    def __init__(
        self, channels: Mapping[str, Channel], limits: Limits, checklist: Sequence[str] = CHECKLIST
    ) -> None:
        self._channels = channels
        self._limits = limits
        self._checklist = tuple(checklist)
        self._done: set[int] = set()
        self._unseen: dict[str, Statement] = {}
        self._judged_pull = 0
        self._stopped_pull: int | None = None
        length = round(LOOK_BACK_S / KEPT_EVERY_S)
        self._kept: dict[str, deque[tuple[float, float]]] = {
            name: deque(maxlen=length) for name, c in channels.items() if c.quantity in JUDGED
        }
        self._counts: dict[str, int] = {}
        self._marks: deque[tuple[float, dict[str, int]]] = deque([(0.0, {})])
        self._heard: deque[tuple[float, dict[str, float]]] = deque()
        self._wanted_hz: dict[str, float] = {}
        self._now_s = 0.0

    def feed(self, samples: SampleBatch, now_s: float) -> None:
        """Take one batch. now_s: the newest session time."""
        self._now_s = now_s
        counts = self._counts
        for name, column in samples.items():
            counts[name] = counts.get(name, 0) + len(column.time_s)
        for name, kept in self._kept.items():
            new = samples.get(name)
            if new is None or not len(new.time_s):
                continue
            time_s = float(new.time_s[-1])
            if not kept or time_s >= kept[-1][0] + KEPT_EVERY_S:
                kept.append((time_s, float(new.value[-1])))
        if now_s >= self._marks[-1][0] + MARK_EVERY_S:
            self._mark()

    def tick(self, point: int, done: bool) -> None:
        """The operator has looked at a point of the list, or takes it back."""
        if done and point < len(self._checklist):
            self._done.add(point)
        else:
            self._done.discard(point)

    def begin_stage(self) -> None:
        """Somebody has worked on the car: all points are to be looked at again."""
        self._done.clear()
        self._stopped_pull = None

    def hear(self, alert: Alert) -> None:
        """One change of one alert: a stop that nobody has seen is never beside "ready"."""
        if alert.severity is Severity.STOP and alert.state is not AlertState.CLEARED:
            self._unseen[alert.key] = alert.statement
        else:
            self._unseen.pop(alert.key, None)

    def note_verdict(self, number: int, verdict: Severity) -> None:
        """The newest judged pull, told as often as one likes: a stop stands until the next pull or
        the next stage."""
        if number > self._judged_pull:
            self._judged_pull = number
            self._stopped_pull = number if verdict is Severity.STOP else None

    def judge(
        self, services: Mapping[Service, str | None] | None = None, free_gb: float | None = None
    ) -> Readiness:
        """Ready now? services, free_gb: as in Recent."""
        recent = Recent(
            channels=self._channels,
            samples={name: _column(kept) for name, kept in self._kept.items() if kept},
            now_s=self._now_s,
            rates={name: self._rate(name) for name in self._channels},
            services=services or {},
            free_gb=free_gb,
            unseen_stops=tuple(self._unseen.values()),
            stopped_pull=self._stopped_pull,
        )
        points = [Point(words, at in self._done) for at, words in enumerate(self._checklist)]
        return assess(recent, self._limits, points)

    def _mark(self) -> None:
        """Note the counts; over a whole look back, learn the rates."""
        self._marks.append((self._now_s, dict(self._counts)))
        while len(self._marks) > 2 and self._marks[1][0] <= self._now_s - LOOK_BACK_S:
            self._marks.popleft()
        if self._marks[0][0] > self._now_s - LOOK_BACK_S:
            return
        heard_hz = {name: self._measured_rate_hz(name) for name in self._counts}
        before_hz = self._look_back(heard_hz)
        for name, hz in heard_hz.items():
            # A backlog that comes at once after a pause is no rate: what holds over two looks is.
            held_hz = min(hz, before_hz.get(name, 0.0))
            self._wanted_hz[name] = max(self._wanted_hz.get(name, 0.0), held_hz)

    def _look_back(self, heard_hz: dict[str, float]) -> dict[str, float]:
        """The rates of one look back before; these ones, where there was none yet."""
        self._heard.append((self._now_s, heard_hz))
        while len(self._heard) > 1 and self._heard[1][0] <= self._now_s - LOOK_BACK_S:
            self._heard.popleft()
        at_s, before_hz = self._heard[0]
        return before_hz if at_s <= self._now_s - LOOK_BACK_S else heard_hz

    def _rate(self, name: str) -> Rate:
        heard_hz = self._measured_rate_hz(name)
        wanted_hz = self._wanted_hz.get(name, heard_hz) if name in self._counts else None
        return Rate(heard_hz, wanted_hz)

    def _measured_rate_hz(self, name: str) -> float:
        since_s, before = self._marks[0]
        elapsed_s = max(self._now_s - since_s, KEPT_EVERY_S)
        return (self._counts.get(name, 0) - before.get(name, 0)) / elapsed_s


def _column(kept: deque[tuple[float, float]]) -> Samples:
    time_s, value = np.array(kept).T
    return Samples(np.ascontiguousarray(time_s), np.ascontiguousarray(value))
