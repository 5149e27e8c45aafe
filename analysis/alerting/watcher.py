"""One rule on one channel: from samples to alerts."""

from typing import Final

import numpy as np

from analysis.alerting.level import Change, Level
from analysis.alerting.rules import Excess, Rule, When
from analysis.model.events import Alert, AlertState, Phase
from analysis.model.findings import Severity
from analysis.model.limits import Limits
from analysis.phrases.say import amount, count, say, significant
from analysis.phrases.statement import Statement
from decode.samples import Channel, FloatArray, Samples

FULL_LOAD: Final = (Phase.HOLD, Phase.SWEEP)
Series = tuple[FloatArray, FloatArray]  # times and values of what is followed beside
NOTHING: Final[Series] = (np.empty(0), np.empty(0))


class Watcher:
    """Holds the state of one alert. limits must name the rule's two limits."""

    def __init__(self, rule: Rule, channel: Channel, limits: Limits) -> None:
        self.rule, self.channel = rule, channel
        self.key = f"{rule.kind.value}:{channel.name}"
        self._watch, self._alarm = limits[rule.watch], limits[rule.alarm]
        self.level = Level(
            watch=self._watch.value,
            alarm=self._alarm.value,
            clear=rule.clear_share * self._watch.value,
            persist_s=rule.persist_s,
            latches=rule.latches,
            repeats=_repeats(rule, limits),
        )

    def is_active_in(self, phase: Phase) -> bool:
        """Whether the rule judges in this state of the car."""
        return self.rule.when is When.ALWAYS or phase in FULL_LOAD

    def feed(self, samples: Samples, target: Series | None, speed: Series) -> list[Alert]:
        """Judge new samples. target: of the target channel, where the rule has one. speed: engine
        speed, to say where."""
        excess = self._excess(samples, target)
        if excess is None or self._is_quiet(excess):
            return []
        changes = (
            self.level.feed(at_s, amount)
            for at_s, amount in zip(samples.time_s.tolist(), excess.tolist(), strict=True)
            if amount == amount
        )
        return [self._alert(change, speed) for change in changes if change is not None]

    def _excess(self, samples: Samples, target: Series | None) -> FloatArray | None:
        """NaN where the target is not known yet, or is nothing to compare with."""
        if self.rule.excess is Excess.VALUE:
            return samples.value
        if target is None or not len(target[0]):
            return None
        wanted = _held(target, samples.time_s)
        if self.rule.excess is Excess.ABOVE_TARGET:
            return samples.value - wanted
        return 100.0 * (wanted - samples.value) / wanted

    def _is_quiet(self, excess: FloatArray) -> bool:
        """Nothing beyond and nothing pending: the usual case, decided in one comparison."""
        if self.level.is_pending:
            return False
        return not np.any(excess >= self.level.watch)

    def rest(self, now_s: float) -> list[Alert]:
        """The car is not in the state the rule judges: what does not latch is over."""
        change = self.level.rest(now_s)
        return [] if change is None else [self._alert(change, NOTHING)]

    def acknowledge(self, at_s: float) -> list[Alert]:
        """Somebody has seen it."""
        change = self.level.acknowledge(at_s)
        return [] if change is None else [self._alert(change, NOTHING)]

    def _alert(self, change: Change, speed: Series) -> Alert:
        rpm = float(np.interp(change.at_s, *speed)) if len(speed[0]) else None
        # knock that came back often is a "stop" below the alarm limit: name the limit it passed
        limit = self._alarm if change.excess >= self._alarm.value else self._watch
        state = AlertState.RAISED if change.is_new else AlertState.UPDATED
        over = change.severity is None
        return Alert(
            key=self.key,
            kind=self.rule.kind,
            state=AlertState.CLEARED if over else state,
            severity=Severity.HEALTHY if change.severity is None else change.severity,
            statement=self._statement(change, rpm, limit.value),
            since_s=self.level.since_s,
            at_s=change.at_s,
            value=change.excess,
            limit=limit.value,
            unit=limit.unit,
            engine_speed_rpm=rpm,
            cylinder=self.channel.cylinder,
            channel=self.channel.name,
            latched=self.rule.latches and not over,
        )

    def _statement(self, change: Change, rpm: float | None, limit: float) -> Statement:
        """What is told, without its severity: who shows it says that in a word of its own."""
        watched = say(self.rule.what)
        cylinder = self.channel.cylinder
        if cylinder is not None:
            watched = say("alert-of-cylinder", watched=watched, cylinder=count(cylinder))
        if change.severity is None:
            return say("alert-over", watched=watched)
        unit = self._watch.unit
        value, at_limit = significant(change.excess, unit, 3), significant(limit, unit, 3)
        if rpm is None:
            key = "alert-beyond-again" if change.is_again else "alert-beyond"
            return say(key, watched=watched, value=value, limit=at_limit)
        key = "alert-beyond-again-at" if change.is_again else "alert-beyond-at"
        speed = amount(rpm, "rpm")
        return say(key, watched=watched, value=value, limit=at_limit, speed=speed)


def _repeats(rule: Rule, limits: Limits) -> int:
    """Only knock is counted: each event is one, however short."""
    return int(limits["alerts.knock_repeats"].value) if rule.watch == "alerts.knock_watch" else 0


def _held(series: Series, time_s: FloatArray) -> FloatArray:
    """Its value at each time; NaN where it is not above zero."""
    place = np.searchsorted(series[0], time_s, side="right") - 1
    value = series[1][np.maximum(place, 0)]
    return np.where(value > 0.0, value, np.nan)
