"""A throttle channel that is not the driver's throttle: a diesel's intake flap stands open."""

from typing import Final

from analysis.model.pull import Refused
from analysis.phrases.say import amount, say
from analysis.segmenting.engine_speed import EngineSpeed
from analysis.segmenting.intent import Intent

LOOK_S: Final = 0.2  # often enough to add up seconds, rare enough to cost nothing
IDLE_RPM: Final = (400.0, 1000.0)  # running without load; nobody sweeps from below it
SLOWING_RPM_PER_S: Final = 100.0  # a car in gear that slows has its throttle closed
OPEN_SHARE: Final = 0.7  # a driver's throttle that far open neither idles nor slows
FLAP_S: Final = 5.0  # so long wide open at idle or while slowing ...
SUSPECT_S: Final = 1.0  # from here on it is not believed, though not yet spoken of
FLAP_SHARE: Final = 0.2  # ... and for this share of all such time: a throttle never is


class FlapDetector:
    """Adds up the time in which an open throttle makes no sense."""

    def __init__(self, throttle: Intent) -> None:
        self.found = False
        self.is_suspect = False
        self._throttle = throttle
        self._looked: tuple[float, float] | None = None  # time and speed
        self._unloaded_s = 0.0
        self._open_s = 0.0

    def look(self, speed: EngineSpeed, now_s: float) -> Refused | None:
        """Look at most every LOOK_S; tells once, when it is sure."""
        if self.found or not self._throttle.is_alive(now_s):
            return None
        if self._looked is not None and now_s - self._looked[0] < LOOK_S:
            return None
        smooth = speed.smooth(now_s)
        if smooth is None:
            return None
        before, self._looked = self._looked, (now_s, smooth[1])
        return None if before is None else self._add(*before, *self._looked)

    def _add(self, from_s: float, from_rpm: float, now_s: float, rpm: float) -> Refused | None:
        passed_s = min(now_s - from_s, 5.0 * LOOK_S)
        idles = IDLE_RPM[0] <= rpm <= IDLE_RPM[1]
        slows = from_rpm - rpm > SLOWING_RPM_PER_S * (now_s - from_s)
        if not (idles or slows):
            return None
        self._unloaded_s += passed_s
        self._open_s += passed_s * (self._throttle.share(now_s) >= OPEN_SHARE)
        mostly = self._open_s >= FLAP_SHARE * self._unloaded_s
        self.is_suspect = mostly and self._open_s >= SUSPECT_S
        self.found = mostly and self._open_s >= FLAP_S
        return self._complaint(now_s) if self.found else None

    def _complaint(self, now_s: float) -> Refused:
        name = self._throttle.channel.name
        return Refused(
            0.0,
            now_s,
            say("refused-intake-flap", channel=name, open=amount(self._open_s, "s")),
        )
