"""Simulated pulls through segmenter and alerts, held against what was really beyond a limit.

The truth of an alert is the physics' own signal, before any sensor: by the same rule and limits.
"""

import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from simulated_pulls import pull_of

from analysis.alerting.excess import NOTHING, Beside, excess_of, least_kpa
from analysis.alerting.level import CONSECUTIVE
from analysis.alerting.rules import RULES, Excess, Rule, When
from analysis.alerting.session_alerts import AlertMonitor
from analysis.alerting.watcher import key_of
from analysis.checks.check import Context
from analysis.judging.analyse_pull import analyse_pull
from analysis.judging.limits_file import default_limits
from analysis.model.engine_kind import stated_kind
from analysis.model.events import Alert, AlertKind, AlertState
from analysis.model.findings import DATA_QUALITY, Cause, Severity
from analysis.model.limits import Engines
from analysis.model.oil_pressure import has_plain_bearings
from analysis.model.setup import Car, Ignition
from analysis.segmenting.segmenter import Segmenter
from decode.quantities import Quantity
from decode.samples import FloatArray, SampleBatch, Samples
from simulators.car import AirModel
from simulators.cars import CARS
from simulators.channels import ChannelSpec, at_rate, default_channels
from simulators.dyno import Braked, Inertia
from simulators.faults import Fault
from simulators.manoeuvres import Cruise, Idle, Sweep
from simulators.scenario import Scenario, setup_of
from simulators.session import SimulatedSession, simulate

Truths = NDArray[np.bool_]

BATCH_S: Final = 0.02  # a live source drains every 5 to 10 ms
IDLE_S: Final = 2.0
PHASE_S: Final = 0.5  # full demand is noticed within, and one lag is counted from there
CUT_AT_S: Final = 4.0  # a channel that goes before the pull does so here ...
LONG_IDLE_S: Final = 9.0  # ... and is told of while the car still idles
ALL_LIMITS: Final = default_limits()
KNOCK: Final = (Cause.LOW_OCTANE_FUEL, Cause.SINGLE_CYLINDER_KNOCK)
FAULTS: Final = (
    *KNOCK,
    Cause.WASTEGATE_STUCK_CLOSED,
    Cause.BOOST_OSCILLATION,
    Cause.PROTECTIVE_THROTTLE_CLOSURE,
    Cause.WEAK_LOW_PRESSURE_FUEL_PUMP,
    Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP,
    Cause.INJECTOR_LIMIT,
    Cause.OVERHEATING,
)
BOOSTED_ONLY: Final = FAULTS[2:5]


@dataclass(frozen=True)
class Case:
    """One session with one pull. cut: a source that goes silent in the pull, or a channel that
    does so before it."""

    name: str
    seed: int
    scenario: Scenario
    cut: str = ""


@dataclass(frozen=True)
class Subject:
    """One thing that an alert can be about. must: so far beyond that the alert has to come. may:
    near enough to the limit that it can. onset_s: when the true value is first beyond the limit, by
    the rule; of silence, when it has lasted for as long as the limit. lasting_s: from when on
    the true value stays beyond for as long as the rule asks: before, nothing is to be told."""

    kind: AlertKind
    key: str
    must: bool
    may: bool
    onset_s: float | None
    lasting_s: float | None


@dataclass
class Outcome:
    """One case played. delays_s, lasting_delays_s: from onset, and from where it lasts, to alert,
    by kind. stopped_live: the engine's stop alerts inside the pull. verdict: of the pull, where it
    was judged too. stop_checks: what made that a stop. distrusts: the data is not trusted."""

    case: Case
    pulls: int
    raised: list[Alert]
    missed: list[Subject] = field(default_factory=list)
    false: list[Alert] = field(default_factory=list)
    owed: dict[AlertKind, int] = field(default_factory=dict)
    delays_s: dict[AlertKind, list[float]] = field(default_factory=dict)
    lasting_delays_s: dict[AlertKind, list[float]] = field(default_factory=dict)
    stopped_live: list[Alert] = field(default_factory=list)
    verdict: Severity | None = None
    stop_checks: frozenset[str] = frozenset()
    distrusts: bool = False


def healthy(seed: int) -> Case:
    """Nothing is wrong."""
    return _case("healthy", seed, (), random.Random(f"healthy {seed}"))


