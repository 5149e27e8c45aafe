from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import pytest

from analysis.judging.limits_file import default_limits
from analysis.model.events import AlertKind, AlertState, Phase
from analysis.model.pull import AFTER_S, BEFORE_S, EndReason
from analysis.model.setup import Setup
from analysis.session.analysis import EARLIER_PULLS, ClosedPull, SessionAnalysis, Step, replay
from decode.channel_map import parse_map
from decode.operator_records import (
    AlertAcknowledged,
    OperatorRecord,
    PointTicked,
    SilencePassed,
    StageEntered,
    operator_payload,
)
from decode.records import RecordBatch, SessionInfo, SourceInfo, SourceKind

MAP = parse_map("""\
pullwatch_map: 1
channels:
  engine_speed: {quantity: engine_speed, source: engine, unit: rpm,
                 can: {identifier: 1, start_bit: 0, bits: 16, scale: 0.25}}
  pedal: {quantity: pedal_position, source: engine, unit: "%",
          can: {identifier: 1, start_bit: 16, bits: 8, scale: 0.5}}
  knock: {quantity: knock_retard, cylinder: 2, source: engine, unit: deg,
          can: {identifier: 1, start_bit: 24, bits: 8, scale: 0.5}}
""")
STARTED_NS = 5_000_000_000
SESSION = SessionInfo(
    "s",
    "bay",
    STARTED_NS,
    0,
    (SourceInfo("engine", SourceKind.CAN), SourceInfo("operator", SourceKind.OPERATOR)),
)
RATE_HZ = 50
PULL_S = 12.0  # of one pull with the idling before and after it
SWEEP_S = (3.0, 8.0)


def frame(at_s: float) -> bytes:
    """Idle, full pedal at 2000 rpm from second 2, a sweep from 3 to 8 with knock at 5, a lift."""
    inside_s = at_s % PULL_S
    full = 2.0 <= inside_s < SWEEP_S[1]
    rpm = np.interp(inside_s, (*SWEEP_S, 10.0), (2000.0, 6000.0, 2000.0))
    knock = 12.0 if 5.0 <= inside_s < 5.3 else 0.0
    return round(rpm * 4).to_bytes(2, "little") + bytes([200 if full else 10, round(knock * 2)])


