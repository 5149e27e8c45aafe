"""One rule on one channel: from samples to alerts."""

import math
from dataclasses import replace
from typing import Final

import numpy as np

from analysis.alerting.excess import LOOK_TIMES, NOTHING, Beside, excess_of, is_within, least_kpa
from analysis.alerting.level import Change, Level
from analysis.alerting.rules import Excess, Rule, When
from analysis.model.events import Alert, AlertState, Phase
from analysis.model.findings import Severity
from analysis.model.limits import Limits
from analysis.model.shared_limits import KNOCK_FOR
from analysis.phrases.say import amount, count, say, significant
from analysis.phrases.statement import Statement
from decode.samples import Channel, FloatArray, Samples

FULL_LOAD: Final = (Phase.HOLD, Phase.SWEEP)
WORSE_SHARE: Final = 0.1  # of the stop's limit: only so much worse is news


def key_of(rule: Rule, channel: str) -> str:
    """The key of the alert that a rule raises on a channel."""
    at_once = rule.watch is rule.alarm and rule.excess is Excess.VALUE
    return f"{rule.kind.value}:{channel}" + (":at_once" if at_once else "")


class Watcher:
    """Holds the state of one alert. limits must name the rule's two limits."""

    def __init__(self, rule: Rule, channel: Channel, limits: Limits) -> None:
        self.rule, self.channel = rule, channel
        self.key = key_of(rule, channel.name)
        self._watch, self._alarm = limits[rule.watch.name], limits[rule.alarm.name]
        self._reach_s = LOOK_TIMES * limits[KNOCK_FOR.name].value
        self._before = NOTHING
        is_short = rule.excess is Excess.SHORT_OF_LEAST
        self.level = Level(
            watch=0.0 if is_short else self._watch.value,
            alarm=0.0 if is_short else self._alarm.value,
            clear=(rule.clear_share - 1.0 if is_short else rule.clear_share) * self._watch.value,
            worse=WORSE_SHARE * abs(self._alarm.value),
            dwell_s=rule.dwell_s,
            latches=rule.latches,
        )

    def is_active_in(self, phase: Phase) -> bool:
        """Whether the rule judges in this state of the car."""
        return self.rule.when is When.ALWAYS or phase in FULL_LOAD

    def feed(self, samples: Samples, beside: Beside, full_load_since_s: float) -> list[Alert]:
        """Judge new samples. full_load_since_s: before one lag of it nothing is judged."""
        if self.rule.late_s > 0.0:
            samples = samples.between(full_load_since_s + self.rule.late_s, math.inf)
        excess = self._excess(samples, beside)
        if excess is None:
            return []
        changes = (
            self.level.feed(at_s, amount)
            for at_s, amount in zip(samples.time_s.tolist(), excess.tolist(), strict=True)
            if amount == amount
        )
        return [self._alert(change, beside) for change in changes if change is not None]

    def _excess(self, samples: Samples, beside: Beside) -> FloatArray | None:
        """None where nothing is beyond and nothing pending: the usual case, decided by one look."""
        if not len(samples):
            return None
        if self.rule.target is not None:
            idle = not self.level.is_pending and is_within(self.rule, samples, beside.target)
            if idle or not len(beside.target):
                return None
        if self.rule.excess is Excess.MEAN:
            return self._mean_excess(samples, beside)
        if self.rule.excess is Excess.VALUE and self._is_quiet(samples.value):
            return None
        excess = excess_of(self.rule, samples, beside)
        return None if self._is_quiet(excess) else excess

    def _mean_excess(self, samples: Samples, beside: Beside) -> FloatArray | None:
        before = self._before
        reach_s = float(samples.time_s[0]) - self._reach_s
        kept = before.between(reach_s, math.inf)
        # the value that was held when the mean's time begins
        if len(kept) < len(before):
            first = len(before) - len(kept) - 1
            kept = Samples(before.time_s[first:], before.value[first:])
        self._before = Samples(
            np.concatenate((kept.time_s, samples.time_s)),
            np.concatenate((kept.value, samples.value)),
        )
        if self._is_quiet(self._before.value):
            return None
        return excess_of(self.rule, samples, replace(beside, before=kept))

    def _is_quiet(self, excess: FloatArray) -> bool:
        return not self.level.is_pending and not np.any(excess >= self.level.watch)

    def rest(self, now_s: float) -> list[Alert]:
        """The car is not in the state the rule judges: what does not latch is over."""
        change = self.level.rest(now_s)
        return [] if change is None else [self._alert(change, None)]

    def acknowledge(self, at_s: float) -> list[Alert]:
        """Somebody has seen it."""
        change = self.level.acknowledge(at_s)
        return [] if change is None else [self._alert(change, None)]

    def _alert(self, change: Change, beside: Beside | None) -> Alert:
        rpm = None
        if beside is not None and len(beside.speed):
            rpm = float(np.interp(change.at_s, beside.speed.time_s, beside.speed.value))
        value, limit = self._value_and_limit(change, beside)
        state = AlertState.RAISED if change.is_new else AlertState.UPDATED
        over = change.severity is None
        return Alert(
            key=self.key,
            kind=self.rule.kind,
            state=AlertState.CLEARED if over else state,
            severity=Severity.HEALTHY if change.severity is None else change.severity,
            statement=self._statement(change, rpm, value, limit),
            since_s=self.level.since_s,
            at_s=change.at_s,
            value=value,
            limit=limit,
            unit=self._watch.unit,
            engine_speed_rpm=rpm,
            cylinder=self.channel.cylinder,
            channel=self.channel.name,
            latched=not over and self.level.stays,
        )

    def _value_and_limit(self, change: Change, beside: Beside | None) -> tuple[float, float]:
        """As they are said: of oil pressure itself, and what is wanted of it at that speed."""
        if self.rule.excess is not Excess.SHORT_OF_LEAST:
            beyond = change.severity is Severity.STOP and change.excess >= self._alarm.value
            limit = (self._alarm if beyond else self._watch).value
            return (change.excess if math.isfinite(change.excess) else limit), limit
        if beside is None or not math.isfinite(change.excess):
            return self._watch.value, self._watch.value
        least = float(least_kpa(beside, np.array([change.at_s]))[0])
        return least - change.excess, least

    def _statement(
        self, change: Change, rpm: float | None, value: float, limit: float
    ) -> Statement:
        """What is told, without its severity: who shows it says that in a word of its own."""
        watched = say(self.rule.what)
        cylinder = self.channel.cylinder
        if cylinder is not None:
            watched = say("alert-of-cylinder", watched=watched, cylinder=count(cylinder))
        if change.severity is None:
            return say("alert-over", watched=watched)
        unit = self._watch.unit
        said = {"value": significant(value, unit, 3), "limit": significant(limit, unit, 3)}
        keys = _BELOW if self.rule.excess is Excess.SHORT_OF_LEAST else _BEYOND
        key = keys[change.is_again, rpm is not None]
        if rpm is not None:
            said["speed"] = amount(rpm, "rpm")
        return say(key, watched=watched, **said)


# The key of the phrase, by whether it came again, and whether engine speed is known.
_BEYOND: Final = {
    (False, False): "alert-beyond",
    (False, True): "alert-beyond-at",
    (True, False): "alert-beyond-again",
    (True, True): "alert-beyond-again-at",
}
_BELOW: Final = {
    (False, False): "alert-below",
    (False, True): "alert-below-at",
    (True, False): "alert-below-again",
    (True, True): "alert-below-again-at",
}
