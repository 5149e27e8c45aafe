"""A throttle channel that stands open where no driver's throttle would."""

import numpy as np
import pytest
from drawn_sessions import Points, signal

from analysis.segmenting.engine_speed import EngineSpeed
from analysis.segmenting.flap import FlapDetector
from analysis.segmenting.intent import Intent
from decode.quantities import Quantity
from decode.samples import Channel

OPEN: Points = [(0, 83), (70, 83)]


def times(speed: Points, throttle: Points) -> tuple[float, float]:
    """When it is suspected and when it is complained of; infinite where never."""
    intent = Intent(Channel("flap", "%", Quantity.THROTTLE_POSITION, full_scale=100.0))
    engine = EngineSpeed()
    intent.put(signal(throttle, 20.0, 0.0, 1))
    engine.put(signal(speed, 50.0, 0.0, 2))
    flap = FlapDetector(intent)
    suspect_s, told_s = np.inf, np.inf
    for now_s in np.arange(0.02, speed[-1][0], 0.02).tolist():
        intent.release(now_s)
        engine.release(now_s)
        if flap.look(engine, now_s) is not None:
            told_s = now_s
        if flap.is_suspect:
            suspect_s = min(suspect_s, now_s)
    return suspect_s, told_s


def test_an_open_flap_at_idle_is_suspect_after_one_second_and_told_after_five() -> None:
    suspect_s, told_s = times([(0, 800), (10, 800)], OPEN)
    assert suspect_s == pytest.approx(1.0, abs=0.35)
    assert told_s == pytest.approx(5.0, abs=0.4)


@pytest.mark.parametrize(
    ("speed", "throttle", "is_told"),
    [
        ([(0, 950), (20, 950)], OPEN, True),
        ([(0, 1050), (20, 1050)], OPEN, False),  # may carry load
        ([(0, 300), (20, 300)], OPEN, False),  # the starter turns it
        ([(0, 5000), (20, 2700)], OPEN, True),  # slows by 115 rpm a second
        ([(0, 5000), (20, 3300)], OPEN, False),  # by 85: a hill can do that
        ([(0, 800), (20, 800)], [(0, 72), (20, 72)], True),
        ([(0, 800), (20, 800)], [(0, 67), (20, 67)], False),
        ([(0, 800), (40, 800)], [(0, 5), (18, 5), (18.1, 83), (25, 83), (25.1, 5), (40, 5)], True),
        ([(0, 800), (40, 800)], [(0, 5), (32, 5), (32.1, 83), (39, 83), (40, 83)], False),
    ],
)
def test_what_makes_no_sense_and_what_may_be(
    speed: Points, throttle: Points, is_told: bool
) -> None:
    assert np.isfinite(times(speed, throttle)[1]) == is_told
