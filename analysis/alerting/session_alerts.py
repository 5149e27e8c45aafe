"""What cannot wait for the end of the pull, judged as the samples come.

No safety device: it sees what the channels say, after the channels have said it.
"""

from collections.abc import Mapping
from typing import Final

from analysis.alerting.engine_alerts import EngineAlerts
from analysis.alerting.rules import LIMITS as _LIMITS
from analysis.alerting.signal_loss import SignalLossMonitor
from analysis.alerting.unwatched import UnwatchedAlerts, cannot_come
from analysis.alerting.watcher import FULL_LOAD
from analysis.model.engine_kind import stated_kind
from analysis.model.events import Alert, Phase
from analysis.model.limits import Limit, Limits
from analysis.model.setup import Car
from decode.samples import Channel, SampleBatch

LIMITS: Final[tuple[Limit, ...]] = _LIMITS


class AlertMonitor:
    """The engine's values, silence, and what the map leaves out. limits must contain LIMITS and
    the checks' by name.

    car: tells which alerts ought to come; those that the channels do not allow are told of once.
    """

    def __init__(
        self, channels: Mapping[str, Channel], limits: Limits, car: Car | None = None
    ) -> None:
        self._engine = EngineAlerts(channels, limits, stated_kind(car or Car()))
        watched = self._engine.watched
        self._unwatched = UnwatchedAlerts(cannot_come(watched, car) if car is not None else ())
        self._signal_loss = SignalLossMonitor(channels, limits)
        self._phase = Phase.IDLE
        self._now_s = 0.0

    def feed(self, samples: SampleBatch, phase: Phase, now_s: float) -> list[Alert]:
        """Judge new samples. phase: what the car is doing. now_s: the newest session time."""
        if phase in FULL_LOAD and self._phase not in FULL_LOAD:
            self._engine.begin(self._now_s)
        self._phase, self._now_s = phase, now_s
        alerts = self._unwatched.raise_once(now_s)
        alerts += self._engine.feed(samples, phase, now_s)
        self._signal_loss.feed(samples)
        return alerts + self._signal_loss.check(phase, now_s)

    def acknowledge(self, key: str) -> list[Alert]:
        """Somebody has seen a latched alert; an unknown key changes nothing."""
        seen = self._engine.acknowledge(key, self._now_s)
        return seen + self._unwatched.acknowledge(key, self._now_s)
