"""The offset between two clocks on simulated pulls, where it is known."""

from collections.abc import Collection, Iterator
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from engine_pulls import engine_pull
from simulated_pulls import pull_of

from analysis.clocks.clock_alignment import ClockTrack, align, clock_statements
from analysis.clocks.clock_offset import Offset, estimate, offsets_of
from analysis.judging.limits_file import default_limits
from analysis.model.findings import Cause
from analysis.model.pull import Pull
from analysis.model.setup import Setup
from analysis.power.curve import power_curve
from analysis.session.analysis import SessionAnalysis, replay
from decode.channel_map import parse_map
from decode.quantities import HOUSE_UNIT, Quantity
from decode.records import RecordBatch, SessionInfo, SourceInfo, SourceKind
from decode.samples import Samples
from simulators.cars import CARS
from simulators.dyno import Braked, DynoModel, Inertia
from simulators.faults import Fault
from simulators.manoeuvres import Idle, Sweep
from simulators.scenario import Scenario, setup_of
from simulators.session import SimulatedSession, simulate

BRAKED, INERTIA = Braked(), Inertia()
SWEEP = Sweep(gear=4, start_rpm=1800.0, ramp_rpm_s=500.0, hold_s=2.0)


@cache
def session(car: int, dyno: DynoModel) -> SimulatedSession:
    return simulate(scenario(car, dyno), seed=car)


def scenario(car: int, dyno: DynoModel, *faults: Fault) -> Scenario:
    return Scenario(car=CARS[car], dyno=dyno, plan=(Idle(1.5), SWEEP, Idle(2.0)), faults=faults)


def pull_from(car: int, dyno: DynoModel, *faults: Fault) -> Pull:
    simulated = simulate(scenario(car, dyno, *faults), seed=car) if faults else session(car, dyno)
    return pull_of(simulated, simulated.truth.pulls[0])


def late(pull: Pull, offset_s: float, without: Collection[Quantity] = ()) -> Pull:
    channels = {n: c for n, c in pull.channels.items() if c.quantity not in without}
    samples = {
        n: Samples(pull.samples[n].time_s + offset_s * (c.source == "dyno"), pull.samples[n].value)
        for n, c in channels.items()
    }
    return replace(pull, channels=channels, samples=samples)


def measured(pull: Pull) -> Offset:
    (offset,) = offsets_of(pull)
    return offset


@pytest.mark.parametrize("offset_ms", [0, 10, -10, 50, -200, 600])
@pytest.mark.parametrize("dyno", [BRAKED, INERTIA])
@pytest.mark.parametrize("car", [0, 3])
def test_the_offset_is_found_though_the_tyre_slips(
    car: int, dyno: DynoModel, offset_ms: int
) -> None:
    found = measured(late(pull_from(car, dyno), offset_ms * 1e-3))
    assert found.source == "dyno"
    assert 1e3 * found.offset_s == pytest.approx(offset_ms, abs=4.0)
    assert 0.001 < found.uncertainty_s < 0.006


def test_without_any_torque_it_says_that_it_knows_less() -> None:
    torques = {Quantity.ROLLER_TORQUE, Quantity.WHEEL_TORQUE, Quantity.ENGINE_TORQUE}
    known = measured(pull_from(3, BRAKED))
    blind = measured(late(pull_from(3, BRAKED), 0.1, torques))
    assert blind.uncertainty_s > 2.0 * known.uncertainty_s
    assert abs(blind.offset_s - 0.1) < 2.0 * blind.uncertainty_s


def test_spinning_wheels_move_it_little() -> None:
    spinning = pull_from(0, BRAKED, Fault(Cause.TYRE_SLIP, 1.0))
    assert measured(late(spinning, 0.05)).offset_s == pytest.approx(0.05, abs=0.01)


