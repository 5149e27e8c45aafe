"""When a watched sweep is over, and why: drawn by hand, step by step."""

from collections.abc import Mapping

import numpy as np
import pytest
from drawn_sessions import CHANNELS, RATE_HZ, Points, signal

from analysis.model.pull import EndReason
from analysis.segmenting.closing import Closing
from analysis.segmenting.signals import Signals
from analysis.segmenting.watch import Watch

PEDAL_RISES_S, OPEN_S = 0.5, 1.0
TICK_S = 0.02


def watched(
    rates: Mapping[str, float] | None = None, **points: Points
) -> tuple[Closing | None, float]:
    """The first ending that is certain, and when it is; the watch begins with the wish."""
    rate_hz = {**RATE_HZ, **(rates or {})}
    batch = {name: signal(line, rate_hz[name], 0.0, 0) for name, line in points.items()}
    signals = Signals({name: CHANNELS[name] for name in batch})
    signals.put(batch)
    watch, now_s = None, 0.0
    for now_s in np.arange(TICK_S, points["speed"][-1][0], TICK_S).tolist():
        signals.release(now_s)
        if watch is not None:
            closing = watch.step(now_s, None)
            if closing is not None:
                return closing, now_s
            continue
        speed, intent = signals.speed_at(now_s), signals.intent_at(now_s)
        if speed is not None and intent is not None and intent.is_open:
            watch = Watch(intent, speed, signals, intent.history.times[-1])
    return None, now_s


def full_until(lift_s: float, end_s: float, from_s: float = 0.0) -> Points:
    return [
        (from_s, 0),
        (PEDAL_RISES_S, 0),
        (OPEN_S, 84),
        (lift_s, 84),
        (lift_s + 0.01, 0),
        (end_s, 0),
    ]


def rise_and(*after: tuple[float, float], low: float, top: float, rpm_per_s: float) -> Points:
    """Up from low at 1 s; after: seconds behind the top, and the speed there."""
    top_s = OPEN_S + (top - low) / rpm_per_s
    return [(0, low), (OPEN_S, low), (top_s, top), *((top_s + s, rpm) for s, rpm in after)]


@pytest.mark.parametrize(
    ("fall_rpm_s", "reason"), [(200.0, EndReason.LIMITER), (75.0, EndReason.STALLED)]
)
def test_a_sharp_drop_at_an_open_throttle_is_a_limiter(
    fall_rpm_s: float, reason: EndReason
) -> None:
    """A hill, or an engine that fades, takes longer than 0.3 s to show."""
    speed = rise_and((4.0, 4000 - 4 * fall_rpm_s), low=3000, top=4000, rpm_per_s=100)
    throttle = full_until(60.0, 61.0)
    closing, _ = watched(speed=speed, pedal=throttle, throttle=throttle)
    assert closing is not None
    assert closing.reason is reason


def test_a_wish_read_just_behind_the_peak_is_no_proof_that_nobody_lifted() -> None:
    """The foot comes up at 11.05 s, a moment after it was read; the next reading shows it."""
    speed = rise_and((1.0, 3400), low=3000, top=4000, rpm_per_s=100)
    wish = full_until(11.05, 13.0, from_s=0.04)
    closing, _ = watched({"pedal": 5.0, "throttle": 50.0}, speed=speed, pedal=wish, throttle=wish)
    assert closing is not None
    assert closing.reason is EndReason.LIFT


@pytest.mark.parametrize(
    ("top", "fall_rpm_s", "told_s"),
    [
        (3000, 25.0, 2.74),  # 1.5 s behind the first 30 rpm
        (3000, 15.0, 4.04),  # not before 60 rpm are gone ...
        (6000, 30.0, 3.04),  # ... or 1.5 % of the peak
    ],
)
def test_a_slow_fall_is_a_stall_once_it_lasts_and_is_deep_enough(
    top: float, fall_rpm_s: float, told_s: float
) -> None:
    speed = rise_and((8.0, top - 8 * fall_rpm_s), low=top / 2, top=top, rpm_per_s=100)
    closing, at_s = watched(speed=speed, pedal=full_until(90.0, 91.0))
    assert closing is not None
    assert closing.reason is EndReason.STALLED
    assert at_s - speed[2][0] == pytest.approx(told_s, abs=0.1)