def frames(from_s: float, to_s: float, at_once: int = 5) -> list[RecordBatch]:
    """What the engine sends, in batches of so many frames."""
    ticks = range(round(from_s * RATE_HZ), round(to_s * RATE_HZ))
    parts = [ticks[i : i + at_once] for i in range(0, len(ticks), at_once)]
    return [
        RecordBatch.of(
            "engine",
            [STARTED_NS + tick * 1_000_000_000 // RATE_HZ for tick in part],
            [frame(tick / RATE_HZ) for tick in part],
            [1] * len(part),
        )
        for part in parts
    ]


def stated(at_s: float, *records: OperatorRecord) -> RecordBatch:
    """Something of the operator's."""
    at_ns = STARTED_NS + round(at_s * 1e9)
    payloads = [operator_payload(record) for record in records]
    return RecordBatch.of("operator", [at_ns] * len(payloads), payloads)


CHANGED = StageEntered(job="job", stage="changed", stage_id=2)


def session() -> SessionAnalysis:
    return SessionAnalysis(SESSION, MAP, default_limits(), Setup())


def fed(analysis: SessionAnalysis, batches: Iterable[RecordBatch]) -> list[Step]:
    return [analysis.feed(batch) for batch in batches]


def pulls(steps: Iterable[Step]) -> list[ClosedPull]:
    return [closed for step in steps for closed in step.pulls]


def test_a_pull_comes_out_whole_soon_after_the_lift() -> None:
    steps = fed(session(), frames(0.0, PULL_S))
    assert len([s for step in steps for s in step.started]) == 1
    (closed,) = pulls(steps)
    bounds = closed.pull.bounds
    assert closed.pull.number == 1
    assert bounds.start_s == pytest.approx(SWEEP_S[0], abs=0.1)
    assert bounds.end_s == pytest.approx(SWEEP_S[1], abs=0.1)
    assert closed.announced_s - bounds.end_s < 0.3
    at_once = next(step for step in steps if step.pulls)
    assert at_once.now_s - bounds.end_s < 0.3 + 5 / RATE_HZ
    for name, samples in closed.pull.samples.items():
        assert samples.time_s[0] <= max(0.0, bounds.start_s - BEFORE_S) + 1 / RATE_HZ, name
        assert bounds.end_s < samples.time_s[-1] <= bounds.end_s + AFTER_S, name
    assert set(closed.pull.channels) == set(closed.pull.samples) == set(MAP.channels)


def test_phases_follow_the_car() -> None:
    steps = fed(session(), frames(0.0, PULL_S))
    phases = [step.phase for step in steps]
    seen = [p for p, before in zip(phases, [None, *phases], strict=False) if p is not before]
    assert seen == [Phase.IDLE, Phase.HOLD, Phase.SWEEP, Phase.DONE]


@pytest.mark.parametrize("at_once", [1, 7, 100])
def test_how_records_are_cut_changes_no_pull(at_once: int) -> None:
    (one,) = pulls(replay(session(), frames(0.0, PULL_S, 5)))
    (other,) = pulls(replay(session(), frames(0.0, PULL_S, at_once)))
    assert one.pull.bounds == other.pull.bounds
    assert one.announced_s == other.announced_s
    for name, samples in one.pull.samples.items():
        end_s = min(samples.time_s[-1], other.pull.samples[name].time_s[-1])
        again = other.pull.samples[name].between(0.0, end_s)
        samples = samples.between(0.0, end_s)
        assert samples.time_s.tobytes() == again.time_s.tobytes()
        assert samples.value.tobytes() == again.value.tobytes()


def test_a_replay_gives_the_same_bits() -> None:
    batches = [*frames(0.0, 20.0), stated(20.0, CHANGED), *frames(20.0, 30.0)]
    for was, now in zip(
        pulls(replay(session(), batches)), pulls(replay(session(), batches)), strict=True
    ):
        assert was.pull.bounds == now.pull.bounds
        assert all(
            samples.value.tobytes() == now.pull.samples[name].value.tobytes()
            for name, samples in was.pull.samples.items()
        )


def test_the_end_of_the_session_closes_an_open_pull_as_interrupted() -> None:
    analysis = session()
    assert pulls(fed(analysis, frames(0.0, 6.0))) == []
    (closed,) = analysis.finish().pulls
    assert closed.pull.bounds.end_reason is EndReason.SESSION_END
    assert not closed.pull.bounds.complete


def test_a_session_without_a_record_ends_with_nothing() -> None:
    step = session().finish()
    assert (step.pulls, step.refused, step.alerts, step.now_s) == ((), (), (), 0.0)


def test_a_pull_knows_the_whole_map() -> None:
    (closed,) = pulls(fed(session(), frames(0.0, PULL_S)))
    assert closed.context.channels == MAP.channels


def test_a_pull_sees_the_few_before_it() -> None:
    closed = pulls(fed(session(), frames(0.0, (EARLIER_PULLS + 2) * PULL_S, at_once=25)))
    numbers = [[earlier.number for earlier in each.context.earlier] for each in closed]
    assert numbers[:3] == [[], [1], [1, 2]]
    assert numbers[-1] == list(range(2, EARLIER_PULLS + 2))
    assert [each.pull.number for each in closed] == list(range(1, EARLIER_PULLS + 3))


def test_after_a_new_stage_earlier_pulls_no_longer_speak() -> None:
    first, second = (
        pulls(replay(session(), batches))
        for batches in (
            frames(0.0, 2 * PULL_S),
            [*frames(0.0, PULL_S), stated(PULL_S, CHANGED), *frames(PULL_S, 2 * PULL_S)],
        )
    )
    assert [len(each.context.earlier) for each in first] == [0, 1]
    assert [len(each.context.earlier) for each in second] == [0, 0]


def test_knock_is_told_while_the_pull_runs_and_clears_when_somebody_has_seen_it() -> None:
    analysis = session()
    steps = fed(analysis, frames(0.0, 6.0))
    alerts = [alert for step in steps for alert in step.alerts]
    (raised,) = [alert for alert in alerts if alert.kind is AlertKind.KNOCK_RETARD]
    assert raised.state is AlertState.RAISED
    assert raised.at_s == pytest.approx(5.0 + 1 / RATE_HZ)
    assert raised.engine_speed_rpm == pytest.approx(3600.0, abs=50.0)
    seen = AlertAcknowledged(key=raised.key)
    (cleared,) = analysis.feed(stated(6.0, seen)).alerts
    assert (cleared.key, cleared.state) == (raised.key, AlertState.CLEARED)
    assert analysis.feed(stated(6.1, seen)).alerts == ()


def test_time_goes_on_in_silence_so_that_blindness_in_a_sweep_is_told() -> None:
    analysis = session()
    fed(analysis, frames(0.0, 5.0))
    before_s = analysis.feed(stated(5.5, PointTicked(point=0, done=True))).now_s
    steps = [analysis.feed(stated(5.5, SilencePassed(duration_s=0.25))) for _ in range(4)]
    assert steps[-1].now_s == before_s + 1.0
    kinds = [alert.kind for step in steps for alert in step.alerts]
    assert AlertKind.SOURCE_SILENT in kinds


def test_a_step_carries_what_the_operator_stated_in_whatever_form_it_was_recorded() -> None:
    ticked = PointTicked(point=2, done=True)
    old = RecordBatch.of(
        "operator", [STARTED_NS] * 2, [b'{"heartbeat": true}', b'{"ticked": 2, "done": true}']
    )
    assert session().feed(stated(1.0, CHANGED, ticked)).stated == (CHANGED, ticked)
    assert session().feed(old).stated == (ticked,)


def test_records_the_map_does_not_know_bring_nothing() -> None:
    analysis = session()
    unknown = RecordBatch.of("engine", [STARTED_NS], [b"1234"], [99])
    step = analysis.feed(unknown)
    assert (step.now_s, step.samples, step.pulls, step.refused) == (0.0, {}, (), ())


def test_a_source_that_the_session_never_had_is_not_missed_in_every_pull() -> None:
    with_dyno = parse_map(
        MAP.text
        + "  roller: {quantity: roller_speed, source: dyno, unit: km/h, line: {field: 0}}\n"
        + "lines: {dyno: {delimiter: ';'}}\n"
    )
    names = ("engine", "dyno", "operator")
    missed = {}
    for known in (SESSION.sources, tuple(SourceInfo(n, kind_of(n)) for n in names)):
        session = replace(SESSION, sources=known)
        analysis = SessionAnalysis(session, with_dyno, default_limits(), Setup())
        alerts = [a for step in fed(analysis, frames(0, PULL_S)) for a in step.alerts]
        missed[len(known)] = {a.kind for a in alerts} & {AlertKind.SOURCE_SILENT}
    assert missed == {2: set(), 3: {AlertKind.SOURCE_SILENT}}


def kind_of(source: str) -> SourceKind:
    kinds = {"engine": SourceKind.CAN, "dyno": SourceKind.LINES, "operator": SourceKind.OPERATOR}
    return kinds[source]
