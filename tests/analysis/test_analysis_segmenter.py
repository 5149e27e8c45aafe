"""The segmenter's contract: bounds, phases, announcement, and that batches decide nothing."""

import numpy as np
import pytest
from drawn_sessions import CHANNELS, Points, refusals, run, session

from analysis.model.events import Phase, PullEnded, PullStarted
from analysis.model.pull import EndReason, Refused, SectionKind
from analysis.segmenting.segmenter import Segmenter
from decode.samples import Samples

HOLD_SWEEP_LIFT: Points = [(0, 2000), (8, 2000), (17, 6500), (17.5, 6400), (20, 2000), (25, 1000)]
FULL_FROM_5_TO_17: Points = [(0, 15), (5, 15), (5.2, 84), (17, 84), (17.15, 0), (25, 0)]
WHOLE = session(speed=HOLD_SWEEP_LIFT, pedal=FULL_FROM_5_TO_17)


def test_the_sweep_starts_where_it_leaves_the_hold_and_ends_at_the_lift() -> None:
    started, ended = run(WHOLE)
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
    assert ended.announced_s - 17.0 == pytest.approx(0.12, abs=0.015)


@pytest.mark.parametrize(("held_rpm", "told_rpm"), [(1000.0, 1100.0), (4000.0, 4200.0)])
def test_a_sweep_is_told_once_it_is_clearly_above_its_hold(
    held_rpm: float, told_rpm: float
) -> None:
    """By 100 rpm, or by a twentieth where that is more."""
    speed: Points = [(0, held_rpm), (8, held_rpm), (14, 6500), (14.5, 6400), (20, 1000)]
    pedal: Points = [(0, 15), (5, 15), (5.2, 84), (14, 84), (14.15, 0), (20, 0)]
    started = run(session(speed=speed, pedal=pedal))[0]
    assert isinstance(started, PullStarted)
    assert started.start_rpm == pytest.approx(told_rpm, abs=30.0)


@pytest.mark.parametrize("cut_s", [0.007, 0.1, 1.3])
def test_the_cut_into_batches_changes_nothing(cut_s: float) -> None:
    assert run(WHOLE, cut_s) == run(WHOLE)


def test_the_cut_does_not_move_what_is_told_between_slow_readings() -> None:
    """Looks at ticks without a reading would depend on where the batches end."""
    rates = {"speed": 2.3, "throttle": 3.1, "pedal": 2.7, "roller": 1.7}
    flap = session(
        rates,
        speed=[(0, 800), (30, 800)],
        throttle=[(0, 83), (30, 83)],
        pedal=[(0, 0), (30, 0)],
        roller=[(0, 0), (30, 0)],
    )
    (told,) = refusals(run(flap))
    assert "does not behave like a throttle" in told
    assert run(flap, 0.01) == run(flap)


def test_a_batch_a_channel_as_replayed_changes_nothing() -> None:
    """A recording hands over one source after the other, each up to its own newest sample."""
    segmenter = Segmenter({name: CHANNELS[name] for name in WHOLE})
    events, now_s = [], 0.0
    for edge_s in np.arange(0.05, 25.1, 0.05):
        for name, samples in WHOLE.items():
            part = samples.between(edge_s - 0.05, edge_s)
            now_s = max([now_s, *part.time_s.tolist()])
            events += segmenter.feed({name: part}, now_s)
    assert events + segmenter.finish() == run(WHOLE)


def test_the_phase_follows_the_car() -> None:
    segmenter = Segmenter({name: CHANNELS[name] for name in WHOLE})
    phases, before_s = [], 0.0
    for edge_s in (4.0, 7.0, 12.0, 17.5, 24.9):
        part = {name: samples.between(before_s, edge_s) for name, samples in WHOLE.items()}
        segmenter.feed(part, edge_s)
        phases.append(segmenter.phase)
        before_s = edge_s
    assert phases == [Phase.IDLE, Phase.HOLD, Phase.SWEEP, Phase.DONE, Phase.IDLE]


def test_duplicate_and_swapped_stamps_change_nothing() -> None:
    order = np.arange(len(WHOLE["speed"]))
    swapped = order.copy()
    swapped[100:2000:7], swapped[101:2001:7] = order[101:2001:7], order[100:2000:7]
    twice = np.repeat(swapped, 1 + (swapped % 11 == 0))
    speed = WHOLE["speed"]
    batch = {**WHOLE, "speed": Samples(speed.time_s[twice], speed.value[twice])}
    assert run(batch) == run(WHOLE)


@pytest.mark.parametrize(
    ("mapped", "spoken", "said"),
    [
        ({"pedal"}, {"pedal"}, "the map needs an engine_speed channel"),
        ({"speed", "pedal"}, {"pedal"}, "silent: speed"),
        ({"speed"}, {"speed"}, "the map needs pedal_position"),
        ({"speed", "pedal"}, {"speed"}, "silent: pedal"),
        (set(), {"oil"}, "the map needs an engine_speed channel"),
    ],
)
def test_a_session_without_a_needed_channel_is_refused_once(
    mapped: set[str], spoken: set[str], said: str
) -> None:
    segmenter = Segmenter({name: CHANNELS[name] for name in mapped})
    samples = {name: WHOLE.get(name, WHOLE["speed"]) for name in spoken}
    (refused,) = segmenter.feed(samples, 25.0) + segmenter.finish()
    assert isinstance(refused, Refused)
    assert (refused.start_s, refused.end_s) == (0.0, 25.0)
    assert said in str(refused.reason)


def test_an_empty_session_is_nothing() -> None:
    segmenter = Segmenter(CHANNELS)
    assert segmenter.feed({}, 5.0) + segmenter.finish() == []
