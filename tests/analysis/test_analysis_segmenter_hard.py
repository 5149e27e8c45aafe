"""The hard cases, one by one, on signals whose bounds are known by construction."""

import numpy as np
import pytest
from drawn_sessions import CHANNELS, Points, pulls, refusals, run, session

from analysis.model.events import PullEnded
from analysis.model.pull import EndReason, SectionKind
from analysis.segmenting.segmenter import Segmenter
from decode.quantities import Quantity
from decode.samples import Samples

FULL: Points = [(0, 15), (5, 15), (5.2, 100), (17, 100), (17.15, 0), (30, 0)]
SWEEP: Points = [(0, 2000), (8, 2000), (17, 6500), (17.5, 6400), (20, 2000), (30, 1000)]


@pytest.mark.parametrize("ramp_s", [3.0, 9.0, 40.0])
def test_fast_and_slow_ramps(ramp_s: float) -> None:
    end_s = 8.0 + ramp_s
    speed: Points = [(0, 2000), (8, 2000), (end_s, 6500), (end_s + 3, 2000), (end_s + 6, 1000)]
    pedal: Points = [(0, 15), (5, 15), (5.2, 100), (end_s, 100), (end_s + 0.15, 0), (end_s + 6, 0)]
    (bounds,) = pulls(run(session(speed=speed, pedal=pedal)))
    assert bounds.start_s == pytest.approx(8.0, abs=0.1)
    assert bounds.end_s == pytest.approx(end_s, abs=0.05)


def test_a_pedal_that_ends_at_76_percent_is_learned_and_said() -> None:
    pedal = [(at_s, 0.76 * percent) for at_s, percent in FULL]
    (bounds,) = pulls(run(session(speed=SWEEP, pedal=pedal)))
    assert bounds.full_open == pytest.approx(77.0, abs=2.0)
    assert any("learned" in note.text for note in bounds.notes)


def test_a_closure_by_the_ecu_is_inside_one_pull() -> None:
    speed: Points = [
        (0, 2000),
        (8, 2000),
        (12, 4000),
        (13, 4020),
        (18, 6500),
        (20, 3000),
        (25, 1000),
    ]
    pedal: Points = [(0, 15), (5, 15), (5.2, 100), (18, 100), (18.1, 0), (25, 0)]
    throttle: Points = [
        *((0, 10), (5, 10), (5.3, 88), (12, 88), (12.1, 40), (12.9, 40), (13.1, 88)),
        *((18, 88), (18.1, 2), (25, 2)),
    ]
    (bounds,) = pulls(run(session(speed=speed, pedal=pedal, throttle=throttle)))
    (closure,) = [s for s in bounds.sections if s.kind is SectionKind.CLOSURE]
    assert closure.start_s == pytest.approx(12.03, abs=0.1)
    assert closure.end_s == pytest.approx(13.1, abs=0.1)
    (alone,) = pulls(run(session(speed=speed, throttle=throttle)))
    assert alone.intent is Quantity.THROTTLE_POSITION
    assert (alone.start_s, alone.end_s) == pytest.approx((bounds.start_s, bounds.end_s), abs=0.15)


@pytest.mark.parametrize(("left_open", "end_s"), [(20.0, 17.0), (9.0, 12.0)])
def test_a_throttle_alone_is_lifted_where_protection_never_closes_it(
    left_open: float, end_s: float
) -> None:
    throttle: Points = [
        *((0, 10), (5, 10), (5.2, 100), (12, 100), (12.1, left_open), (12.6, left_open)),
        *((12.7, 100), (17, 100), (17.1, 0), (30, 0)),
    ]
    first, *_ = pulls(run(session(speed=SWEEP, throttle=throttle)))
    assert first.end_s == pytest.approx(end_s, abs=0.15)


def test_one_broken_reading_of_the_pedal_splits_nothing() -> None:
    drawn = session(speed=SWEEP, pedal=FULL)
    drawn["pedal"].value[600] = 0.0
    (bounds,) = pulls(run(drawn))
    assert (bounds.start_s, bounds.end_s) == pytest.approx((8.0, 17.0), abs=0.1)


