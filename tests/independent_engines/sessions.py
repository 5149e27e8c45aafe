"""One session drawn by its seed: a car of a kind, how it is driven, what is logged and stated."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from analysis.model.setup import Setup
from independent_engines.cars import Car
from independent_engines.cell import Cell, Traces, TruePull
from independent_engines.condition import HEALTHY, Condition
from independent_engines.instruments import RATES
from independent_engines.kinds import KINDS
from independent_engines.logs import Log
from independent_engines.programme import Programme, draw_programme
from independent_engines.recorder import Recorder, Wanted
from independent_engines.stating import state


@dataclass(frozen=True, slots=True)
class Session:
    """What the program gets (log, setup), and the truth that it does not."""

    kind: str
    rate: str
    seed: int
    car: Car
    log: Log
    setup: Setup
    pulls: tuple[TruePull, ...]
    traces: Traces


def healthy(random: np.random.Generator, car: Car) -> Condition:
    """As built."""
    return HEALTHY


@dataclass(frozen=True, slots=True)
class Wishes:
    """What a caller fixes. condition: of the car that is drawn. pulls: 0 draws their number.
    healthy_pulls: before the condition."""

    condition: Callable[[np.random.Generator, Car], Condition] = healthy
    healthy_pulls: int = 0
    pulls: int = 0
    air_meter: bool | None = None
    stated: bool = False
    wanted: Wanted = field(default_factory=Wanted)


ANYTHING: Final = Wishes()


def draw_session(kind: str, rate: str, seed: int, wishes: Wishes = ANYTHING) -> Session:
    """The session of that kind, rate class and seed."""
    random = np.random.default_rng([seed, list(KINDS).index(kind), list(RATES).index(rate)])
    car = KINDS[kind](random)
    count = wishes.pulls or int(random.integers(1, 5))
    programme = draw_programme(random, car.engine, count)
    car = _with_roller(car, programme)
    wind = float(random.uniform(0.5, 1.0))
    if wishes.air_meter is not None:
        engine = car.engine
        calibration = replace(engine.calibration, by_air_meter=wishes.air_meter)
        car = replace(car, engine=replace(engine, calibration=calibration))
    condition = wishes.condition(np.random.default_rng(seed), car)
    cell = Cell(car.engine, car.drive, car.air, condition, random, wind)
    traces = cell.drive_through(programme, wishes.healthy_pulls)
    choices = RATES[rate]
    rows = choices[int(random.integers(len(choices)))]
    log = Recorder(random, car, traces, rows, wishes.wanted).log()
    setup = state(random, car, log, wishes.stated)
    return Session(kind, rate, seed, car, log, setup, tuple(traces.pulls), traces)


def _with_roller(car: Car, programme: Programme) -> Car:
    """Against inertia: the roller and gear with which a sweep lasts as long as was drawn."""
    run = programme.runs[0]
    if run.braked:
        return car
    drive, engine = car.drive, car.engine
    rise_rpm_s = (min(run.end_rpm, engine.limiter_rpm) - run.start_rpm) / run.sweep_s
    ratio = 2.0 * np.pi * drive.wheel_radius_m * 60.0 / drive.kmh_per_1000_rpm
    force_n = 0.75 * car.peak_nm * ratio * drive.efficiency / drive.wheel_radius_m
    moving_kg = force_n * 3.6e3 / drive.kmh_per_1000_rpm / rise_rpm_s
    return replace(car, drive=replace(drive, moving_kg=moving_kg))