@pytest.mark.parametrize("source", ["engine", "dyno"])
@pytest.mark.parametrize("dyno", [BRAKED, INERTIA])
def test_a_pause_over_the_knee_moves_it_little(dyno: DynoModel, source: str) -> None:
    pull = late(pull_from(3, dyno), 0.05)
    left_s = pull.bounds.start_s - 0.3
    samples = {
        name: Samples(each.time_s[there], each.value[there])
        for name, each in pull.samples.items()
        if (
            there := (each.time_s < left_s)
            | (each.time_s > left_s + 2.0)
            | (pull.channels[name].source != source)
        ).any()
    }
    found = measured(replace(pull, samples=samples))
    assert 1e3 * found.offset_s == pytest.approx(50.0, abs=12.0)


def broken(mode: str) -> Fault:
    return Fault(Cause.SENSOR_FAULT, 0.6, {"channel": "roller_speed", "mode": mode})


@pytest.mark.parametrize(
    "fault", [Fault(Cause.CLUTCH_SLIP, 0.6), broken("stuck"), broken("clipped"), broken("offset")]
)
def test_speeds_that_do_not_go_together_give_no_offset(fault: Fault) -> None:
    pull = pull_from(0, BRAKED, fault)
    assert offsets_of(pull) == []
    assert align(pull, {}).pull is pull


def test_a_pull_by_hand_without_any_slip() -> None:
    assert abs(measured(engine_pull()).offset_s) < 0.01
    roller = engine_pull().samples["roller"]
    moved = {**engine_pull().samples, "roller": Samples(roller.time_s + 0.3, roller.value)}
    found = measured(replace(engine_pull(), samples=moved))
    assert found.offset_s == pytest.approx(0.3, abs=0.01)


def test_one_source_has_no_offset_to_itself() -> None:
    pull = engine_pull()
    same = {n: replace(c, source="engine") for n, c in pull.channels.items()}
    assert offsets_of(replace(pull, channels=same)) == []


def test_a_roller_that_stands_and_too_few_samples_have_no_offset() -> None:
    time_s = np.arange(0.0, 10.0, 0.02)
    engine = Samples(time_s, 1500 + 300 * time_s)
    still = Samples(time_s, np.zeros(len(time_s)))
    assert estimate(engine, still, None, 1.0, 9.0) is None
    assert estimate(engine, still.between(0.0, 0.01), None, 1.0, 9.0) is None
    assert estimate(engine, engine, None, 4.0, 4.5) is None


def test_what_is_surely_off_is_moved_and_told() -> None:
    pull = pull_from(0, BRAKED)
    aligned = align(late(pull, 0.05), {})
    assert [offset.source for offset in aligned.moved] == ["dyno"]
    for name, channel in pull.channels.items():
        shift = aligned.pull.samples[name].time_s - pull.samples[name].time_s
        assert np.abs(shift).max() < (0.003 if channel.source == "dyno" else 1e-12)
    (moved_late,) = clock_statements(aligned.pull)
    assert moved_late.text.startswith("dyno came 50 ms late against engine speed (+-6 ms at 95 %)")


def test_what_may_be_nothing_is_left_alone() -> None:
    pull = pull_from(0, BRAKED)
    aligned = align(late(pull, 0.002), {})
    assert aligned.moved == ()
    assert clock_statements(aligned.pull) == []


def test_the_torque_curve_is_that_of_agreeing_clocks() -> None:
    setup = setup_of(Scenario(car=CARS[0], dyno=BRAKED))
    pull = pull_from(0, BRAKED)
    right = power_curve(pull, setup)
    wrong, mended = late(pull, 0.2), align(late(pull, 0.2), {}).pull
    assert right is not None

    def error(other: Pull) -> float:
        curve = power_curve(other, setup)
        assert curve is not None
        grid = np.arange(2500.0, 5500.0, 50.0)
        torques = [np.interp(grid, c.engine_speed_rpm, c.wheel_torque_nm) for c in (curve, right)]
        return float(np.abs(torques[0] / torques[1] - 1.0).max())

    assert error(wrong) > 0.015
    assert error(mended) < 0.003