def test_a_lift_and_a_second_try_are_two_the_first_incomplete() -> None:
    speed: Points = [
        *((0, 2000), (8, 2000), (11, 3500), (11.3, 3300), (12, 3000)),
        *((19, 6500), (21, 3000), (25, 1000)),
    ]
    pedal: Points = [
        *((0, 15), (5, 15), (5.2, 100), (11, 100), (11.1, 0), (11.9, 0)),
        *((12, 100), (19, 100), (19.1, 0), (25, 0)),
    ]
    first, second = pulls(run(session(speed=speed, pedal=pedal), top_rpm=6800.0))
    assert not first.complete
    assert second.complete
    assert second.start_s == pytest.approx(12.0, abs=0.1)


def test_an_aborted_pull_is_kept_and_incomplete() -> None:
    speed: Points = [(0, 2000), (8, 2000), (11, 3500), (13, 2000), (20, 1000)]
    pedal: Points = [(0, 15), (5, 15), (5.2, 100), (11, 100), (11.1, 0), (20, 0)]
    (bounds,) = pulls(run(session(speed=speed, pedal=pedal)))
    assert not bounds.complete
    assert bounds.end_s == pytest.approx(11.0, abs=0.05)


def test_a_gear_change_at_full_pedal_makes_two() -> None:
    speed: Points = [
        *((0, 2000), (5, 2000), (10, 6200), (10.3, 4300), (18, 6200)),
        *((20, 3000), (25, 1000)),
    ]
    pedal: Points = [(0, 15), (5, 15), (5.1, 100), (18, 100), (18.1, 0), (25, 0)]
    road: Points = [(0, 40), (5, 40), (10, 124), (10.3, 125), (18, 180), (25, 100)]
    first, second = pulls(run(session(speed=speed, pedal=pedal, roller=road)))
    assert first.end_reason is EndReason.GEAR_CHANGE
    assert first.end_s == pytest.approx(10.0, abs=0.1)
    assert second.start_s == pytest.approx(10.3, abs=0.15)
    assert second.end_reason is EndReason.LIFT


@pytest.mark.parametrize("beside", ["throttle", "manifold", ""])
def test_the_limiter_ends_the_pull_at_its_first_cut(beside: str) -> None:
    """An open throttle, or a manifold as full as before, shows that nothing closes: it is told at
    once. With neither the first one met is told by the second cut."""
    bounce: list[tuple[float, float]] = []
    for index in range(6):
        bounce += [(15.0 + 0.3 * index, 6800), (15.15 + 0.3 * index, 6700)]
    speed: Points = [(0, 2000), (6, 2000), *bounce, (19, 3000), (24, 1000)]
    pedal: Points = [(0, 15), (4, 15), (4.2, 100), (16.7, 100), (16.8, 0), (24, 0)]
    drawn: dict[str, Points] = {"speed": speed, "pedal": pedal}
    if beside == "throttle":
        drawn["throttle"] = pedal
    if beside == "manifold":
        drawn["manifold"] = [(0, 40), (4, 40), (5, 220), (16.7, 210), (17, 40), (24, 35)]
    events = run(session(None, **drawn))
    (bounds,) = pulls(events)
    assert bounds.end_reason is EndReason.LIMITER
    assert bounds.complete
    assert bounds.end_s == pytest.approx(15.0, abs=0.08)
    (ended,) = [event for event in events if isinstance(event, PullEnded)]
    assert ended.announced_s - 15.0 < (0.3 if beside else 1.0)
    (again,) = [e for e in run(session(None, **drawn), top_rpm=6800.0) if isinstance(e, PullEnded)]
    assert again.announced_s - 15.0 < 0.3


def test_a_roller_that_only_trembles_does_not_hold_back_the_limiter() -> None:
    """The engine stands at its limiter; the roller gains 0.3 km/h a second, where it gained 10."""
    speed: Points = [(0, 2000), (6, 2000), (15, 6800), (16.7, 6800), (19, 3000), (24, 1000)]
    pedal: Points = [(0, 15), (4, 15), (4.2, 100), (16.7, 100), (16.8, 0), (24, 0)]
    roller: Points = [(0, 40), (6, 40), (15, 136), (16.7, 136.5), (19, 60), (24, 20)]
    events = run(session(speed=speed, pedal=pedal, throttle=pedal, roller=roller))
    (ended,) = [event for event in events if isinstance(event, PullEnded)]
    assert ended.bounds.end_s == pytest.approx(15.0, abs=0.08)
    assert ended.announced_s - 15.0 < 0.35


