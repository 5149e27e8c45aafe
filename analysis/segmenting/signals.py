"""The handful of channels the segmenter looks at, and which of them speaks for the driver."""

from collections.abc import Mapping
from typing import Final

import numpy as np

from analysis.model.pull import Refused, Section
from analysis.phrases.statement import Statement
from analysis.segmenting.engine_speed import EngineSpeed
from analysis.segmenting.flap import FlapDetector
from analysis.segmenting.history import History
from analysis.segmenting.intent import ALIVE_S, Intent
from analysis.segmenting.needs import WISHES, unmet
from analysis.segmenting.sections import CLOSED_SHARE, closures
from decode.quantities import Quantity
from decode.samples import Channel, FloatArray, SampleBatch

ROAD_LOOK_S: Final = 0.16  # about as long as a limiter's cut takes to show
ROAD_READINGS: Final = 6  # ... and enough that a wheel on its shaft, which shuffles too, averages
ROAD_SHARE: Final = 0.25  # of the rise before the peak: less is a roller that only trembles
FULL_SHARE: Final = 0.95  # of the pressure at the peak: a throttle that closes takes more
LATE_S: Final = 60.0  # a mapped pedal may come late (ignition off); then pressure has to do
ROADS: Final = (Quantity.ROLLER_SPEED, Quantity.VEHICLE_SPEED)