def faulty(cause: Cause, seed: int) -> Case:
    """One fault, anything from slight to severe."""
    chance = random.Random(f"{cause.value} {seed}")
    extra: dict[str, float | str] = {}
    if cause is Cause.SINGLE_CYLINDER_KNOCK:
        extra = {"cylinder": chance.randint(1, 4)}
    if cause is Cause.PROTECTIVE_THROTTLE_CLOSURE:
        extra = {"trigger": "over_boost"}
    fault = Fault(cause, chance.uniform(0.2, 1.0), extra)
    return _case(cause.value, seed, (fault,), chance)


def silenced(what: str, seed: int) -> Case:
    """what: `source` goes in the pull, `channel` before it."""
    chance = random.Random(f"{what} {seed}")
    case = _case(f"{what} cut", seed, (), chance)
    specs = case.scenario.channel_specs
    sources = sorted({spec.source for spec in specs} - {"engine"})  # the pull's end needs engine
    names = [s.name for s in specs if s.quantity in (Quantity.KNOCK_RETARD, Quantity.LAMBDA)]
    _, *rest = case.scenario.plan
    longer = replace(case.scenario, plan=(Idle(LONG_IDLE_S), *rest))
    return replace(case, scenario=longer, cut=chance.choice(sources if what == "source" else names))


def _case(name: str, seed: int, faults: tuple[Fault, ...], chance: random.Random) -> Case:
    causes = {fault.kind for fault in faults}
    cars = [
        car
        for car in CARS
        if not (car.diesel and causes & {*KNOCK, Cause.INJECTOR_LIMIT})
        and not (car.turbo is None and causes & {*BOOSTED_ONLY})
        and not (not car.fuel.direct and Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP in causes)
    ]
    car = chance.choice(cars)
    limiter_rpm = car.engine.limiter_rpm
    start = chance.uniform(0.24, 0.34) * limiter_rpm
    end = chance.uniform(0.88, 0.96) * limiter_rpm
    dyno = Inertia(inertia_kg_m2=chance.uniform(90.0, 160.0)) if chance.random() < 0.3 else Braked()
    specs = default_channels(car)
    if chance.random() < 0.5:
        specs = at_rate(specs, chance.choice([8.0, 10.0, 15.0, 25.0]))
    sweep = Sweep(
        gear=chance.choice([3, 4]),
        start_rpm=start,
        end_rpm=end,
        ramp_rpm_s=(end - start) / chance.uniform(5.0, 15.0),
        hold_s=chance.uniform(0.8, 4.0),
    )
    scenario = Scenario(
        car=car,
        dyno=dyno,
        plan=(Idle(IDLE_S), Cruise(3.0, sweep.gear, start), sweep, Idle(2.0)),
        faults=faults,
        channels=specs,
        air=AirModel(temperature_degc=chance.uniform(12.0, 32.0)),
        warm_core_k=chance.uniform(0.0, 10.0),
    )
    return Case(name, seed, scenario)


def play(case: Case, judge: bool = False) -> Outcome:
    """Simulate, feed, and hold what was said against the truth. judge: the pull's verdict too."""
    session = simulate(case.scenario, case.seed)
    samples, silence = _cut(case, session)
    alerts = _alerts(case, session, samples)
    raised = [a for a in alerts if a.state is AlertState.RAISED]
    outcome = Outcome(case, len(session.truth.pulls), raised)
    if judge and session.truth.pulls:
        _judge(outcome, session, alerts)
    subjects = {s.key: s for s in (*_subjects(case, session, samples), *silence)}
    first = {alert.key: alert for alert in reversed(raised)}
    for subject in subjects.values():
        if subject.must:
            outcome.owed[subject.kind] = outcome.owed.get(subject.kind, 0) + 1
            if subject.key not in first:
                outcome.missed.append(subject)
        for delays_s, from_s in (
            (outcome.delays_s, subject.onset_s),
            (outcome.lasting_delays_s, subject.lasting_s),
        ):
            if subject.key in first and from_s is not None:
                late_s = first[subject.key].at_s - from_s
                delays_s.setdefault(subject.kind, []).append(late_s)
    outcome.false = [a for a in raised if a.key not in subjects or not subjects[a.key].may]
    return outcome


