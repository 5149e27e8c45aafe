"""What tests/benchmarks/engine_kinds.py asks of each session: drawn, judged, boiled down."""

import traceback
import zlib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Final

import numpy as np
from independent_engines.cars import Car
from independent_engines.condition import Condition
from independent_engines.faults import FAULTS, TWINS
from independent_engines.judging import Judged, judge, overlap
from independent_engines.recorder import Wanted
from independent_engines.sessions import Session, Wishes, draw_session
from independent_engines.spoilt_logs import MISLABELLED, broken_sensor

from analysis.model.events import AlertKind
from analysis.model.findings import Cause, Severity

# alerts about what is not logged or does not come, none of which accuses the engine
OF_THE_DATA: Final = (AlertKind.BLIND, AlertKind.SOURCE_SILENT)
FAULT_RATES: Final = ("5 Hz", "10 Hz", "20-25 Hz", "50 Hz", "100 Hz")
SENSOR, CLOCK = "sensor", "clock"
SENSOR_KINDS: Final = ("turbo_direct", "natural_port", "turbo_diesel")
KNOCK: Final = {
    "at the limit": Condition(octane_lost=1.0),
    "light": Condition(octane_lost=2.5),
    "moderate": Condition(octane_lost=6.0),
    "heavy": Condition(octane_lost=9.0),
    "one cylinder": Condition(knocking_deg=8.0),
}
LEAKS: Final = (0.08, 0.13, 0.20)
HEALTHY_BEFORE: Final = 2


@dataclass(frozen=True, slots=True)
class Wrong:
    """A sentence about a healthy car that accuses it."""

    key: str
    text: str
    severity: str


