"""The segmenter on signals whose bounds are known by construction."""

from collections.abc import Sequence

import numpy as np
import pytest

from analysis.events import Phase, PullEnded, PullStarted, SegmenterEvent
from analysis.pull import EndReason, SectionKind
from analysis.segmenter import Segmenter
from decode.quantities import Quantity
from decode.samples import Channel, SampleBatch, Samples

Points = Sequence[tuple[float, float]]

HOLD_SWEEP_LIFT: Points = [(0, 2000), (8, 2000), (17, 6500), (17.5, 6400), (20, 2000), (25, 1000)]
FULL_FROM_5_TO_17: Points = [(0, 15), (5, 15), (5.2, 84), (17, 84), (17.15, 0), (25, 0)]

CHANNELS = {
    "speed": Channel("speed", "rpm", Quantity.ENGINE_SPEED),
    "pedal": Channel("pedal", "%", Quantity.PEDAL_POSITION),
    "roller": Channel("roller", "km/h", Quantity.ROLLER_SPEED),
}


def signal(points: Points, rate_hz: float, noise: float, seed: int) -> Samples:
    """A line through the points, sampled with noise."""
    at_s, value = zip(*points, strict=True)
    time_s = np.arange(0.0, at_s[-1], 1.0 / rate_hz)
    scatter = np.random.default_rng(seed).normal(0.0, noise, len(time_s))
    return Samples(time_s, np.interp(time_s, at_s, value) + scatter)


def session(speed: Points, pedal: Points) -> SampleBatch:
    """Engine speed at 100 Hz, pedal and roller at 50 Hz, the roller in a fixed gear."""
    roller = signal(speed, 50.0, 0.0, 3)
    return {
        "speed": signal(speed, 100.0, 8.0, 1),
        "pedal": signal(pedal, 50.0, 0.3, 2),
        "roller": Samples(roller.time_s, roller.value / 50.0),
    }


def run(batch: SampleBatch, cut_s: float | None = None) -> list[SegmenterEvent]:
    """All events of a session, fed whole or cut into pieces of cut_s."""
    segmenter = Segmenter(CHANNELS)
    end_s = max(samples.time_s[-1] for samples in batch.values())
    edges = [np.inf] if cut_s is None else [*np.arange(cut_s, end_s, cut_s), np.inf]
    events: list[SegmenterEvent] = []
    start_s = -np.inf
    for edge_s in edges:
        part = {name: samples.between(start_s, edge_s) for name, samples in batch.items()}
        events += segmenter.feed(part, min(edge_s, end_s))
        start_s = edge_s
    return events + segmenter.finish()


def test_the_sweep_starts_where_it_leaves_the_hold_and_ends_at_the_lift() -> None:
    started, ended = run(session(HOLD_SWEEP_LIFT, FULL_FROM_5_TO_17))
    assert isinstance(started, PullStarted)
    assert isinstance(ended, PullEnded)
    bounds = ended.bounds
    assert bounds.start_s == pytest.approx(8.0, abs=0.05)
    assert bounds.end_s == pytest.approx(17.0, abs=0.05)
    assert bounds.start_rpm == pytest.approx(2000.0, abs=25.0)
    assert bounds.end_rpm == pytest.approx(6500.0, abs=25.0)
    assert bounds.complete
    assert bounds.end_reason is EndReason.LIFT
    assert [section.kind for section in bounds.sections] == [
        SectionKind.HOLD,
        SectionKind.SWEEP,
        SectionKind.LIFT,
    ]
    assert ended.announced_s - bounds.end_s < 0.3


@pytest.mark.parametrize("cut_s", [0.007, 0.1, 1.3])
def test_the_cut_into_batches_changes_nothing(cut_s: float) -> None:
    whole = session(HOLD_SWEEP_LIFT, FULL_FROM_5_TO_17)
    assert run(whole, cut_s) == run(whole)


def test_the_phase_follows_the_car() -> None:
    segmenter = Segmenter(CHANNELS)
    whole = session(HOLD_SWEEP_LIFT, FULL_FROM_5_TO_17)
    phases = []
    for edge_s in (4.0, 7.0, 12.0, 17.5, 24.9):
        part = {name: samples.between(edge_s - 10.0, edge_s) for name, samples in whole.items()}
        segmenter.feed(part, edge_s)
        phases.append(segmenter.phase)
    assert phases == [Phase.IDLE, Phase.HOLD, Phase.SWEEP, Phase.DONE, Phase.IDLE]
