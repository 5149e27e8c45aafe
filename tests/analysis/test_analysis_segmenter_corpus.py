"""A few sessions of every kind of the simulated corpus; the whole of it is in tests/benchmarks."""

from functools import cache

import numpy as np
import pytest

from analysis.model.events import PullEnded
from analysis.segmenting.segmenter import Segmenter
from simulators.corpus import TUNING, WITHOUT_PULLS, Kind, draw
from simulators.corpus_session import CorpusSession, play

SEED = 42
KINDS = [kind for kind in Kind if kind is not Kind.DRIVING]
SLOW_TO_TELL = {  # what could show the end comes late: readings far apart, or a slow foot
    Kind.POLLED,
    Kind.SLOW_PEDAL,
    Kind.DROPOUTS,
    Kind.NO_PEDAL,
    Kind.CLOSURE_NO_PEDAL,
    Kind.NO_THROTTLE,
}


@cache
def played(kind: Kind) -> CorpusSession:
    return play(draw(kind, SEED, TUNING))


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name.lower())
def test_every_kind(kind: Kind) -> None:
    session = played(kind)
    segmenter = Segmenter(session.channels, session.top_rpm)
    end_s = max(float(np.max(s.time_s)) for s in session.samples.values())
    events = segmenter.feed(session.samples, end_s) + segmenter.finish()
    ended = [event for event in events if isinstance(event, PullEnded)]
    assert len(ended) == len(session.pulls)
    assert (kind in WITHOUT_PULLS) == (not ended)
    for event, true in zip(ended, session.pulls, strict=True):
        bounds = event.bounds
        assert bounds.start_s == pytest.approx(true.start_s, abs=0.15)
        assert bounds.end_s == pytest.approx(true.end_s, abs=0.15)
        assert bounds.complete == true.complete
        if kind not in SLOW_TO_TELL:
            assert event.announced_s - true.end_s < 0.3
