"""Closures inside a pull, and what is noted of slow and broken channels."""

import numpy as np
import pytest

from analysis.segmenting.bounds import Trace
from analysis.segmenting.intent import Intent
from analysis.segmenting.notes import notes
from analysis.segmenting.sections import closures
from decode.quantities import Quantity
from decode.samples import Channel, Samples


@pytest.mark.parametrize(
    ("share", "duration_s", "count"),
    [(0.89, 1.0, 1), (0.91, 1.0, 0), (0.5, 0.12, 1), (0.5, 0.08, 0)],
)
def test_a_closure_is_below_nine_tenths_for_a_tenth_of_a_second(
    share: float, duration_s: float, count: int
) -> None:
    time_s = np.arange(0.0, 5.0, 0.01)
    end_s = 2.0 + duration_s - 0.001
    value = np.where((time_s >= 2.0) & (time_s < end_s), share, 1.0)
    assert len(closures(time_s, value, 0.0, 5.0)) == count


def noted(pedal_every_s: float, speed_every_s: float, missing_s: float = 0.0) -> str:
    pedal_s, speed_s = np.arange(0.0, 10.0, pedal_every_s), np.arange(0.0, 10.0, speed_every_s)
    intent = Intent(Channel("pedal", "%", Quantity.PEDAL_POSITION))
    intent.put(Samples(pedal_s, 100.0 + 0.01 * np.arange(float(len(pedal_s)))))
    intent.release(10.0)
    speed_s = speed_s[(speed_s < 3.0) | (speed_s >= 3.0 + missing_s)]
    return "; ".join(note.text for note in notes(intent, Trace(speed_s, 1000.0 + speed_s), None))


def test_slow_channels_are_named_from_150_ms_on() -> None:
    assert "comes only" not in noted(0.14, 0.14)
    assert "pedal comes only every 0.2 s" in noted(0.16, 0.14)
    assert "engine speed comes only every 0.2 s" in noted(0.14, 0.16)


def test_a_pause_of_more_than_five_intervals_is_a_gap() -> None:
    assert "missing" not in noted(0.1, 0.1, 0.3)
    assert "engine speed is missing for 0.7 s" in noted(0.1, 0.1, 0.6)