def _judge(outcome: Outcome, session: SimulatedSession, alerts: list[Alert]) -> None:
    true = session.truth.pulls[0]
    context = Context(setup_of(outcome.case.scenario), (), session.channels)
    report = analyse_pull(pull_of(session, true), ALL_LIMITS, context)
    of_sources = (AlertKind.SOURCE_SILENT, AlertKind.BLIND)
    outcome.stopped_live = [
        alert
        for alert in alerts
        if alert.severity is Severity.STOP
        and alert.kind not in of_sources
        and true.start_s <= alert.at_s <= true.end_s
    ]
    outcome.verdict = report.verdict
    stops = (f.check for f in report.findings if f.severity is Severity.STOP)
    outcome.stop_checks = frozenset(stops)
    outcome.distrusts = any(
        f.check == DATA_QUALITY and f.severity.is_trouble for f in report.findings
    )


def _alerts(case: Case, session: SimulatedSession, samples: SampleBatch) -> list[Alert]:
    car = setup_of(case.scenario).car
    segmenter = Segmenter(session.channels, car.max_engine_speed_rpm)
    monitor = AlertMonitor(session.channels, ALL_LIMITS, car)
    alerts: list[Alert] = []
    for part, now_s in batches(samples):
        segmenter.feed(part, now_s)
        alerts += monitor.feed(part, segmenter.phase, now_s)
    return alerts


def batches(samples: SampleBatch) -> Iterator[tuple[SampleBatch, float]]:
    """Everything in pieces of BATCH_S, with the newest time in it."""
    last_s = max(float(s.time_s[-1]) for s in samples.values())
    edges = np.arange(BATCH_S, last_s + BATCH_S, BATCH_S)
    places = {name: np.searchsorted(s.time_s, edges) for name, s in samples.items()}
    for index in range(1, len(edges)):
        part = {
            name: Samples(found.time_s[first:last], found.value[first:last])
            for name, found in samples.items()
            if (last := places[name][index]) > (first := places[name][index - 1])
        }
        newest_s = max((float(s.time_s[-1]) for s in part.values()), default=edges[index - 1])
        yield part, float(newest_s)


def _cut(
    case: Case, session: SimulatedSession
) -> tuple[Mapping[str, Samples], tuple[Subject, ...]]:
    """The samples without what goes silent, and the alert that is then owed."""
    if not case.cut:
        return session.samples, ()
    (pull,) = session.truth.pulls
    if case.name == "source cut":
        from_s = 0.5 * (pull.start_s + pull.end_s)
        names = [name for name, c in session.channels.items() if c.source == case.cut]
        kind, key, limit = AlertKind.SOURCE_SILENT, case.cut, "alerts.silent"
    else:
        from_s, names = CUT_AT_S, [case.cut]
        kind, key, limit = AlertKind.BLIND, case.cut, "alerts.stale"
        source = session.channels[key].source
        if [c.source for c in session.channels.values()].count(source) == 1:
            key = f"source:{source}"
    kept = {
        name: s.between(-np.inf, from_s) if name in names else s
        for name, s in session.samples.items()
    }
    last_s = max(float(kept[name].time_s[-1]) for name in names)
    due_s = last_s + ALL_LIMITS[limit].value
    due = Subject(kind, f"{kind.value}:{key}", True, True, due_s, due_s)
    silent = f"{AlertKind.SOURCE_SILENT.value}:{key.removeprefix('source:')}"
    return kept, (Subject(AlertKind.SOURCE_SILENT, silent, False, True, None, None), due)


def _subjects(
    case: Case, session: SimulatedSession, samples: Mapping[str, Samples]
) -> Iterator[Subject]:
    """What the rules could be about in this session, by the truth."""
    car = setup_of(case.scenario).car
    specs = {spec.name: spec for spec in case.scenario.channel_specs}
    first = {spec.quantity: spec for spec in reversed(case.scenario.channel_specs)}
    diesel = car.ignition is Ignition.COMPRESSION
    not_of_it = Engines.SPARK if diesel else Engines.COMPRESSION
    for rule in RULES:
        for spec in specs.values():
            fits = spec.quantity is rule.quantity and (rule.target is None or rule.target in first)
            covered = rule.target is None and Quantity.LAMBDA_TARGET in first
            covered &= rule.quantity is Quantity.LAMBDA
            if fits and not covered and rule.engines is not not_of_it:
                yield _subject(rule, spec, first, session, samples, car)


