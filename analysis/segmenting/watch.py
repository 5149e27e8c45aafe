"""One stretch of full demand, watched tick by tick until the sweep in it is over."""

from typing import Final

import numpy as np

from analysis.model.pull import EndReason
from analysis.segmenting.closing import LIMITER_SHARE, Closing
from analysis.segmenting.engine_speed import SMOOTH_S, EngineSpeed
from analysis.segmenting.intent import Intent
from analysis.segmenting.kinks import noise
from analysis.segmenting.signals import Signals
from decode.quantities import Quantity

START_RISE_RPM: Final = 100.0  # above its lowest: a sweep has begun (hunting on a brake is less)
START_RISE_SHARE: Final = 0.05  # ... and this share of it
DROP_RPM: Final = 30.0  # below the peak: a limiter's cut, which takes 50 rpm or more ...
DROP_SHARE: Final = 0.004  # ... and this share of the peak
DROP_NOISE: Final = 5.0  # ... and these standard deviations of the smoothed speed
SHARP_DROP_S: Final = 0.3  # a cut shows within this time; a hill or a fading engine takes longer
AFTER_PEAK_S: Final = 0.08  # a wish read so long after the peak was not the reason for the fall
FALL_RPM: Final = 60.0  # below the peak: the speed falls, whatever the reason ...
FALL_SHARE: Final = 0.015  # ... and this share of the peak
GEAR_STEP_SHARE: Final = 0.10  # adjacent gears differ by more, limiters cut less deep
BOUNCE_SHARE: Final = 0.01  # two peaks this close are the same limit
RESUME_S: Final = 1.5  # a protective closure without a throttle channel is over by then
SILENCE_S: Final = 2.5  # without engine speed: three readings of a signal polled every 0.9 s
RISE_BEFORE_S: Final = 0.3  # the rise just before the peak is judged over this time
SHORTEST_FLAT_S: Final = 0.15  # a gear's backlash or a misfire is over sooner
FLAT_READINGS: Final = 5  # fewer since the peak, and the speed is slow to come or has gone
FLAT_DROPS: Final = 2.0  # the rise that failed to come: 10 standard deviations, 0.8 % of the peak
SHAKEN_RPM: Final = 30.0  # a limiter's bounce is more than this ...
SHAKEN_NOISE: Final = 12.0  # ... and than these standard deviations of the smoothed speed
STALL_RPM: Final = 300.0  # the time the sweep took for this rise, without a new peak: stalled
SHORTEST_STALL_S: Final = 1.0  # turbo lag and closures make flat spots shorter than this
SETTLE_S: Final = 0.04  # of speed after the lift shows the bend, leaves time to announce
READINGS_TO_BEND: Final = 2  # of the speed since the last full wish show where it bends
SLOW_INTENT_S: Final = 0.1  # a wish read more rarely needs the speed to place the lift
EASED_SHARE: Final = (
    0.87  # of full pedal: a foot that tires sinks so far (seen: 89 %), a lift goes on
)
EASED_S: Final = 3.0  # ... and comes back within three readings of a pedal polled every 0.9 s
LIFTED_SHARE: Final = 0.15  # a protective closure leaves more opening than this, a lift less
EMPTYING_SHARE: Final = 0.9  # of the pressure at the peak: the manifold empties
LONGEST_HOLD_CLOSURE_S: Final = 8.0  # closed by the ECU while held: longer than any hold on a brake
FLAT_S: Final = 1.0  # partly closed and no new peak for so long: the driver has eased off
RELEASE_S: Final = 0.3  # a foot comes up faster than this: shorter part opening belongs to a lift
_NOISE_READINGS: Final = 60  # the noise is judged from so many ...
_NOISE_EVERY_S: Final = 0.5  # ... this often


