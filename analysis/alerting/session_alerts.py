"""What cannot wait for the end of the pull, judged as the samples come.

No safety device: it sees what the channels say, after the channels have said it.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np

from analysis.alerting.rules import LIMITS as _LIMITS
from analysis.alerting.rules import RULES, Excess, Rule, When
from analysis.alerting.signal_loss import SignalLossMonitor
from analysis.alerting.unwatched import UnwatchedAlerts, cannot_come
from analysis.alerting.watcher import FULL_LOAD, NOTHING, Series, Watcher
from analysis.model.events import Alert, Phase
from analysis.model.limits import Limit, Limits
from analysis.model.setup import Car
from decode.quantities import Quantity
from decode.samples import Channel, SampleBatch

LIMITS: Final[tuple[Limit, ...]] = _LIMITS
SPARK_SIGNS: Final = (Quantity.IGNITION_TIMING, Quantity.KNOCK_RETARD)  # only spark engines have it


class AlertMonitor:
    """Every rule on every channel it fits. limits must contain LIMITS by name.

    car: tells which alerts ought to come; those that the channels do not allow are told of once.
    """

    def __init__(
        self, channels: Mapping[str, Channel], limits: Limits, car: Car | None = None
    ) -> None:
        self._first = {
            quantity: name
            for name, channel in reversed(list(channels.items()))
            if (quantity := channel.quantity) is not None
        }
        self._watchers: dict[str, list[Watcher]] = {}
        for name, channel in channels.items():
            found = [Watcher(rule, channel, limits) for rule in RULES if self._fits(rule, channel)]
            if found:
                self._watchers[name] = found
        watched = [w.rule.kind for watchers in self._watchers.values() for w in watchers]
        self._unwatched = UnwatchedAlerts(cannot_come(watched, car) if car is not None else ())
        self._followed: dict[Quantity, Series] = dict.fromkeys((*_TARGETS, _SPEED), NOTHING)
        self._signal_loss = SignalLossMonitor(channels, limits)
        self._phase = Phase.IDLE
        self._now_s = 0.0

    def _fits(self, rule: Rule, channel: Channel) -> bool:
        if rule.quantity is not channel.quantity:
            return False
        if rule.when is When.FULL_LOAD_SPARK and not any(q in self._first for q in SPARK_SIGNS):
            return False
        return rule.target is None or rule.target in self._first

    def feed(self, samples: SampleBatch, phase: Phase, now_s: float) -> list[Alert]:
        """Judge new samples. phase: what the car is doing. now_s: the newest session time."""
        self._now_s = now_s
        self._begin(phase)
        self._follow(samples)
        alerts = self._unwatched.raise_once(now_s)
        speed = self._followed[_SPEED]
        for name, watchers in self._watchers.items():
            new = samples.get(name)
            if new is None:
                continue
            for watcher in watchers:
                if watcher.is_active_in(phase) and not self._is_superseded(watcher.rule):
                    alerts.extend(watcher.feed(new, self._target(watcher.rule), speed))
                else:
                    alerts.extend(watcher.rest(now_s))
        self._signal_loss.feed(samples)
        return alerts + self._signal_loss.check(phase, now_s)

    def acknowledge(self, key: str) -> list[Alert]:
        """Somebody has seen a latched alert; an unknown key changes nothing."""
        seen = [
            alert
            for watchers in self._watchers.values()
            for watcher in watchers
            if watcher.key == key
            for alert in watcher.acknowledge(self._now_s)
        ]
        return seen + self._unwatched.acknowledge(key, self._now_s)

    def _begin(self, phase: Phase) -> None:
        """With a new stretch of full demand a new pull may begin."""
        if phase in FULL_LOAD and self._phase not in FULL_LOAD:
            for watchers in self._watchers.values():
                for watcher in watchers:
                    watcher.level.begin_pull()
        self._phase = phase

    def _follow(self, samples: SampleBatch) -> None:
        """Engine speed and targets: what is new, and the last value before it."""
        for quantity, (time_s, value) in self._followed.items():
            new = samples.get(self._first.get(quantity, ""))
            if new is not None and len(new):
                self._followed[quantity] = (
                    np.concatenate((time_s[-1:], new.time_s)),
                    np.concatenate((value[-1:], new.value)),
                )

    def _is_superseded(self, rule: Rule) -> bool:
        """Lambda is judged by itself only while its target says nothing: one that the map promises
        and the car never sends must not leave it unjudged."""
        if rule.quantity is not Quantity.LAMBDA or rule.excess is not Excess.VALUE:
            return False
        return bool(np.any(self._followed[Quantity.LAMBDA_TARGET][1] > 0.0))

    def _target(self, rule: Rule) -> Series | None:
        return None if rule.target is None else self._followed[rule.target]


_SPEED: Final = Quantity.ENGINE_SPEED
_TARGETS: Final = frozenset(rule.target for rule in RULES if rule.target is not None)
