"""Who has gone silent: a source during a pull, a channel that alerts depend on before one."""

import math
from collections.abc import Iterable, Mapping
from typing import Final

from analysis.alerting.rules import SILENT, STALE
from analysis.model.events import Alert, AlertKind, AlertState, Phase
from analysis.model.findings import Severity
from analysis.model.limits import Limits
from analysis.phrases.say import amount, say
from analysis.phrases.statement import Amount, Statement
from analysis.segmenting.needs import PULL_NEEDS, unmet
from decode.cadence import Cadence
from decode.quantities import TARGET_OF, Quantity
from decode.samples import Channel, SampleBatch

LOOK_S: Final = 0.1  # silence is looked for so often: a fifth of the shortest limit
GRACE_S: Final = 5.0  # after the session's start everything has had time to speak
INTERVAL_SHARE: Final = 0.2  # weight of the newest interval in the learned one

ALERTS_DEPEND_ON: Final = (
    Quantity.ENGINE_SPEED,
    Quantity.KNOCK_RETARD,
    Quantity.LAMBDA,
    Quantity.BOOST_PRESSURE,
    Quantity.FUEL_PRESSURE_LOW,
    Quantity.FUEL_PRESSURE_HIGH,
    Quantity.COOLANT_TEMPERATURE,
    Quantity.OIL_TEMPERATURE,
    Quantity.EXHAUST_GAS_TEMPERATURE,
    Quantity.OIL_PRESSURE,
)

PULLS: Final = "pulls"
PULLS_NEED: Final = tuple(quantity for group, *_ in PULL_NEEDS for quantity in group)


class _Arrivals(Cadence):
    """When somebody last spoke and how long the pauses usually are. back_s: when they spoke again
    after a long silence."""

    def __init__(self, long_s: float) -> None:
        super().__init__(INTERVAL_SHARE)
        self.back_s = -math.inf
        self._long_s = long_s

    def note(self, first_s: float, last_s: float, count: int) -> None:
        if self.last_s is not None and first_s - self.last_s > self._long_s:
            self.back_s = first_s
        super().note(first_s, last_s, count)

    def silence_s(self, now_s: float, started_s: float) -> float:
        return now_s - (started_s if self.last_s is None else self.last_s)