def test_a_top_that_is_shaken_is_a_limiter() -> None:
    """It bounces ten times a second, too fast for the smoothed speed to fall."""
    bounce: Points = [(15 + 0.05 * i, 6772 if i % 2 else 6828) for i in range(34)]
    speed: Points = [(0, 2000), (6, 2000), (15, 6800), *bounce[1:], (19, 3000), (24, 1000)]
    pedal: Points = [(0, 15), (4, 15), (4.2, 100), (16.7, 100), (16.8, 0), (24, 0)]
    (bounds,) = pulls(run(session(speed=speed, pedal=pedal, throttle=pedal)))
    assert bounds.end_reason is EndReason.LIMITER
    assert bounds.end_s == pytest.approx(15.0, abs=0.1)


def test_free_revving_is_refused() -> None:
    speed: Points = [(0, 900), (4, 900), (5.5, 5500), (7, 900), (12, 900)]
    pedal: Points = [(0, 0), (4, 0), (4.1, 100), (5.5, 100), (5.6, 0), (12, 0)]
    still: Points = [(0, 0), (12, 0)]
    events = run(session(speed=speed, pedal=pedal, roller=still))
    assert pulls(events) == []
    assert "free-revving" in refusals(events)[0]


def test_free_revving_without_any_road_speed_is_told_by_its_slope() -> None:
    speed: Points = [(0, 900), (4, 900), (5.3, 5900), (7, 900), (12, 900)]
    pedal: Points = [(0, 0), (4, 0), (4.05, 100), (5.4, 100), (5.5, 0), (12, 0)]
    batch = session(speed=speed, pedal=pedal)
    del batch["roller"]
    events = run(batch)
    assert pulls(events) == []
    assert len(refusals(events)) == 1


def test_a_tip_in_and_a_hold_are_refused_with_the_rise() -> None:
    speed: Points = [(0, 2200), (5, 2200), (5.6, 2290), (7, 2200), (9, 2200), (15, 2200)]
    pedal: Points = [
        *((0, 15), (5, 15), (5.1, 100), (5.6, 100), (5.7, 15)),
        *((9, 15), (9.2, 100), (13, 100), (13.2, 15), (15, 15)),
    ]
    events = run(session(speed=speed, pedal=pedal))
    assert pulls(events) == []
    assert [reason.split(":")[0] for reason in refusals(events)] == ["no sweep", "no sweep"]


def test_wheelspin_is_part_of_the_pull() -> None:
    speed: Points = [
        *((0, 2000), (8, 2000), (11, 3500), (11.4, 4100), (12.0, 3950)),
        *((17, 6500), (20, 2000), (25, 1000)),
    ]
    roller: Points = [(0, 40), (8, 40), (17, 130), (20, 40), (25, 20)]
    drawn = session(speed=speed, pedal=FULL, throttle=FULL, roller=roller)
    (bounds,) = pulls(run(drawn))
    assert (bounds.start_s, bounds.end_s) == pytest.approx((8.0, 17.0), abs=0.1)


def test_cruise_control_without_a_pedal_is_none() -> None:
    speed: Points = [(0, 2600), (20, 2600), (25, 2450), (32, 2650), (60, 2600)]
    throttle: Points = [(0, 30), (20, 30), (23, 88), (31, 88), (33, 30), (60, 30)]
    assert pulls(run(session(speed=speed, throttle=throttle))) == []


@pytest.mark.parametrize("pedal_hz", [5.0, 3.0])
def test_a_slow_pedal_is_placed_by_the_engine_speed(pedal_hz: float) -> None:
    (bounds,) = pulls(run(session({"pedal": pedal_hz}, speed=SWEEP, pedal=FULL)))
    assert bounds.start_s == pytest.approx(8.0, abs=0.1)
    assert bounds.end_s == pytest.approx(17.0, abs=0.1)


@pytest.mark.parametrize("speed_hz", [50.0, 4.0])
def test_a_slow_lift_is_told_soon_after_the_first_reading_that_shows_it(speed_hz: float) -> None:
    drawn = session({"pedal": 4.0, "speed": speed_hz}, speed=SWEEP, pedal=FULL)
    pedal = drawn["pedal"]
    shows_s = float(pedal.time_s[(pedal.time_s > 17.0) & (pedal.value < 90.0)][0])
    (ended,) = [event for event in run(drawn) if isinstance(event, PullEnded)]
    assert 0.0 < ended.announced_s - shows_s < 0.3
    assert ended.bounds.end_s == pytest.approx(17.0, abs=0.15)


