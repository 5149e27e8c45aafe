"""Finds every pull while it happens; a recording is read by the same code with the same result.

The segmenter has a clock of its own: ticks of TICK_S, driven by the newest data time and never by
wall time, LATENESS_S behind it. At each tick it lets in the samples the clock has reached, so what
it decides does not depend on how the samples were cut into batches.

What it does: full demand opens a watch (segmenting/watch.py); the watch says when the sweep in it
is over; then the bounds are looked for again in the readings themselves (segmenting/bounds.py) and
the candidate is judged (segmenting/refusal.py).

How soon a pull is told after its end. LATENESS_S is always waited for, and after a lift SETTLE_S,
in which the engine speed shows the bend: together 120 ms with the tick. To that comes what cannot
be had sooner:
- One reading of the wish: a pedal at 3 Hz shows a lift up to 330 ms late. Where readings are
  further apart than SLOW_INTENT_S the lift is placed by the engine speed, two readings of it. So
  300 ms from the end hold from about 6 Hz upwards; from the first reading that shows it, always.
- A throttle without a pedal: the ECU closes it too, but not as far as a lift does (LIFTED_SHARE),
  and a slow foot takes 0.3 s to get there.
- Pressure alone: the manifold empties behind the throttle, a turbo's slowly.
- A limiter whose speed is known, by the set-up or from a pull before, tells itself by the first
  drop. The first one met is told by a drop or a flat top at full demand while the road speed no
  longer rises, if an open throttle or a manifold as full as before shows that nothing closes. With
  neither channel a drop is the same as a torque cut by protection, after which the sweep goes on:
  only the second drop, one bounce later, decides. Naming the top speed avoids it.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np

from analysis.model.events import Phase, PullEnded, PullStarted, SegmenterEvent
from analysis.model.pull import EndReason, PullBounds, Refused
from analysis.phrases.say import say
from analysis.segmenting.bounds import Trace
from analysis.segmenting.closing import Closing, ClosingContext, locate
from analysis.segmenting.history import LATENESS_S
from analysis.segmenting.signals import Signals
from analysis.segmenting.watch import GEAR_STEP_SHARE, Watch
from decode.samples import Channel, SampleBatch

TICK_S: Final = 0.02  # a fifteenth of the 300 ms in which a pull is to be announced
SHORTEST_DEMAND_S: Final = 0.3  # a shorter stab at the pedal is not worth a word
KEEP_S: Final = 10.0  # of history before a candidate: bends and levels need 3 s
LONGEST_HOLD_S: Final = 60.0  # of a hold is kept; no brake holds an engine at full load longer
DONE_S: Final = 5.0  # the operator sees "done" for so long


class Segmenter:
    """Channels in, pulls out. channels: the map's; only a handful of them is ever looked at.

    max_engine_speed_rpm: the engine's top speed where the set-up names it; otherwise it is
    learned from limiters met in the session.
    """

    def __init__(
        self, channels: Mapping[str, Channel], max_engine_speed_rpm: float | None = None
    ) -> None:
        self._signals = Signals(channels)
        self._given_top_rpm = max_engine_speed_rpm
        self._limiter_rpm: float | None = None
        self._highest_rpm: float | None = None
        self._watch: Watch | None = None
        self._spent = False  # the sweep of this demand is over, the pedal still down
        self._tick = 0
        self._heard_s = -np.inf  # the newest session time with samples of any channel
        self._done_s = -np.inf
        self._ended_s = -np.inf  # end of the newest pull
        self.phase = Phase.IDLE

    def feed(self, samples: SampleBatch, now_s: float) -> list[SegmenterEvent]:
        """Take samples; tell what they decided. now_s: the newest session time of any source."""
        self._signals.put(samples)
        if samples:
            self._heard_s = max(self._heard_s, now_s)
        return self._run(now_s - LATENESS_S)

    def finish(self) -> list[SegmenterEvent]:
        """The session ended: what is waiting is read, an open pull is closed as interrupted.

        A session in which no pull could be found, for want of a channel, is refused as a whole.
        """
        last_s = self._signals.newest_s
        events = self._run(last_s + TICK_S) if np.isfinite(last_s) else []
        unmet = self._signals.unmet
        if unmet is not None and np.isfinite(self._heard_s):
            events.append(Refused(0.0, self._heard_s, unmet))
        if self._watch is not None and not self._spent:
            ending = self._watch.interrupted(last_s)
            events.extend(self._close(self._watch, ending, last_s))
        self._watch, self.phase = None, Phase.IDLE
        return events

    @property
    def kept(self) -> int:
        """Readings held in memory."""
        return self._signals.kept

    def _run(self, until_s: float) -> list[SegmenterEvent]:
        events: list[SegmenterEvent] = []
        last_tick = int(np.floor(until_s / TICK_S))
        while (tick := self._next_tick()) <= last_tick:
            self._tick = int(tick)
            events.extend(self._step(tick * TICK_S))
        self._tick = max(self._tick, last_tick)
        return events

    def _next_tick(self) -> float:
        """Without a candidate nothing happens between samples: on to the next one.

        Looking there all the same would depend on how the samples were cut into batches.
        """
        if self._watch is not None or self.phase is not Phase.IDLE:
            return self._tick + 1
        return max(self._tick + 1, float(np.ceil(self._signals.next_s / TICK_S)))

    def _step(self, now_s: float) -> list[SegmenterEvent]:
        events: list[SegmenterEvent] = [*self._signals.release(now_s)]
        if self._watch is None:
            self._open_watch(now_s)
        elif self._spent:
            self._signals.drop_before(now_s - KEEP_S)
            self._wait_for_next(now_s)
        else:
            if self._watch.swept_s is None:
                self._signals.drop_before(now_s - LONGEST_HOLD_S)
            events.extend(self._follow(self._watch, now_s))
        return events

    def _open_watch(self, now_s: float) -> None:
        self._signals.drop_before(now_s - KEEP_S)
        speed, intent = self._signals.speed_at(now_s), self._signals.intent_at(now_s)
        if speed is not None and intent is not None and intent.is_open:
            self._watch = Watch(intent, speed, self._signals, intent.history.times[-1])
            self.phase = Phase.HOLD
        elif now_s - self._done_s > DONE_S:
            self.phase = Phase.IDLE

    def _wait_for_next(self, now_s: float) -> None:
        """The limiter is reached but the pedal is down: a lift, or the next gear, ends it."""
        assert self._watch is not None
        watch = self._watch
        smooth = watch.speed.smooth(now_s)
        gone = not watch.intent.is_alive(now_s) or not self._signals.is_trusted(watch.intent)
        shifted = smooth is not None and smooth[1] < (1.0 - GEAR_STEP_SHARE) * watch.peak_rpm
        if gone or shifted or not watch.intent.is_open:
            self._watch, self._spent = None, False
            self._open_watch(now_s)

    def _follow(self, watch: Watch, now_s: float) -> list[SegmenterEvent]:
        was_swept = watch.swept_s is not None
        ending = watch.step(now_s, self._top_rpm)
        events: list[SegmenterEvent] = []
        if not was_swept and watch.swept_s is not None:
            self.phase = Phase.SWEEP
            events.append(PullStarted(watch.swept_s, watch.peak_rpm))
        if ending is not None:
            outcome = self._close(watch, ending, now_s)
            events.extend(outcome)
            is_pull = any(isinstance(event, PullEnded) for event in outcome)
            over = ending.reason in (EndReason.LIMITER, EndReason.LIFT)
            self._spent = is_pull and over and watch.intent.is_open
            if not self._spent:
                self._watch = None
        return events

    @property
    def _top_rpm(self) -> float | None:
        return self._given_top_rpm or self._limiter_rpm

    def _close(self, watch: Watch, ending: Closing, now_s: float) -> list[SegmenterEvent]:
        """Judge a candidate that is over."""
        self.phase = Phase.IDLE
        if ending.latest_s - watch.open_s < SHORTEST_DEMAND_S:
            return []
        if not self._signals.is_trusted(watch.intent):
            return [
                Refused(watch.open_s, ending.latest_s, say("refused-throttle-open-without-load"))
            ]
        outcome = locate(self._closing_context(watch, ending, now_s))
        if isinstance(outcome, Refused):
            return [outcome]
        self._learn(outcome)
        self.phase, self._done_s = Phase.DONE, now_s
        return [PullEnded(outcome, now_s + LATENESS_S)]

    def _closing_context(self, watch: Watch, ending: Closing, now_s: float) -> ClosingContext:
        road_name, road_s, road_kmh = self._signals.road(watch.open_s, ending.latest_s)
        return ClosingContext(
            trace=Trace(*watch.speed.between(watch.open_s - KEEP_S, now_s)),
            first_heard_s=watch.speed.first_s,
            intent=watch.intent,
            open_s=watch.open_s,
            not_before_s=self._ended_s,
            closing=ending,
            now_s=now_s,
            top_rpm=self._top_rpm or self._highest_rpm,
            on_roller=self._signals.is_on_roller(ending.latest_s),
            road_name=road_name,
            road_s=road_s,
            road_kmh=road_kmh,
            closed=self._signals.closures(watch.intent, watch.open_s, ending.latest_s),
        )

    def _learn(self, bounds: PullBounds) -> None:
        self._ended_s = bounds.end_s
        self._highest_rpm = max(self._highest_rpm or 0.0, bounds.end_rpm)
        if bounds.end_reason is EndReason.LIMITER:
            self._limiter_rpm = max(self._limiter_rpm or 0.0, bounds.end_rpm)