class SignalLossMonitor:
    """Watches the channels that alerts depend on, one by one, and the sources they come from."""

    def __init__(self, channels: Mapping[str, Channel], limits: Limits) -> None:
        self._silent_s = limits[SILENT.name]
        self._stale_s = limits[STALE.name]
        self._channels = channels
        stale_s = self._stale_s.value
        present = {c.quantity for c in channels.values()}
        # a target that is silent leaves the alerts of its quantity as blind
        targets = {TARGET_OF[of] for of in ALERTS_DEPEND_ON if of in present and of in TARGET_OF}
        needed = {*ALERTS_DEPEND_ON, *targets}
        self._needed = {
            name: _Arrivals(stale_s) for name, c in channels.items() if c.quantity in needed
        }
        self._of_pulls = {
            name: _Arrivals(stale_s) for name, c in channels.items() if c.quantity in PULLS_NEED
        }
        self._sources = {c.source: _Arrivals(stale_s) for c in channels.values() if c.source}
        self._raised: dict[str, Alert] = {}
        self._started_s: float | None = None
        self._looked_s = 0.0

    def feed(self, samples: SampleBatch) -> None:
        """Note who spoke."""
        for name, new in samples.items():
            if not len(new):
                continue
            first_s, last_s = float(new.time_s[0]), float(new.time_s[-1])
            if name in self._needed:
                self._needed[name].note(first_s, last_s, len(new))
            if name in self._of_pulls:
                self._of_pulls[name].note(first_s, last_s, len(new))
            source = self._sources.get(self._channels[name].source)
            if source is not None and (source.last_s is None or last_s > source.last_s):
                source.note(first_s, last_s, len(new))

    def check(self, phase: Phase, now_s: float) -> list[Alert]:
        """Tell who has gone and who is back; at most every LOOK_S."""
        if self._started_s is None:
            self._started_s = self._looked_s = now_s
        if now_s - self._looked_s < LOOK_S:
            return []
        self._looked_s = now_s
        return [
            *self._sources_silent(phase, now_s, self._started_s),
            *self._blind(phase, now_s, self._started_s),
        ]

    def _sources_silent(self, phase: Phase, now_s: float, started_s: float) -> Iterable[Alert]:
        for source, heard in self._sources.items():
            limit_s = heard.silent_after_s(self._silent_s.value)
            silence_s = heard.silence_s(now_s, started_s)
            gone = silence_s > limit_s and phase in (Phase.HOLD, Phase.SWEEP)
            kind = AlertKind.SOURCE_SILENT
            key = f"{kind.value}:{source}"
            gone = gone or (silence_s > limit_s and key in self._raised)
            if not self._turns(key, gone):
                continue
            statement = say("alert-source-silent", source=source, silence=_seconds(silence_s))
            if heard.last_s is None:
                statement = say("alert-source-never-heard", source=source)
            yield from self._change(
                kind,
                key,
                "",
                gone,
                statement,
                say("alert-back", what=source),
                now_s,
                silence_s,
                limit_s,
            )

    def _blind(self, phase: Phase, now_s: float, started_s: float) -> Iterable[Alert]:
        """A source that has gone is one alert, not one for each of its channels."""
        if phase is Phase.SWEEP or now_s - started_s < GRACE_S:
            return
        for source in {self._channels[name].source: None for name in self._needed}:
            yield from self._source_blind(source, now_s, started_s)
        for name, heard in self._needed.items():
            source = self._channels[name].source
            if not self._is_gone(source):
                back_s = self._sources[source].back_s if source else -math.inf
                yield from self._channel_blind(name, heard, now_s, max(started_s, back_s))
        yield from self._pulls_blind(now_s, started_s)

    def _is_gone(self, source: str) -> bool:
        silent = f"{AlertKind.SOURCE_SILENT.value}:{source}"
        return silent in self._raised or _source_key(source) in self._raised

    def _source_blind(self, source: str, now_s: float, started_s: float) -> Iterable[Alert]:
        heard = self._sources.get(source)
        if heard is None or f"{AlertKind.SOURCE_SILENT.value}:{source}" in self._raised:
            return
        limit_s = self._limit_s(heard)
        silence_s = heard.silence_s(now_s, started_s)
        gone, key = silence_s > limit_s, _source_key(source)
        if not self._turns(key, gone):
            return
        statement = say("alert-blind-source", source=source, silence=_seconds(silence_s))
        if heard.last_s is None:
            statement = say("alert-blind-source-never-heard", source=source)
        back = say("alert-back", what=source)
        yield from self._change(
            AlertKind.BLIND, key, "", gone, statement, back, now_s, silence_s, limit_s
        )

    def _channel_blind(
        self, name: str, heard: _Arrivals, now_s: float, since_s: float
    ) -> Iterable[Alert]:
        """since_s: before it nobody could have heard the channel."""
        limit_s = self._limit_s(heard)
        silence_s = min(heard.silence_s(now_s, since_s), now_s - since_s)
        gone, key = silence_s > limit_s, f"{AlertKind.BLIND.value}:{name}"
        if not self._turns(key, gone):
            return
        statement = say("alert-blind-channel", channel=name, silence=_seconds(silence_s))
        if heard.last_s is None:
            statement = say("alert-blind-channel-never-heard", channel=name)
        back = say("alert-back", what=name)
        yield from self._change(
            AlertKind.BLIND, key, name, gone, statement, back, now_s, silence_s, limit_s
        )

    def _pulls_blind(self, now_s: float, started_s: float) -> Iterable[Alert]:
        """Without engine speed or the driver's wish there will be no pull, nor an alert in one; a
        source that has gone is told already."""
        if any(self._is_gone(self._channels[name].source) for name in self._of_pulls):
            return
        silence_s = {name: h.silence_s(now_s, started_s) for name, h in self._of_pulls.items()}
        heard = [name for name, h in self._of_pulls.items() if silence_s[name] <= self._limit_s(h)]
        reason = unmet(self._channels, heard)
        gone, key = reason is not None, f"{AlertKind.BLIND.value}:{PULLS}"
        if not self._turns(key, gone):
            return
        back = say("alert-pulls-found-again")
        statement = back if reason is None else say("alert-blind-pulls", reason=reason)
        longest_s = max(silence_s.values(), default=now_s - started_s)
        yield from self._change(
            AlertKind.BLIND, key, "", gone, statement, back, now_s, longest_s, GRACE_S
        )

    def _limit_s(self, heard: _Arrivals) -> float:
        return heard.silent_after_s(self._stale_s.value)

    def _turns(self, key: str, gone: bool) -> bool:
        """Whether it is news. Asked before anything is worded: nearly always it is none."""
        return gone != (key in self._raised)

    def _change(
        self,
        kind: AlertKind,
        key: str,
        channel: str,
        gone: bool,
        statement: Statement,
        back: Statement,
        now_s: float,
        silence_s: float,
        limit_s: float,
    ) -> Iterable[Alert]:
        """One alert when somebody goes, one when they are back."""
        before = self._raised.get(key)
        alert = Alert(
            key=key,
            kind=kind,
            state=AlertState.RAISED if gone else AlertState.CLEARED,
            severity=Severity.STOP if gone else Severity.HEALTHY,
            statement=statement if gone else back,
            since_s=now_s - silence_s if before is None else before.since_s,
            at_s=now_s,
            value=silence_s,
            limit=limit_s,
            unit="s",
            channel=channel,
        )
        if gone:
            self._raised[key] = alert
        else:
            del self._raised[key]
        yield alert


def _seconds(silence_s: float) -> Amount:
    return amount(silence_s, "s", 1)


def _source_key(source: str) -> str:
    """A channel may bear the name of its source."""
    return f"{AlertKind.BLIND.value}:source:{source}"