@pytest.mark.parametrize(("sunk", "end_s"), [(89.0, 17.0), (80.0, 12.0)])
def test_a_foot_that_sinks_a_little_and_comes_back_splits_nothing(
    sunk: float, end_s: float
) -> None:
    pedal: Points = [
        *((0, 15), (5, 15), (5.2, 100), (12, 100), (12.1, sunk), (14, sunk)),
        *((14.1, 100), (17, 100), (17.15, 0), (30, 0)),
    ]
    first, *_ = pulls(run(session(speed=SWEEP, pedal=pedal)))
    assert first.end_s == pytest.approx(end_s, abs=0.1)


def test_everything_polled_and_written_often_is_a_staircase() -> None:
    """Readings every 0.9 s, each written ten times."""
    speed: Points = [(0, 1800), (10, 1800), (40, 3600), (43, 3000), (60, 1500)]
    pedal: Points = [(0, 15), (10, 15), (10.2, 78), (40, 78), (40.1, 14), (60, 14)]
    slow = {"speed": 1 / 0.9, "pedal": 1 / 0.9, "roller": 1 / 0.9}
    drawn = session(slow, speed=speed, pedal=pedal)
    often = {
        name: Samples(
            (samples.time_s[:, None] + 0.09 * np.arange(10)).ravel(), np.repeat(samples.value, 10)
        )
        for name, samples in drawn.items()
    }
    (bounds,) = pulls(run(often))
    assert (bounds.start_s, bounds.end_s) == pytest.approx((10.0, 40.0), abs=1.0)
    assert any("comes only every 0.9 s" in note.text for note in bounds.notes)


def test_without_pedal_and_throttle_pressure_stands_in_and_that_is_said() -> None:
    pressure: Points = [(0, 40), (5, 40), (6, 130), (9, 220), (17, 210), (17.2, 40), (30, 35)]
    (bounds,) = pulls(run(session(speed=SWEEP, manifold=pressure)))
    assert bounds.intent is Quantity.MANIFOLD_PRESSURE
    assert "no pedal or throttle channel" in bounds.notes[0].text
    assert (bounds.start_s, bounds.end_s) == pytest.approx((8.0, 17.0), abs=0.2)


def test_a_turbo_that_keeps_its_pressure_does_not_keep_a_lift_secret() -> None:
    """A diesel's manifold is at half load 0.5 s after the lift; the engine has slowed by then."""
    pressure: Points = [*((0, 100), (5, 100), (6, 130), (9, 220), (17, 220)), (18, 110), (30, 100)]
    speed: Points = [(0, 2000), (8, 2000), (17, 6500), (18, 5700), (22, 2000), (30, 1000)]
    events = run(session(speed=speed, manifold=pressure))
    (ended,) = [event for event in events if isinstance(event, PullEnded)]
    assert ended.bounds.end_reason is EndReason.LIFT
    assert ended.bounds.end_s == pytest.approx(17.0, abs=0.1)
    assert ended.announced_s - 17.0 < 0.4
    assert len(refusals(events)) == 0


def test_noise_spikes_and_missing_readings_split_nothing() -> None:
    drawn = session(speed=SWEEP, pedal=FULL)
    speed = drawn["speed"]
    value = speed.value + np.random.default_rng(9).normal(0.0, 25.0, len(speed))
    value[1000:1700:90] += 6000.0
    keep = (speed.time_s < 12.0) | (speed.time_s > 12.8)
    noisy = {**drawn, "speed": Samples(speed.time_s[keep], value[keep])}
    (bounds,) = pulls(run(noisy))
    assert (bounds.start_s, bounds.end_s) == pytest.approx((8.0, 17.0), abs=0.1)
    assert any("missing for 0.8 s" in note.text for note in bounds.notes)


def test_a_session_that_starts_inside_says_so() -> None:
    drawn = {n: s.between(11.0, 30.0) for n, s in session(speed=SWEEP, pedal=FULL).items()}
    (bounds,) = pulls(run(drawn))
    assert bounds.start_s == pytest.approx(11.0, abs=0.05)
    assert not bounds.complete
    assert any("begins inside" in note.text for note in bounds.notes)


def test_a_session_that_ends_inside_closes_the_pull() -> None:
    drawn = {n: s.between(0.0, 14.0) for n, s in session(speed=SWEEP, pedal=FULL).items()}
    (bounds,) = pulls(run(drawn))
    assert bounds.end_reason is EndReason.SESSION_END
    assert bounds.end_s == pytest.approx(14.0, abs=0.05)
    assert not bounds.complete


