"""Sessions drawn by hand: lines through points, sampled with noise; the segmenter run on them."""

from collections.abc import Mapping, Sequence

import numpy as np

from analysis.model.events import PullEnded, SegmenterEvent
from analysis.model.pull import PullBounds, Refused
from analysis.segmenting.segmenter import Segmenter
from decode.quantities import Quantity
from decode.samples import Channel, SampleBatch, Samples

Points = Sequence[tuple[float, float]]

CHANNELS = {
    "speed": Channel("speed", "rpm", Quantity.ENGINE_SPEED),
    "pedal": Channel("pedal", "%", Quantity.PEDAL_POSITION),
    "throttle": Channel("throttle", "%", Quantity.THROTTLE_POSITION),
    "manifold": Channel("manifold", "kPa", Quantity.MANIFOLD_PRESSURE),
    "roller": Channel("roller", "km/h", Quantity.ROLLER_SPEED),
}
NOISE = {"speed": 8.0, "pedal": 0.3, "throttle": 0.3, "manifold": 0.5, "roller": 0.01}
RATE_HZ = {"speed": 100.0, "pedal": 50.0, "throttle": 50.0, "manifold": 50.0, "roller": 50.0}
RPM_PER_KMH = 50.0


def signal(points: Points, rate_hz: float, noise: float, seed: int) -> Samples:
    """A line through the points, sampled with noise."""
    at_s, value = zip(*points, strict=True)
    time_s = np.arange(at_s[0], at_s[-1], 1.0 / rate_hz)
    scatter = np.random.default_rng(seed).normal(0.0, noise, len(time_s))
    return Samples(time_s, np.interp(time_s, at_s, value) + scatter)


def session(rates: Mapping[str, float] | None = None, **points: Points) -> dict[str, Samples]:
    """One channel a keyword; the roller turns in a fixed gear unless it is drawn too."""
    drawn = dict(points)
    if "roller" not in drawn:
        drawn["roller"] = [(at_s, rpm / RPM_PER_KMH) for at_s, rpm in drawn["speed"]]
    rate_hz = {**RATE_HZ, **(rates or {})}
    return {
        name: signal(line, rate_hz[name], NOISE[name], seed)
        for seed, (name, line) in enumerate(drawn.items())
    }


def run(
    batch: SampleBatch, cut_s: float | None = None, top_rpm: float | None = None
) -> list[SegmenterEvent]:
    """All events of a session, fed whole or cut into pieces of cut_s."""
    segmenter = Segmenter({name: CHANNELS[name] for name in batch}, top_rpm)
    end_s = max(samples.time_s[-1] for samples in batch.values())
    edges = [np.inf] if cut_s is None else [*np.arange(cut_s, end_s, cut_s), np.inf]
    events: list[SegmenterEvent] = []
    start_s = -np.inf
    for edge_s in edges:
        part = {name: samples.between(start_s, edge_s) for name, samples in batch.items()}
        events += segmenter.feed(part, min(edge_s, end_s))
        start_s = edge_s
    return events + segmenter.finish()


def pulls(events: Sequence[SegmenterEvent]) -> list[PullBounds]:
    """The bounds of the pulls among the events."""
    return [event.bounds for event in events if isinstance(event, PullEnded)]


def refusals(events: Sequence[SegmenterEvent]) -> list[str]:
    """The reasons among the events."""
    return [event.reason.text for event in events if isinstance(event, Refused)]
