"""What the live page shows now. Cheap to feed: the capture loop calls update() for every batch."""

import asyncio
import math
from collections import deque
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from analysis.model.events import Alert, AlertState, Phase
from analysis.model.setup import Air
from analysis.power.air import pressure_cautions
from analysis.publish.messages.live_page import LastPull, NowMessage, SourceHealth
from analysis.readiness.readiness import Readiness
from decode.cadence import Cadence
from decode.quantities import Quantity
from decode.samples import Channel, SampleBatch, Samples

STRIP_PERIOD_S: Final = 0.04  # one strip point per sent snapshot: 25 Hz
STRIP_LENGTH_S: Final = 20.0  # a sweep and what came before it
# A readout that has not moved for so long is not "now" any more, unless its channel is slow.
STALE_AFTER_S: Final = 1.0
NEWEST_SHARE: Final = 1.0  # a channel comes as often as between the newest two looks

STRIP_QUANTITIES: Final = (
    Quantity.ENGINE_SPEED,
    Quantity.BOOST_PRESSURE,
    Quantity.BOOST_TARGET,
    Quantity.MANIFOLD_PRESSURE,
    Quantity.KNOCK_RETARD,
    Quantity.LAMBDA,
    Quantity.LAMBDA_TARGET,
    Quantity.CHARGE_AIR_TEMPERATURE,
)


class _Strip:
    """A ring of (time, value), one point per period; of knock the worst value in it is kept."""

    def __init__(self, worst: bool) -> None:
        self._worst = worst
        self._period = -1
        self.points: deque[tuple[float, float]] = deque(
            maxlen=round(STRIP_LENGTH_S / STRIP_PERIOD_S)
        )

    def add(self, samples: Samples) -> None:
        time_s = float(samples.time_s[-1])
        value = float(np.fmax.reduce(samples.value) if self._worst else samples.value[-1])
        period = int(time_s / STRIP_PERIOD_S)
        if period == self._period:
            if self._worst:
                value = max(value, self.points[-1][1])
            self.points[-1] = (time_s, value)
        else:
            self._period = period
            self.points.append((time_s, value))


class LiveView:
    """The newest value of every channel, strips of the last seconds, phase, alerts, health.

    Every attribute without an underscore is set by whoever runs the session. What is set is never
    changed afterwards. news: set, and another one put in its place, when something has happened
    that nobody should wait a period for: an alert that comes or goes, a new pull.
    """

    def __init__(self, channels: Mapping[str, Channel], station: str) -> None:
        self.channels = channels
        self.station = station
        self.job = ""
        self.stage = ""
        self.phase = Phase.IDLE
        self.health: Sequence[SourceHealth] = ()
        self.news = asyncio.Event()
        self.readiness: Readiness | None = None
        self.air: Air | None = None
        self._last_pull: LastPull | None = None
        self._now_s = 0.0
        self._newest: dict[str, Samples] = {}
        self._cadence: dict[str, Cadence] = {}
        self._alerts: dict[str, Alert] = {}
        self._strips = {
            name: _Strip(channel.quantity is Quantity.KNOCK_RETARD)
            for name, channel in channels.items()
            if channel.quantity in STRIP_QUANTITIES
        }

    def update(self, samples: SampleBatch, now_s: float) -> None:
        """Take one batch. Keeps references only; values are read when somebody looks."""
        self._now_s = now_s
        arrived = {name: column for name, column in samples.items() if len(column.time_s)}
        self._newest.update(arrived)
        for name, strip in self._strips.items():
            if name in arrived:
                strip.add(arrived[name])

    def alert(self, alert: Alert) -> None:
        """Take one change of one alert."""
        if alert.state is AlertState.CLEARED:
            self._alerts.pop(alert.key, None)
        else:
            self._alerts[alert.key] = alert
        if alert.state is not AlertState.UPDATED:
            self._wake()

    @property
    def last_pull(self) -> LastPull | None:
        """The newest pull of the session."""
        return self._last_pull

    @last_pull.setter
    def last_pull(self, pull: LastPull) -> None:
        if pull != self._last_pull:
            self._last_pull = pull
            self._wake()

    @property
    def now_s(self) -> float:
        """The newest session time seen so far."""
        return self._now_s

    @property
    def alerts(self) -> list[Alert]:
        """The alerts that stand, the most serious first, then the oldest."""
        return sorted(self._alerts.values(), key=lambda a: (-a.severity.rank, a.since_s))

    def now(self) -> NowMessage:
        """What is so now, in English and house units."""
        values = self.values()
        stale = tuple(name for name in self._newest if self._is_stale(name))
        strips = {name: strip.points[-1] for name, strip in self._strips.items() if strip.points}
        return NowMessage(
            now_s=round(self._now_s, 3),
            station=self.station,
            job=self.job,
            stage=self.stage,
            phase=self.phase,
            blind=self._blind(stale),
            values=values,
            stale=stale,
            strips={name: _point(*point) for name, point in strips.items()},
            alerts=tuple(self.alerts),
            readiness=self.readiness,
            air=self.air,
            air_doubts=() if self.air is None else pressure_cautions(self.air, None),
            health=tuple(self.health),
            last_pull=self.last_pull,
        )

    def values(self) -> dict[str, float | None]:
        """The newest value of each channel, None where its sender says that it has none."""
        self._note_periods()
        return {name: _number(column.value[-1]) for name, column in self._newest.items()}

    def history(self) -> dict[str, list[tuple[float, float | None]]]:
        """The strips as they stand, for a page that has just connected."""
        return {
            name: [_point(*point) for point in strip.points] for name, strip in self._strips.items()
        }

    def _wake(self) -> None:
        self.news.set()
        self.news = asyncio.Event()

    def _note_periods(self) -> None:
        """Learn how often each channel comes, as seen from one look to the next."""
        for name, column in self._newest.items():
            newest_s = float(column.time_s[-1])
            self._cadence.setdefault(name, Cadence(NEWEST_SHARE)).note(newest_s, newest_s, 1)

    def _is_stale(self, name: str) -> bool:
        return self._cadence[name].is_silent(self._now_s, STALE_AFTER_S)

    def _blind(self, stale: Sequence[str]) -> bool:
        """Without engine speed, or with a source away, nobody sees what the engine does."""
        speeds = [n for n, c in self.channels.items() if c.quantity is Quantity.ENGINE_SPEED]
        seen = any(name in self._newest and name not in stale for name in speeds)
        return not seen or not all(source.well for source in self.health)


def _number(value: float) -> float | None:
    """Five significant digits say more than any readout shows; JSON knows no NaN."""
    number = float(value)
    return float(f"{number:.5g}") if math.isfinite(number) else None


def _point(time_s: float, value: float) -> tuple[float, float | None]:
    return round(time_s, 3), _number(value)