class Watch:
    """State of one candidate. open_s: when full demand was first seen."""

    def __init__(self, intent: Intent, speed: EngineSpeed, signals: Signals, open_s: float) -> None:
        self.intent, self.speed = intent, speed
        self.open_s = open_s
        self.swept_s: float | None = None  # when the sweep was noticed
        self.peak_s, self.peak_rpm = open_s, 0.0
        self._signals = signals
        self._low_s, self._low_rpm = open_s, float("inf")
        self._full_s = open_s  # the newest instant of full demand
        self._lift: Closing | None = None
        self._partly_s: float | None = None  # since when a stand-in throttle is partly open
        self._fall_s: float | None = None
        self._trough_rpm = float("inf")
        self._bounced = False
        self._noise_rpm, self._noise_s = 0.0, open_s

    def step(self, now_s: float, limiter_rpm: float | None) -> Closing | None:
        """Look once more. limiter_rpm: the engine's known top speed.

        Returns the ending when it is certain.
        """
        smooth = self.speed.smooth(now_s)
        if smooth is None or now_s - self.speed.seen_s > SILENCE_S:
            return self._end(EndReason.SOURCE_LOST, self.speed.seen_s, self.speed.seen_s)
        if now_s - self._full_s > SILENCE_S and not self.intent.is_alive(now_s):
            return self._end(EndReason.SOURCE_LOST, self._full_s, now_s)
        self._follow(*smooth)
        lifted = self._look_for_lift(now_s, smooth[1])
        if lifted is not None or self._lift is not None or self.swept_s is None:
            return lifted
        return self._look_for_fall(*smooth, now_s, limiter_rpm)

    def _follow(self, at_s: float, rpm: float) -> None:
        rise = max(START_RISE_RPM, START_RISE_SHARE * self._low_rpm)
        if self.swept_s is not None:
            self._follow_peak(at_s, rpm)
        elif rpm < self._low_rpm:
            self._low_s, self._low_rpm = at_s, rpm
        elif rpm >= self._low_rpm + rise:
            self.swept_s = at_s
            self.peak_s, self.peak_rpm = at_s, rpm

    def _follow_peak(self, at_s: float, rpm: float) -> None:
        """After a fall only a clearly higher speed is a new peak: a limiter's bounce is none."""
        fell = self._fall_s is not None and self._trough_rpm < self.peak_rpm - self._fall
        beyond = 1.0 + BOUNCE_SHARE if fell or self._bounced else 1.0
        if rpm > beyond * self.peak_rpm:
            self.peak_s, self.peak_rpm = at_s, rpm
            self._fall_s, self._bounced = None, False

    def _look_for_lift(self, now_s: float, rpm: float) -> Closing | None:
        if self._is_emptying(now_s, rpm):
            return self._closing(EndReason.LIFT, self.peak_s, now_s)
        if self.intent.is_open:
            self._full_s = max(self._full_s, self.intent.history.times[-1])
            self._partly_s, self._lift = None, None
            return None
        if self._is_eased(now_s, rpm) or self._is_partly_open(now_s, rpm):
            return None
        if self._lift is None:
            self._lift = self._closing(EndReason.LIFT, self._full_s, self._first_closed_s())
        if not self._is_settled(now_s, self._lift):
            return None
        return self._before_lift(self._lift)

    def _is_emptying(self, now_s: float, rpm: float) -> bool:
        """Pressure alone, with a turbo behind it, passes below half load late: that it falls, and
        the engine speed too, is enough."""
        if self.intent.is_position or self.swept_s is None:
            return False
        falls = self.intent.share(now_s) < EMPTYING_SHARE * self.intent.share(self.peak_s)
        return falls and rpm < self.peak_rpm - self._drop(now_s)

    def _is_eased(self, now_s: float, rpm: float) -> bool:
        """A foot that sinks a little, and may come back before the speed takes notice."""
        eased = self.intent.is_the_foot and self.intent.share(now_s) > EASED_SHARE
        return eased and now_s - self._full_s < EASED_S and rpm > self.peak_rpm - self._fall

    def _is_partly_open(self, now_s: float, rpm: float) -> bool:
        """A throttle that stands in for the pedal may be closed by the ECU, not by the driver: then
        it stays partly open and the speed goes on rising."""
        if self.intent.quantity is not Quantity.THROTTLE_POSITION:
            return False
        if self.intent.share(now_s) <= LIFTED_SHARE:
            return False
        if self._partly_s is None:
            self._partly_s = self.intent.history.times[-1]
        if self.swept_s is None:
            return now_s - self._partly_s < LONGEST_HOLD_CLOSURE_S
        if rpm < self.peak_rpm - self._fall:
            return False
        if now_s - max(self.peak_s, self._partly_s) > FLAT_S:
            return False
        if now_s - self._partly_s > RELEASE_S:
            self._full_s = self.intent.history.times[-1]
        return True

    def _before_lift(self, lift: Closing) -> Closing:
        """A sweep that had already fallen off its peak did not end at the lift."""
        if self._fall_s is None or self._fall_s > lift.earliest_s:
            return lift
        reason = EndReason.LIMITER if self._bounced else EndReason.STALLED
        return self._end(reason, self.peak_s, self.peak_s)

    def _first_closed_s(self) -> float:
        times = self.intent.history.between(self._full_s, float("inf"))[0]
        return float(times[1]) if len(times) > 1 else self._full_s

    def _is_settled(self, now_s: float, lift: Closing) -> bool:
        if now_s < lift.latest_s + SETTLE_S:
            return False
        if lift.latest_s - lift.earliest_s <= SLOW_INTENT_S:
            return True
        waited = now_s >= lift.earliest_s + RESUME_S
        return waited or len(self.speed.between(lift.earliest_s, now_s)[0]) >= READINGS_TO_BEND

    @property
    def _fall(self) -> float:
        return max(FALL_RPM, FALL_SHARE * self.peak_rpm)

    def _drop(self, now_s: float) -> float:
        """What is more than noise below the peak, rpm."""
        if now_s - self._noise_s > _NOISE_EVERY_S:
            self._noise_s = now_s
            times, values = self.speed.newest(_NOISE_READINGS)
            averaged = max(SMOOTH_S / max(self.speed.interval_s, 1e-3), 1.0)
            self._noise_rpm = noise(times, values) / averaged**0.5
        return max(DROP_RPM, DROP_SHARE * self.peak_rpm, DROP_NOISE * self._noise_rpm)

    def _look_for_fall(
        self, at_s: float, rpm: float, now_s: float, limiter_rpm: float | None
    ) -> Closing | None:
        """at_s: the time of the speed, which stands still where readings are missing."""
        if rpm < (1.0 - GEAR_STEP_SHARE) * self.peak_rpm:
            return self._end(EndReason.GEAR_CHANGE, self.peak_s, self.peak_s)
        throttle_open = self._signals.is_throttle_open(self.intent, self.open_s, self.peak_s, now_s)
        if throttle_open is False:
            return None
        drop = self._drop(now_s)
        if rpm < self.peak_rpm - drop:
            return self._fallen(now_s, rpm, throttle_open is True, limiter_rpm)
        if self._fall_s is not None:
            return self._rising_again(now_s, rpm, drop)
        if throttle_open is True and self._is_flat_top(now_s, drop):
            return self._end(self._flat_reason(now_s, limiter_rpm), self.peak_s, self.peak_s)
        stall_s = self._stall_s()
        if at_s - self.peak_s > stall_s:
            return self._end(EndReason.STALLED, self.peak_s - stall_s, self.peak_s)
        return None

    def _is_flat_top(self, now_s: float, drop: float) -> bool:
        """A steep rise that stops at once at full demand: the limiter bounces too fast to see."""
        flat_s = now_s - self.peak_s
        before = self.speed.smooth(self.peak_s - RISE_BEFORE_S)
        if flat_s < SHORTEST_FLAT_S or before is None or before[0] >= self.peak_s - SMOOTH_S:
            return False
        if len(self.speed.between(self.peak_s, now_s)[0]) < FLAT_READINGS:
            return False
        slope = (self.peak_rpm - before[1]) / (self.peak_s - before[0])
        missing_rpm = slope * flat_s
        return (
            missing_rpm > FLAT_DROPS * drop
            and self._is_still_full()
            and not self._signals.road_rises(self.peak_s, now_s)
        )

    def _is_still_full(self) -> bool:
        return self.intent.history.times[-1] > self.peak_s + AFTER_PEAK_S

    def _is_near(self, limiter_rpm: float | None) -> bool:
        return limiter_rpm is not None and self.peak_rpm > (1.0 - LIMITER_SHARE) * limiter_rpm

    def _flat_reason(self, now_s: float, limiter_rpm: float | None) -> EndReason:
        """A limiter shakes the speed, a brake holds it still."""
        _, rpm = self.speed.between(self.peak_s, now_s)
        shaken = len(rpm) > 1 and float(np.ptp(rpm)) > SHAKEN_RPM + SHAKEN_NOISE * self._noise_rpm
        return EndReason.LIMITER if shaken or self._is_near(limiter_rpm) else EndReason.STALLED

    def _fallen(
        self, now_s: float, rpm: float, throttle_open: bool, limiter_rpm: float | None
    ) -> Closing | None:
        if self._fall_s is None:
            self._fall_s, self._trough_rpm = now_s, rpm
        self._trough_rpm = min(self._trough_rpm, rpm)
        sharp = self._fall_s - self.peak_s < SHARP_DROP_S
        cut = throttle_open and sharp and not self._signals.road_rises(self.peak_s, now_s)
        if self._is_still_full() and (self._is_near(limiter_rpm) or self._bounced or cut):
            return self._end(EndReason.LIMITER, self.peak_s, self.peak_s)
        if now_s - self._fall_s > RESUME_S and rpm < self.peak_rpm - self._fall:
            return self._end(EndReason.STALLED, self.peak_s, self.peak_s)
        return None

    def _rising_again(self, now_s: float, rpm: float, drop: float) -> Closing | None:
        """Back near the peak after a fall: beyond it the sweep goes on, else it is a limiter."""
        assert self._fall_s is not None
        if rpm > self._trough_rpm + drop / 2:
            self._bounced = True
        if now_s - self._fall_s > self._stall_s():
            reason = EndReason.LIMITER if self._bounced else EndReason.STALLED
            return self._end(reason, self.peak_s, self.peak_s)
        return None

    def _stall_s(self) -> float:
        assert self.swept_s is not None
        slope = (self.peak_rpm - self._low_rpm) / max(self.peak_s - self._low_s, 0.1)
        return max(SHORTEST_STALL_S, STALL_RPM / max(slope, 1.0), 3.0 * self.speed.interval_s)

    def interrupted(self, last_s: float) -> Closing:
        """The session ends at last_s with this candidate open."""
        return self._before_lift(self._end(EndReason.SESSION_END, last_s, last_s))

    def _end(self, reason: EndReason, earliest_s: float, latest_s: float) -> Closing:
        return self._closing(reason, min(earliest_s, latest_s), latest_s)

    def _closing(self, reason: EndReason, earliest_s: float, latest_s: float) -> Closing:
        return Closing(reason, earliest_s, latest_s, self.peak_s, self.swept_s)
