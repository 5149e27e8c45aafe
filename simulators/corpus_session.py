"""A case of the corpus, played: channels, samples as they arrive, and the true pulls."""

from dataclasses import dataclass

import numpy as np

from decode.samples import Channel, Samples
from simulators.corpus import Case
from simulators.disturbance import cut_pulls, cut_window, disturb
from simulators.session import simulate
from simulators.truth import TruePull


@dataclass(frozen=True)
class CorpusSession:
    """samples: in order of arrival, times need not ascend. top_rpm: the engine's limiter."""

    case: Case
    channels: dict[str, Channel]
    samples: dict[str, Samples]
    pulls: tuple[TruePull, ...]
    duration_s: float
    top_rpm: float


def play(case: Case) -> CorpusSession:
    """Simulate and disturb; the same case gives the same session."""
    clean = simulate(case.scenario, case.seed)
    start_s, end_s = cut_window(clean.truth.pulls, case.disturbance)
    cut = {name: samples.between(start_s, end_s) for name, samples in clean.samples.items()}
    random = np.random.default_rng([case.seed, 1])
    samples = disturb(cut, clean.channels, case.disturbance, random)
    return CorpusSession(
        case=case,
        channels=clean.channels,
        samples=samples,
        pulls=cut_pulls(clean.truth.pulls, start_s, end_s, clean.trace),
        duration_s=min(clean.truth.duration_s, end_s),
        top_rpm=case.scenario.car.engine.limiter_rpm,
    )
