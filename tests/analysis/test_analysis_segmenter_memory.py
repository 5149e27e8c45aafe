"""How much of the session the segmenter holds: enough for what may come, and never more."""

import numpy as np
import pytest
from drawn_sessions import CHANNELS

from analysis.segmenting.segmenter import Segmenter
from decode.samples import Samples

EVERY_S = 0.05


def held_s(**steady: float) -> list[float]:
    """Seconds of each channel in memory, after 100, 200, 300 and 400 s with these values."""
    segmenter = Segmenter({name: CHANNELS[name] for name in steady})
    time_s = np.arange(0.0, 400.0, EVERY_S)
    noise = 0.1 * np.sin(time_s)
    samples = {name: Samples(time_s, value + noise) for name, value in steady.items()}
    held = []
    for edge_s in np.arange(100.0, 401.0, 100.0):
        part = {name: s.between(edge_s - 100.0, edge_s) for name, s in samples.items()}
        segmenter.feed(part, edge_s)
        held.append(segmenter.kept * EVERY_S / len(steady))
    return held


def test_ten_seconds_before_a_candidate() -> None:
    assert held_s(speed=850.0, pedal=0.0) == pytest.approx([10.0] * 4, abs=0.2)


def test_a_minute_of_full_demand_without_a_sweep() -> None:
    """A diesel's manifold never shows vacuum: pressure alone says full demand all day."""
    assert held_s(speed=850.0, manifold=99.0) == pytest.approx([60.0] * 4, abs=0.5)