class Signals:
    """Engine speed, the possible wishes in order of trust, and the road speeds."""

    def __init__(self, channels: Mapping[str, Channel]) -> None:
        self._channels = channels
        self.speeds = {n: EngineSpeed() for n in _named(channels, Quantity.ENGINE_SPEED)}
        self.wishes = {n: Intent(channels[n]) for wish in WISHES for n in _named(channels, wish)}
        self.roads = {n: History() for road in ROADS for n in _named(channels, road)}
        self._flaps = {
            name: FlapDetector(wish)
            for name, wish in self.wishes.items()
            if wish.quantity is Quantity.THROTTLE_POSITION
        }
        self._rollers = [self.roads[n] for n in _named(channels, Quantity.ROLLER_SPEED)]
        self._histories = [
            *(speed.history for speed in self.speeds.values()),
            *(wish.history for wish in self.wishes.values()),
            *self.roads.values(),
        ]

    def put(self, samples: SampleBatch) -> None:
        """Take new samples of the channels that matter."""
        for group in (self.speeds, self.wishes, self.roads):
            for name, signal in group.items():
                if name in samples:
                    signal.put(samples[name])

    @property
    def next_s(self) -> float:
        """Time of the next sample that waits for the clock."""
        return min((history.next_s for history in self._histories), default=np.inf)

    @property
    def newest_s(self) -> float:
        """Time of the newest sample put."""
        return max((history.newest_s for history in self._histories), default=-np.inf)

    def release(self, now_s: float) -> list[Refused]:
        """Let in what the clock has reached; tell of a throttle that turns out to be none."""
        for speed in self.speeds.values():
            speed.release(now_s)
        for wish in self.wishes.values():
            wish.release(now_s)
        for road in self.roads.values():
            for time_s, value in road.release(now_s):
                road.keep(time_s, value)
        speed_now = self.speed_at(now_s)
        if speed_now is None:
            return []
        found = [flap.look(speed_now, now_s) for flap in self._flaps.values()]
        return [complaint for complaint in found if complaint is not None]

    @property
    def unmet(self) -> Statement | None:
        """Which need of the segmenter no channel has met so far."""
        signals: dict[str, EngineSpeed | Intent] = {**self.speeds, **self.wishes}
        return unmet(self._channels, [name for name, s in signals.items() if s.has_delivered])

    @property
    def kept(self) -> int:
        """Readings held in memory."""
        return sum(len(history.times) for history in self._histories)

    def drop_before(self, before_s: float) -> None:
        """Drop what no candidate can need any more."""
        for history in self._histories:
            history.drop_before(before_s)

    def speed_at(self, now_s: float) -> EngineSpeed | None:
        """The first engine speed that speaks."""
        return next((s for s in self.speeds.values() if now_s - s.seen_s <= ALIVE_S), None)

    def intent_at(self, now_s: float) -> Intent | None:
        """The most trusted wish that speaks; pressure only where no position can be had."""
        positions = [w for w in self.wishes.values() if w.is_position and not self._is_flap(w)]
        for wish in positions:
            if wish.is_alive(now_s) and self.is_trusted(wish):
                return wish
        if any(wish.has_delivered or now_s < LATE_S for wish in positions):
            return None
        pressures = (wish for wish in self.wishes.values() if not wish.is_position)
        return next((wish for wish in pressures if wish.is_alive(now_s)), None)

    def _is_flap(self, wish: Intent) -> bool:
        flap = self._flaps.get(wish.channel.name)
        return flap is not None and flap.found

    def is_trusted(self, wish: Intent) -> bool:
        """Whether it still passes for the driver's wish."""
        flap = self._flaps.get(wish.channel.name)
        return flap is None or not flap.is_suspect

    def _throttle_beside(self, intent: Intent) -> Intent | None:
        """The throttle that shows what the ECU does with the pedal's wish."""
        if intent.quantity is not Quantity.PEDAL_POSITION:
            return None
        return next((self.wishes[n] for n, f in self._flaps.items() if not f.is_suspect), None)

    def is_throttle_open(
        self, intent: Intent, open_s: float, peak_s: float, now_s: float
    ) -> bool | None:
        """Whether the throttle follows the full demand; None where no channel can tell.

        Without a throttle channel a manifold that stays as full as it was at peak_s tells that
        nothing closes in front of it.
        """
        if intent.quantity is Quantity.THROTTLE_POSITION:
            return True
        throttle = self._throttle_beside(intent)
        if throttle is None or not throttle.is_alive(now_s) or throttle.opened_s < open_s:
            return True if self._stays_full(intent, peak_s, now_s) else None
        return throttle.share(now_s) >= CLOSED_SHARE

    def _stays_full(self, intent: Intent, peak_s: float, now_s: float) -> bool:
        """Told by a pressure beside a position: the pressure that stands in for it is no witness
        against itself."""
        if not intent.is_position:
            return False
        for wish in self.wishes.values():
            if not wish.is_position and wish.history.times and wish.history.times[-1] > peak_s:
                return wish.share(now_s) >= FULL_SHARE * wish.share(peak_s)
        return False

    def is_on_roller(self, now_s: float) -> bool:
        """Whether a dyno's roller speed speaks."""
        return any(r.times and now_s - r.times[-1] <= ALIVE_S for r in self._rollers)

    def road_rises(self, peak_s: float, now_s: float) -> bool:
        """Whether the first road speed that speaks often still rises as it did before the engine's
        peak: then an engine that loses speed has spun its wheels or shuffles in its mounts."""
        for history in self.roads.values():
            if len(history.between(now_s - ROAD_LOOK_S, now_s)[0]) > 2:
                look_s = max(ROAD_LOOK_S, now_s - history.times[-ROAD_READINGS:][0])
                after = history.between(now_s - look_s, now_s)
                before = history.between(peak_s - 2.0 * look_s, peak_s)
                return _slope(*after) > ROAD_SHARE * max(_slope(*before), 0.0)
        return False

    def closures(self, intent: Intent, start_s: float, end_s: float) -> tuple[Section, ...]:
        """Closures by the ECU: of the throttle beside the pedal, or of the one that stands in."""
        throttle = self._throttle_beside(intent)
        if throttle is None and intent.quantity is Quantity.THROTTLE_POSITION:
            throttle = intent
        if throttle is None:
            return ()
        time_s, value = throttle.history.between(start_s, end_s)
        return closures(time_s, value / throttle.full, start_s, end_s)

    def road(self, start_s: float, end_s: float) -> tuple[str, FloatArray, FloatArray]:
        """Name, times and speeds of the first road speed that has readings from a moment before
        start_s to end_s; empty where none has."""
        for name, history in self.roads.items():
            time_s, speed_kmh = history.between(start_s - ALIVE_S, end_s)
            if len(time_s) > 1:
                return name, time_s, speed_kmh
        return "", np.empty(0), np.empty(0)


def _slope(time_s: FloatArray, value: FloatArray) -> float:
    """Of the line through the readings, per second; 0 where there is only one."""
    return float(np.polyfit(time_s - time_s[0], value, 1)[0]) if len(time_s) > 1 else 0.0


def _named(channels: Mapping[str, Channel], quantity: Quantity) -> list[str]:
    return [name for name, channel in channels.items() if channel.quantity is quantity]