def drifting(offsets_s: list[float]) -> Iterator[ClockTrack]:
    """What a session knows after each of its pulls, a minute apart."""
    tracks: dict[str, ClockTrack] = {}
    for number, offset_s in enumerate(offsets_s):
        pull = pull_from(0, BRAKED)
        bounds = replace(
            pull.bounds,
            start_s=pull.bounds.start_s + 60.0 * number,
            end_s=pull.bounds.end_s + 60.0 * number,
        )
        samples = {n: Samples(s.time_s + 60.0 * number, s.value) for n, s in pull.samples.items()}
        aligned = align(late(replace(pull, bounds=bounds, samples=samples), offset_s), tracks)
        tracks = dict(aligned.tracks)
        yield tracks["dyno"]
        if number and offsets_s[-1] > 0.2:
            assert "drifted by +" in clock_statements(aligned.pull)[1].text


def test_drift_over_a_session_is_followed() -> None:
    offsets_s = [0.19, 0.2, 0.21, 0.22]
    for track, true_s in zip(drifting(offsets_s), offsets_s, strict=True):
        assert track.known.offset_s == pytest.approx(true_s, abs=0.004)


def test_a_clock_set_anew_is_believed_at_once() -> None:
    *_, last = drifting([0.02, 0.02, -0.3])
    assert last.known.offset_s == pytest.approx(-0.3, abs=0.004)


# a whole session, as the bay runs it

LIVE_S = 0.1  # how often each source delivers


def batches(simulated: SimulatedSession, late_s: float) -> Iterator[RecordBatch]:
    for begin_s in np.arange(0.0, simulated.truth.duration_s, LIVE_S):
        for source in ("engine", "dyno"):
            names = [n for n, c in simulated.channels.items() if c.source == source]
            shift_s = late_s if source == "dyno" else 0.0
            parts = [simulated.samples[n].between(begin_s, begin_s + LIVE_S) for n in names]
            cells = [
                (round(1e9 * (time_s + shift_s)), column, value)
                for column, part in enumerate(parts)
                for time_s, value in zip(part.time_s, part.value, strict=True)
            ]
            cells.sort()
            if cells:
                times, columns, values = zip(*cells, strict=True)
                payloads = [np.float64(value).tobytes() for value in values]
                yield RecordBatch.of(source, list(times), payloads, address=list(columns))


def analysed(late_s: float) -> list[Pull]:
    simulated = session(0, BRAKED)
    sources = ("engine", "dyno")
    entries = [
        f"  {n}: {{quantity: {c.quantity}, source: {c.source}, column: {n}, "
        f'unit: "{HOUSE_UNIT[c.quantity]}"}}'
        for n, c in simulated.channels.items()
        if c.quantity is not None and c.cylinder is None
    ]
    channel_map = parse_map("\n".join(["pullwatch_map: 1", "channels:", *entries]))
    columns = {s: tuple(n for n, c in simulated.channels.items() if c.source == s) for s in sources}
    infos = tuple(SourceInfo(s, SourceKind.TABLE, columns[s]) for s in sources)
    analysis = SessionAnalysis(
        SessionInfo("s", "b", 0, 0, infos), channel_map, default_limits(), Setup()
    )
    steps = replay(analysis, batches(simulated, late_s))
    return [closed.pull for step in steps for closed in step.pulls]


def test_a_session_hands_out_pulls_with_agreeing_clocks() -> None:
    (right,), (mended,) = analysed(0.0), analysed(0.15)
    assert clock_statements(right) == []
    assert " ms late" in clock_statements(mended)[0].text
    assert mended.bounds.start_s == right.bounds.start_s
    for name in ("roller_speed", "engine_speed"):
        expected, found = right.samples[name], mended.samples[name]
        common = np.arange(right.bounds.start_s - 2.5, right.bounds.end_s, 0.05)
        error = np.interp(common, found.time_s, found.value)
        error -= np.interp(common, expected.time_s, expected.value)
        assert np.abs(error).max() < 0.01 * np.ptp(expected.value)
        assert found.time_s[0] >= mended.bounds.start_s - 3.0


def test_the_same_records_give_the_same_bits() -> None:
    (first,), (second,) = analysed(0.15), analysed(0.15)
    assert first.bounds == second.bounds
    for name, samples in first.samples.items():
        assert np.array_equal(samples.time_s, second.samples[name].time_s)
        assert np.array_equal(samples.value, second.samples[name].value, equal_nan=True)