@dataclass(frozen=True, slots=True)
class Healthy:
    """What a session of a healthy car gave."""

    kind: str
    rate: str
    seed: int
    pulls: int
    found: int
    judged: int  # a pull with a gear change in it may be judged as two
    false: int  # where no pull was driven
    accused: int
    healthy: int
    not_judged: int
    alerts: int
    wrong: tuple[Wrong, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """What was said of the last pull of a session with something wrong. verdict: "" without a
    pull. right: the truth came first, or with its twin."""

    truth: str
    severity: str
    kind: str
    rate: str
    seed: int
    first: str
    verdict: str
    right: bool
    text: str

    @property
    def seen(self) -> bool:
        """Whether the car was not called healthy."""
        return self.verdict in (Severity.LOOK_CLOSER, Severity.STOP)


def healthy_session(kind: str, rate: str, seed: int) -> Healthy:
    """A healthy car, judged."""
    session = draw_session(kind, rate, seed)
    judged, crash = tried(session)
    reports = judged.reports
    wrong = [
        Wrong(finding.statements[0].key, finding.text, str(finding.severity))
        for report in reports
        for finding in report.findings
        if finding.severity.is_trouble
    ]
    alerts = [a for a in judged.alerts if a.severity.is_trouble and a.kind not in OF_THE_DATA]
    wrong += [Wrong("crash", crash, "stop")] if crash else []
    wrong += [Wrong(f"alert {a.statement.key}", a.statement.text, str(a.severity)) for a in alerts]
    return Healthy(
        kind,
        rate,
        seed,
        len(session.pulls),
        sum(judged.report_of(true) is not None for true in session.pulls),
        len(reports),
        sum(all(overlap(r, true) == 0.0 for true in session.pulls) for r in reports),
        sum(report.verdict.is_trouble for report in reports) + bool(crash),
        sum(report.verdict is Severity.HEALTHY for report in reports),
        sum(report.verdict is Severity.NOTE for report in reports),
        len(alerts),
        tuple(wrong),
    )


def drawn_for(name: str, seed: int) -> np.random.Generator:
    """What is drawn beside the session: other kinds and rates for every name."""
    return np.random.default_rng([seed, zlib.crc32(name.encode())])


def tried(session: Session) -> tuple[Judged, str]:
    """What was said; and what broke, where the program broke over it."""
    try:
        return judge(session), ""
    except Exception as error:  # whatever it is, the score goes on and tells it
        last = traceback.extract_tb(error.__traceback__)[-1]
        where = f"{Path(last.filename).name}:{last.lineno}"
        return Judged((), (), ()), f"{type(error).__name__}: {error} ({where})"


def faulty_session(name: str, severe: bool, seed: int) -> Answer:
    """A car with one fault, judged by its last pull. The log is whole."""
    if name in (SENSOR, CLOCK):
        return _spoilt(name, severe, seed)
    fault = FAULTS[name]
    random = drawn_for(name, seed)
    kind, rate = str(random.choice(fault.kinds)), str(random.choice(FAULT_RATES))
    wishes = Wishes(
        condition=partial(_made, name, severe),
        pulls=int(random.integers(1, 3)),
        stated=bool(random.random() < 0.7) or fault.cause == "turbo_overspeed",
        wanted=Wanted(full=True, dyno=fault.dyno),
        air_meter=True if fault.meter else None,
    )
    session = draw_session(kind, rate, seed, wishes)
    return _answer(fault.cause, severe, session, fault.key)


def _made(name: str, severe: bool, random: np.random.Generator, car: Car) -> Condition:
    return FAULTS[name].make(random, car, severe)


def _spoilt(name: str, severe: bool, seed: int) -> Answer:
    random = drawn_for(name, seed)
    kind, rate = str(random.choice(SENSOR_KINDS)), str(random.choice(FAULT_RATES))
    late_s = (0.9 if severe else 0.45) * float(random.choice([-1.0, 1.0])) if name == CLOCK else 0.0
    wanted = Wanted(full=True, dyno=name == CLOCK, dyno_late_s=late_s)
    session = draw_session(kind, rate, seed, Wishes(pulls=2, stated=True, wanted=wanted))
    if name == CLOCK:
        return _answer("clock_offset", severe, session)
    log, _ = broken_sensor(random, session, severe)
    session = replace(session, log=log)
    return _answer("sensor_fault", severe, session)


def mislabelled_session(name: str, seed: int) -> Answer | None:
    """A healthy car with a column that the map misreads; None where the log has no such column."""
    kinds, spoil = MISLABELLED[name]
    random = drawn_for(name, seed)
    kind, rate = str(random.choice(kinds)), str(random.choice(FAULT_RATES))
    wishes = Wishes(pulls=2, stated=bool(random.random() < 0.6), wanted=Wanted(full=True))
    session = draw_session(kind, rate, seed, wishes)
    log = spoil(session)
    if log is None:
        return None
    session = replace(session, log=log)
    return _answer(name, False, session)


def knock_session(level: str, seed: int) -> Answer:
    """One pull with so much knock."""
    random = drawn_for(level, seed)
    kind = str(random.choice(["turbo_direct", "natural_port", "stoichiometric_turbo"]))
    wishes = Wishes(
        condition=partial(_knocking, level), pulls=1, stated=True, wanted=Wanted(full=True)
    )
    session = draw_session(kind, str(random.choice(FAULT_RATES)), seed, wishes)
    truth = "single_cylinder_knock" if level == "one cylinder" else "low_octane_fuel"
    return replace(_answer(truth, False, session), severity=level)


def _knocking(level: str, random: np.random.Generator, car: Car) -> Condition:
    condition = KNOCK[level]
    if condition.knocking_deg:
        cylinder = int(random.integers(car.engine.cylinders)) + 1
        return replace(condition, knocking_cylinder=cylinder)
    return condition


def leak_session(share: float, seed: int) -> Answer:
    """Four pulls, the last two with a leak of that share of the flow."""
    random = drawn_for("leak", seed)
    kind = str(random.choice(["turbo_direct", "stoichiometric_turbo", "torque_request"]))
    wishes = Wishes(
        condition=partial(_leaking, share),
        healthy_pulls=HEALTHY_BEFORE,
        pulls=HEALTHY_BEFORE + 2,
        stated=True,
        wanted=Wanted(full=True),
        air_meter=True,
    )
    session = draw_session(kind, str(random.choice(FAULT_RATES)), seed, wishes)
    return replace(_answer("boost_leak", False, session), severity=f"{100 * share:.0f} %")


def _leaking(share: float, random: np.random.Generator, car: Car) -> Condition:
    return Condition(leak_share=share)


def _answer(truth: str, severe: bool, session: Session, key: str = "") -> Answer:
    judged, crash = tried(session)
    report = judged.report_of(session.pulls[-1]) or (judged.reports or (None,))[-1]
    severity = "severe" if severe else "clear"
    where = (truth, severity, session.kind, session.rate, session.seed)
    if report is None:
        return Answer(*where, "crash" if crash else "no pull", "", False, crash)
    named = list(dict.fromkeys(str(f.cause) for f in report.findings if f.cause is not None))
    trouble = [f for f in report.findings if f.severity.is_trouble]
    right = _is_right(truth, named)
    known = truth in {str(cause) for cause in Cause}
    if not known and key:  # no cause has that name: the finding itself must say it
        right = any(key in f.statements[0].key or key in f.check for f in trouble)
    first = named[0] if named else ("-" if not trouble else f"({trouble[0].check})")
    text = " | ".join(f.text for f in trouble)
    return Answer(*where, first, str(report.verdict), right, text)


def _is_right(truth: str, named: Iterable[str]) -> bool:
    named = list(named)
    if named[:1] == [truth]:
        return True
    return any(truth in twin and set(named[:2]) == twin for twin in TWINS)