def test_a_source_that_goes_ends_the_pull() -> None:
    drawn = session(speed=SWEEP, pedal=FULL)
    drawn["speed"] = drawn["speed"].between(0.0, 13.0)
    (bounds,) = pulls(run(drawn))
    assert bounds.end_reason is EndReason.SOURCE_LOST
    assert bounds.end_s == pytest.approx(13.0, abs=0.05)


def test_a_dyno_that_holds_at_the_top_ends_the_pull_where_the_rise_stops() -> None:
    speed: Points = [(0, 2000), (8, 2000), (17, 6500), (21, 6500), (24, 2000), (30, 1000)]
    pedal: Points = [(0, 15), (5, 15), (5.2, 100), (21, 100), (21.1, 0), (30, 0)]
    (bounds,) = pulls(run(session(speed=speed, pedal=pedal, throttle=pedal)))
    assert bounds.end_reason is EndReason.STALLED
    assert bounds.end_s == pytest.approx(17.0, abs=0.1)


def test_an_intake_flap_is_not_the_drivers_throttle() -> None:
    speed: Points = [(0, 800), (20, 800), (30, 2500), (40, 800), (50, 2500), (60, 800), (70, 800)]
    flap: Points = [(0, 83), (70, 83)]
    events = run(session(speed=speed, throttle=flap))
    assert pulls(events) == []
    assert any("does not behave like a throttle" in reason for reason in refusals(events))


def test_a_pedal_that_is_mapped_but_silent_leaves_the_word_to_the_throttle() -> None:
    drawn = session(speed=SWEEP, throttle=FULL)
    silent = {**drawn, "pedal": Samples(np.empty(0), np.empty(0))}
    (bounds,) = pulls(run({name: samples for name, samples in silent.items() if len(samples)}))
    segmenter = Segmenter({name: CHANNELS[name] for name in silent})
    (same,) = pulls(segmenter.feed(drawn, 30.0) + segmenter.finish())
    assert same == bounds
    assert same.intent is Quantity.THROTTLE_POSITION


@pytest.mark.parametrize("away_s", [(7.5, 10.0), (6.0, 11.0), (0.5, 11.0)])
def test_a_pull_whose_beginning_fell_into_a_silence_is_not_complete(
    away_s: tuple[float, float],
) -> None:
    """The adapter was away while the sweep began: what comes afterwards is no whole pull."""
    start_s, back_s = away_s
    samples = {
        name: Samples(each.time_s[there], each.value[there])
        for name, each in session(speed=SWEEP, pedal=FULL).items()
        if (there := (each.time_s < start_s) | (each.time_s >= back_s)).any()
    }
    (bounds,) = pulls(run(samples))
    assert bounds.end_s == pytest.approx(17.0, abs=0.1)
    assert not bounds.complete
    (note,) = [note for note in bounds.notes if "the beginning is missing" in note.text]
    assert "the session begins" not in note.text
    whole = pulls(run(session(speed=SWEEP, pedal=FULL)))
    assert [bounds.complete for bounds in whole] == [True]


def test_a_silence_in_the_hold_takes_nothing_from_the_pull() -> None:
    samples = {
        name: Samples(each.time_s[there], each.value[there])
        for name, each in session(speed=SWEEP, pedal=FULL).items()
        if (there := (each.time_s < 5.8) | (each.time_s >= 6.8)).any()
    }
    (bounds,) = pulls(run(samples))
    assert bounds.complete
    assert bounds.start_s == pytest.approx(8.0, abs=0.1)


def test_a_silence_in_the_sweep_is_no_hold() -> None:
    """What waited comes behind it, so that engine speed seems to have stood still meanwhile."""
    drawn = session(speed=SWEEP, pedal=FULL)
    samples = {
        name: Samples(each.time_s[there], each.value[there])
        for name, each in drawn.items()
        if (there := (each.time_s < 9.5) | (each.time_s >= 10.3)).any()
    }
    speed = samples["speed"]
    value = speed.value.copy()
    back = int(np.searchsorted(speed.time_s, 10.3))
    value[back] = value[back - 1]
    (bounds,) = pulls(run({**samples, "speed": Samples(speed.time_s, value)}))
    assert bounds.start_s == pytest.approx(8.0, abs=0.1)
    assert bounds.complete