def _subject(
    rule: Rule,
    spec: ChannelSpec,
    first: Mapping[Quantity, ChannelSpec],
    session: SimulatedSession,
    samples: Mapping[str, Samples],
    car: Car,
) -> Subject:
    short = rule.excess is Excess.SHORT_OF_LEAST
    watch, alarm = (
        0.0 if short else ALL_LIMITS[limit.name].value for limit in (rule.watch, rule.alarm)
    )
    time_s = session.trace["time"]

    def true(quantity: Quantity | None) -> Samples:
        known = first.get(quantity) if quantity is not None else None
        return NOTHING if known is None else Samples(time_s, session.trace[_signal(known)])

    target = None if rule.target is None else true(rule.target).value
    beside = Beside(
        ALL_LIMITS,
        target=true(rule.target),
        speed=true(Quantity.ENGINE_SPEED),
        boost=true(Quantity.BOOST_PRESSURE),
        plain_bearings=has_plain_bearings(stated_kind(car)),
    )
    really = Samples(time_s, session.trace[_signal(spec)])
    strictly = np.nan_to_num(excess_of(rule, really, beside), nan=-np.inf)
    owed = np.where(_judged(rule, session, time_s, rule.late_s), strictly, -np.inf)
    # what may be told is judged without the rule's own grace and means
    loosely = np.where(_judged(rule, session, time_s, 0.0), _plainly(rule, really, beside), -np.inf)
    tolerance = _tolerance(rule, spec, target)
    beyond = owed >= watch
    return Subject(
        kind=rule.kind,
        key=key_of(rule, spec.name),
        must=_longest_s(time_s, owed >= alarm + tolerance) >= _patience_s(rule, spec),
        may=bool(np.any(loosely >= watch - tolerance)),
        onset_s=float(time_s[np.argmax(beyond)]) if beyond.any() else None,
        lasting_s=_first_lasting_s(time_s, beyond, rule.dwell_s + CONSECUTIVE / spec.rate_hz),
    )


def _signal(spec: ChannelSpec) -> str:
    return spec.signal or spec.name


def _plainly(rule: Rule, really: Samples, beside: Beside) -> FloatArray:
    """How far beyond, value by value."""
    target = np.maximum(beside.target.value, 1e-9)
    match rule.excess:
        case Excess.ABOVE_TARGET:
            return really.value - target
        case Excess.PERCENT_ABOVE_TARGET:
            return 100.0 * (really.value - target) / target
        case Excess.PERCENT_SHORT_OF_TARGET:
            return 100.0 * (target - really.value) / target
        case Excess.SHORT_OF_LEAST:
            return least_kpa(beside, really.time_s) - really.value
    return really.value


def _judged(rule: Rule, session: SimulatedSession, time_s: FloatArray, late_s: float) -> Truths:
    """Full load begins with the pedal down, ends with the lift."""
    if rule.when is When.ALWAYS:
        return np.ones(len(time_s), dtype=bool)
    inside = np.zeros(len(time_s), dtype=bool)
    for pull in session.truth.pulls:
        inside |= (time_s >= pull.full_pedal_s + late_s) & (time_s <= pull.end_s)
    return inside


def _tolerance(rule: Rule, spec: ChannelSpec, target: FloatArray | None) -> float:
    """What noise and rounding can add to a true value; none is granted to knock retard."""
    if rule.kind is AlertKind.KNOCK_RETARD:
        return 0.0
    of_sensor = 3.0 * spec.noise + spec.resolution
    if target is not None and rule.excess is not Excess.ABOVE_TARGET:
        return 100.0 * of_sensor / float(target.max())
    return of_sensor


def _patience_s(rule: Rule, spec: ChannelSpec) -> float:
    """How long a value must be beyond before an alert is owed."""
    return rule.dwell_s + PHASE_S * (rule.late_s > 0.0) + 3.0 * spec.lag_s + 3.0 / spec.rate_hz


def _longest_s(time_s: FloatArray, on: Truths) -> float:
    """The longest run of on; below zero where there is none."""
    return max((end_s - start_s for start_s, end_s in _runs(time_s, on)), default=-1.0)


def _first_lasting_s(time_s: FloatArray, on: Truths, seconds: float) -> float | None:
    """Start of the first run of on that lasts so long."""
    return next((start for start, end in _runs(time_s, on) if end - start >= seconds), None)


def _runs(time_s: FloatArray, on: Truths) -> list[tuple[float, float]]:
    """First and last time of each run of on."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], on.astype(np.int8), [0])))).reshape(-1, 2)
    return [(float(time_s[first]), float(time_s[last - 1])) for first, last in edges]