@pytest.mark.parametrize(("again_rpm", "peak_s"), [(6040, 11.0), (6095, 11.7)])
def test_only_a_clearly_higher_speed_is_a_new_peak_after_a_fall(
    again_rpm: float, peak_s: float
) -> None:
    """Within 1 % it is the same limit, met twice."""
    bounce = ((0.3, 5850), (0.7, again_rpm), (1.0, 5850), (1.4, 5950))
    speed = rise_and(*bounce, low=2000, top=6000, rpm_per_s=400)
    closing, _ = watched(speed=speed, pedal=full_until(12.2, 14.0))
    assert closing is not None
    assert closing.peak_s == pytest.approx(peak_s, abs=0.1)


@pytest.mark.parametrize(("rpm_per_s", "told_s"), [(100.0, 3.0), (1000.0, 1.0)])
def test_a_sweep_stalls_after_the_time_it_took_for_300_rpm_and_not_before_one_second(
    rpm_per_s: float, told_s: float
) -> None:
    speed = rise_and((8.0, 4000), low=2000, top=4000, rpm_per_s=rpm_per_s)
    closing, at_s = watched(speed=speed, pedal=full_until(90.0, 91.0))
    assert closing is not None
    assert closing.reason is EndReason.STALLED
    assert at_s - speed[2][0] == pytest.approx(told_s, abs=0.15)


@pytest.mark.parametrize(
    ("pedal_hz", "earliest_s", "latest_s"), [(12.0, 0.1, 0.2), (8.0, 0.4, 1.1)]
)
def test_a_lift_between_distant_readings_waits_for_the_engine_speed(
    pedal_hz: float, earliest_s: float, latest_s: float
) -> None:
    """Two readings of the speed, here twice a second, place it better than the wish does."""
    speed = rise_and((3.0, 1000), low=2000, top=6000, rpm_per_s=500)
    closing, at_s = watched(
        {"speed": 2.0, "pedal": pedal_hz}, speed=speed, pedal=full_until(9.0, 12.0)
    )
    assert closing is not None
    assert closing.reason is EndReason.LIFT
    assert earliest_s < at_s - 9.0 < latest_s


@pytest.mark.parametrize(("closed_s", "lift_s"), [(6.0, 21.0), (10.0, 3.0)])
def test_a_throttle_closed_by_the_ecu_on_the_brake_opens_within_eight_seconds(
    closed_s: float, lift_s: float
) -> None:
    """Of a throttle that stands in for the pedal nobody else can tell."""
    speed: Points = [(0, 2000), (14, 2000), (21, 6000), (23, 2000)]
    back_s = 3.0 + closed_s
    part: Points = [(3, 84), (3.02, 50), (back_s, 50), (back_s + 0.02, 84)]
    throttle: Points = [(0, 0), (0.5, 0), (1, 84), *part, (21, 84), (21.01, 0), (23, 0)]
    closing, _ = watched(speed=speed, throttle=throttle)
    assert closing is not None
    assert closing.earliest_s == pytest.approx(lift_s, abs=0.1)


def test_a_throttle_partly_closed_without_a_new_peak_for_a_second_is_a_driver_easing_off() -> None:
    speed = rise_and((5.0, 2400), low=2000, top=2400, rpm_per_s=50)
    throttle: Points = [(0, 0), (0.5, 0), (1, 84), (9, 84), (9.02, 50), (14, 50)]
    closing, at_s = watched(speed=speed, throttle=throttle)
    assert closing is not None
    assert at_s == pytest.approx(10.1, abs=0.15)


@pytest.mark.parametrize(("partly_s", "earliest_s"), [(0.2, 9.0), (0.45, 9.45)])
def test_partly_open_for_less_than_a_foot_takes_to_come_up_belongs_to_the_lift(
    partly_s: float, earliest_s: float
) -> None:
    speed: Points = [(0, 2000), (1, 2000), (9 + partly_s, 6200), (11, 3000)]
    shut_s = 9.02 + partly_s
    part: Points = [(9, 84), (9.02, 50), (shut_s, 50), (shut_s + 0.02, 0)]
    closing, _ = watched(speed=speed, throttle=[(0, 0), (0.5, 0), (1, 84), *part, (11, 0)])
    assert closing is not None
    assert closing.earliest_s == pytest.approx(earliest_s, abs=0.06)
