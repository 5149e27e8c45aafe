"""Which channel speaks for the driver, and what the road says beside the engine."""

import numpy as np
import pytest
from drawn_sessions import CHANNELS, Points, signal

from analysis.segmenting.signals import Signals
from decode.samples import Samples


@pytest.mark.parametrize(("now_s", "stands_in"), [(58.0, False), (62.0, True)])
def test_pressure_stands_in_for_a_mapped_pedal_that_stays_silent_for_a_minute(
    now_s: float, stands_in: bool
) -> None:
    """An ECU without ignition answers late."""
    signals = Signals({name: CHANNELS[name] for name in ("pedal", "manifold")})
    time_s = np.arange(0.0, 70.0, 0.1)
    signals.put({"manifold": Samples(time_s, np.full(len(time_s), 60.0))})
    signals.release(now_s)
    assert (signals.intent_at(now_s) is not None) == stands_in


@pytest.mark.parametrize(("after_kmh_s", "rises"), [(3.5, True), (1.5, False)])
def test_a_road_that_rises_a_quarter_as_fast_as_before_still_rises(
    after_kmh_s: float, rises: bool
) -> None:
    """Below that a roller only trembles on its tyre."""
    signals = Signals({name: CHANNELS[name] for name in ("speed", "roller")})
    road: Points = [(0, 0), (5, 50), (6, 50 + after_kmh_s)]
    signals.put({"roller": signal(road, 50.0, 0.0, 1)})
    signals.release(5.9)
    assert signals.road_rises(5.0, 5.5) == rises


def test_a_wheel_that_shuffles_on_its_shaft_still_rises() -> None:
    """Read 20 times a second, up and down by 0.7 km/h from reading to reading."""
    signals = Signals({name: CHANNELS[name] for name in ("speed", "roller")})
    time_s = np.arange(0.0, 6.0, 0.05)
    shuffle_kmh = np.where(np.arange(len(time_s)) % 2 == 0, 0.7, -0.7)
    signals.put({"roller": Samples(time_s, 10.0 * time_s + shuffle_kmh)})
    signals.release(6.0)
    looks_s = np.arange(5.2, 5.5, 0.02).tolist()
    assert all(signals.road_rises(5.1, now_s) for now_s in looks_s)
