"""A candidate that is over becomes a pull: where it ended, and why."""

import numpy as np
import pytest
from drawn_sessions import CHANNELS, Points, signal

from analysis.model.pull import EndReason, PullBounds
from analysis.segmenting.bounds import Trace
from analysis.segmenting.closing import Closing, ClosingContext, locate
from analysis.segmenting.intent import Intent
from decode.samples import Samples


def located(
    speed: Points,
    closing: Closing,
    wish: str = "pedal",
    every_s: float = 0.02,
    top_rpm: float | None = None,
) -> PullBounds:
    """The pull of a wish that is full from 1 s to the end of its readings."""
    intent = Intent(CHANNELS[wish])
    time_s = np.arange(0.0, closing.latest_s + 0.5, every_s)
    is_full = (time_s >= 1.0) & (time_s < closing.latest_s)
    empty, full = (20.0, 200.0) if wish == "manifold" else (0.0, 84.0)
    intent.put(Samples(time_s, np.where(is_full, full, empty)))
    intent.release(float(time_s[-1]))
    drawn = signal(speed, 100.0, 0.0, 1)
    found = locate(
        ClosingContext(
            trace=Trace(drawn.time_s, drawn.value),
            first_heard_s=float(drawn.time_s[0]),
            intent=intent,
            open_s=1.0,
            not_before_s=-np.inf,
            closing=closing,
            now_s=speed[-1][0],
            top_rpm=top_rpm,
            on_roller=True,
            road_name="",
            road_s=np.empty(0),
            road_kmh=np.empty(0),
            closed=(),
        )
    )
    assert isinstance(found, PullBounds)
    return found


@pytest.mark.parametrize(
    ("top_rpm", "reason"), [(6090.0, EndReason.LIMITER), (6190.0, EndReason.STALLED)]
)
def test_a_speed_that_stands_still_near_the_known_top_is_limited(
    top_rpm: float, reason: EndReason
) -> None:
    speed: Points = [(0, 2000), (1, 2000), (9, 6000), (10, 6000), (11, 3000)]
    lift = Closing(EndReason.LIFT, 9.98, 10.0, 9.9, 1.5)
    assert located(speed, lift, top_rpm=top_rpm).end_reason is reason


@pytest.mark.parametrize("noticed_s", [0.27, -0.05])
def test_a_limiter_is_met_a_little_before_or_behind_the_smoothed_peak(noticed_s: float) -> None:
    speed: Points = [(0, 2000), (1, 2000), (9, 6000), (10, 5970)]
    cut = Closing(EndReason.LIMITER, 8.9, 9.4, 9.0 + noticed_s, 1.5)
    assert located(speed, cut).end_s == pytest.approx(9.0, abs=0.015)


def test_a_manifold_empties_after_the_foot_came_up() -> None:
    speed: Points = [(0, 2000), (1, 2000), (9, 6000), (9.5, 5700), (10, 5000)]
    lift = Closing(EndReason.LIFT, 9.1, 9.18, 9.0, 1.5)
    assert located(speed, lift, "manifold").end_s == pytest.approx(8.94, abs=0.02)


def test_torque_is_gone_a_moment_before_a_slowly_read_pedal_is_up() -> None:
    speed: Points = [(0, 2000), (1, 2000), (9, 6000), (9.5, 5700), (10, 5000)]
    lift = Closing(EndReason.LIFT, 8.8, 9.1, 9.0, 1.5)
    assert located(speed, lift, every_s=0.3).end_s == pytest.approx(8.94, abs=0.02)
