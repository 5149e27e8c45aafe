"""Who has gone silent: a source during a pull, a channel that alerts depend on before one."""

from collections.abc import Iterable, Mapping
from typing import Final

from analysis.events import Alert, AlertKind, AlertState, Phase
from analysis.findings import Severity
from analysis.limits import Limits
from decode.quantities import Quantity
from decode.samples import Channel, SampleBatch

SLOW_FACTOR: Final = 5.0  # intervals a channel may miss before it counts as gone
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
)


class _Heard:
    """When somebody last spoke and how long the pauses usually are."""

    def __init__(self) -> None:
        self.last_s: float | None = None
        self.interval_s = 0.0

    def hear(self, first_s: float, last_s: float, count: int) -> None:
        before_s = first_s if self.last_s is None else self.last_s
        if last_s <= before_s:
            self.last_s = max(before_s, last_s)
            return
        interval_s = (last_s - before_s) / count
        if self.interval_s == 0.0:
            self.interval_s = interval_s
        self.interval_s += INTERVAL_SHARE * (interval_s - self.interval_s)
        self.last_s = last_s

    def silence_s(self, now_s: float, started_s: float) -> float:
        return now_s - (started_s if self.last_s is None else self.last_s)


class Sight:
    """Watches the channels that alerts depend on, one by one, and the sources they come from."""

    def __init__(self, channels: Mapping[str, Channel], limits: Limits) -> None:
        self._silent_s = limits["alerts.silent"]
        self._stale_s = limits["alerts.stale"]
        self._channels = channels
        self._needed = {
            name: _Heard() for name, c in channels.items() if c.quantity in ALERTS_DEPEND_ON
        }
        self._sources = {c.source: _Heard() for c in channels.values() if c.source}
        self._raised: dict[str, Alert] = {}
        self._started_s: float | None = None
        self._looked_s = 0.0

    def hear(self, samples: SampleBatch) -> None:
        """Note who spoke."""
        for name, new in samples.items():
            if not len(new):
                continue
            first_s, last_s = float(new.time_s[0]), float(new.time_s[-1])
            if name in self._needed:
                self._needed[name].hear(first_s, last_s, len(new))
            source = self._sources.get(self._channels[name].source)
            if source is not None and (source.last_s is None or last_s > source.last_s):
                source.hear(first_s, last_s, len(new))

    def look(self, phase: Phase, now_s: float) -> list[Alert]:
        """Tell who has gone and who is back; at most every LOOK_S."""
        if self._started_s is None:
            self._started_s = self._looked_s = now_s
        if now_s - self._looked_s < LOOK_S:
            return []
        self._looked_s = now_s
        return [
            *self._sources_silent(phase, now_s, self._started_s),
            *self._channels_blind(phase, now_s, self._started_s),
        ]

    def _sources_silent(self, phase: Phase, now_s: float, started_s: float) -> Iterable[Alert]:
        for source, heard in self._sources.items():
            limit_s = max(self._silent_s.value, SLOW_FACTOR * heard.interval_s)
            silence_s = heard.silence_s(now_s, started_s)
            gone = silence_s > limit_s and phase in (Phase.HOLD, Phase.SWEEP)
            words = f"source {source} has said nothing for {silence_s:.1f} s during a pull"
            kind = AlertKind.SOURCE_SILENT
            stays = silence_s > limit_s and f"{kind.value}:{source}" in self._raised
            yield from self._tell(kind, source, "", gone or stays, words, now_s, silence_s, limit_s)

    def _channels_blind(self, phase: Phase, now_s: float, started_s: float) -> Iterable[Alert]:
        if phase is Phase.SWEEP or now_s - started_s < GRACE_S:
            return
        for name, heard in self._needed.items():
            limit_s = max(self._stale_s.value, SLOW_FACTOR * heard.interval_s)
            silence_s = heard.silence_s(now_s, started_s)
            gone = silence_s > limit_s
            words = f"blind: {name} has said nothing for {silence_s:.1f} s, its alerts cannot come"
            if heard.last_s is None:
                words = f"blind: {name} has not spoken at all, its alerts cannot come"
            kind = AlertKind.BLIND
            yield from self._tell(kind, name, name, gone, words, now_s, silence_s, limit_s)

    def _tell(
        self,
        kind: AlertKind,
        who: str,
        channel: str,
        gone: bool,
        words: str,
        now_s: float,
        silence_s: float,
        limit_s: float,
    ) -> Iterable[Alert]:
        """One alert when somebody goes, one when they are back."""
        key = f"{kind.value}:{who}"
        before = self._raised.get(key)
        if gone == (before is not None):
            return
        alert = Alert(
            key=key,
            kind=kind,
            state=AlertState.RAISED if gone else AlertState.CLEARED,
            severity=Severity.STOP if gone else Severity.HEALTHY,
            statement=words if gone else f"{who} speaks again",
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
