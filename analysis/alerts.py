"""What cannot wait for the end of the pull, judged as the samples come.

No safety device: it sees what the channels say, after the channels have said it.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np

from analysis.alerting.rules import LIMITS as _LIMITS
from analysis.alerting.rules import RULES, Excess, Rule, When
from analysis.alerting.sight import Sight
from analysis.alerting.watcher import Watcher
from analysis.events import Alert, Phase
from analysis.limits import Limit, Limits
from decode.quantities import Quantity
from decode.samples import Channel, FloatArray, SampleBatch

LIMITS: Final[tuple[Limit, ...]] = _LIMITS
SPARK_SIGNS: Final = (Quantity.IGNITION_TIMING, Quantity.KNOCK_RETARD)  # only spark engines have it


class AlertMonitor:
    """Every rule on every channel it fits. limits must contain LIMITS by name."""

    def __init__(self, channels: Mapping[str, Channel], limits: Limits) -> None:
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
        self._targets: dict[str, float] = {
            name: np.nan for q, name in self._first.items() if q in _TARGETS
        }
        self._speed: tuple[FloatArray, FloatArray] = (np.empty(0), np.empty(0))
        self._sight = Sight(channels, limits)
        self._phase = Phase.IDLE
        self._now_s = 0.0

    def _fits(self, rule: Rule, channel: Channel) -> bool:
        if rule.quantity is not channel.quantity:
            return False
        if rule.when is When.FULL_LOAD_SPARK and not any(q in self._first for q in SPARK_SIGNS):
            return False
        if rule.target is not None:
            return rule.target in self._first
        has_target = rule.quantity is Quantity.LAMBDA and Quantity.LAMBDA_TARGET in self._first
        return not (has_target and rule.excess is Excess.VALUE)

    def feed(self, samples: SampleBatch, phase: Phase, now_s: float) -> list[Alert]:
        """Judge new samples. phase: what the car is doing. now_s: the newest session time."""
        self._now_s = now_s
        self._begin(phase)
        self._follow_speed_and_targets(samples)
        alerts: list[Alert] = []
        for name, watchers in self._watchers.items():
            new = samples.get(name)
            if new is None:
                continue
            for watcher in watchers:
                if watcher.speaks_in(phase):
                    alerts.extend(watcher.feed(new, self._target(watcher.rule), self._speed))
                else:
                    alerts.extend(watcher.rest(now_s))
        self._sight.hear(samples)
        return alerts + self._sight.look(phase, now_s)

    def acknowledge(self, key: str) -> list[Alert]:
        """Somebody has seen a latched alert; an unknown key changes nothing."""
        return [
            alert
            for watchers in self._watchers.values()
            for watcher in watchers
            if watcher.key == key
            for alert in watcher.acknowledge(self._now_s)
        ]

    def _begin(self, phase: Phase) -> None:
        """A new stretch of full demand: knock events are counted anew."""
        if phase is not self._phase and self._phase in (Phase.IDLE, Phase.DONE):
            for watchers in self._watchers.values():
                for watcher in watchers:
                    watcher.reset()
        self._phase = phase

    def _follow_speed_and_targets(self, samples: SampleBatch) -> None:
        for name in self._targets:
            if name in samples and len(samples[name]):
                self._targets[name] = float(samples[name].value[-1])
        speed = samples.get(self._first.get(Quantity.ENGINE_SPEED, ""))
        if speed is not None and len(speed):
            self._speed = (
                np.concatenate((self._speed[0][-1:], speed.time_s)),
                np.concatenate((self._speed[1][-1:], speed.value)),
            )

    def _target(self, rule: Rule) -> float | None:
        if rule.target is None:
            return None
        target = self._targets[self._first[rule.target]]
        return None if np.isnan(target) else target


_TARGETS: Final = frozenset(rule.target for rule in RULES if rule.target is not None)
