"""A stored job to look at: two stages of three pulls of an invented car, made from formulas.

The torque is known, the channels are shaped like a turbocharged engine's, and the second stage has
one cylinder that knocks. Findings and curves come from the real analysis.
"""

import shutil
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.archive.sign_off import Basis
from analysis.archive.store import Store
from analysis.checks import DEFAULT_LIMITS
from analysis.checks.check import Context
from analysis.judging.analyse_pull import analyse_pull
from analysis.judging.limits_file import default_limits
from analysis.judging.pull_report import PullReport
from analysis.model.limits import Limits
from analysis.model.pull import EndReason, Pull, PullBounds, Refused
from analysis.model.setup import Air, Car, Dyno, LossConvention, Setup, Standard
from analysis.phrases.say import as_written
from analysis.readiness.readiness import CHECKLIST, Readiness, Service
from analysis.readiness.watch import ReadinessWatch
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, FloatArray, Samples

CYLINDERS: Final = (1, 2, 3, 4)
KNOCKING: Final = 3
START_S, SWEEP_S, START_RPM, END_RPM = 6.0, 9.0, 1800.0, 6500.0
RPM_PER_KMH: Final = 6500 / 190
SETUP: Final = Setup(
    car=Car(name="hatchback, 1.6 l turbo", cylinders=4, displacement_l=1.6, boosted=True,
            closed_loop_boost=True, max_boost_kpa=160.0, max_engine_speed_rpm=6800.0),
    dyno=Dyno(inertia_kg_m2=40.0, roller_radius_m=0.3, loss=LossConvention.ADD_PERCENT_OF_WHEEL,
              correction=Standard.ISO_1585),
    air=Air(98.4, 24.0, 45.0),
)  # fmt: skip

CHANNELS: Final = {
    **{q.value: Channel(q.value, HOUSE_UNIT[q], q, source="engine") for q in Quantity
       if q is not Quantity.KNOCK_RETARD},
    **{f"knock_retard_{n}": Channel(f"knock_retard_{n}", "deg", Quantity.KNOCK_RETARD, n, "engine")
       for n in CYLINDERS},
}  # fmt: skip

BASIS: Final = Basis("map", Limits.of(DEFAULT_LIMITS, {}, ""), "1")


def pull(number: int, stage: int, start_s: float = START_S) -> Pull:
    """stage 0: as it came; stage 1: more boost, and a cylinder that knocks at the top."""
    rng = np.random.default_rng(100 * stage + number)
    time_s = np.arange(start_s - 3, start_s + SWEEP_S + 1, 0.02)
    progress = np.clip((time_s - start_s) / SWEEP_S, 0, 1)
    rpm = (
        START_RPM
        + (END_RPM - START_RPM) * progress
        - 900 * np.clip(time_s - start_s - SWEEP_S, 0, 1)
    )
    values = _values(rpm, progress, stage, number, time_s < start_s + SWEEP_S, rng)
    samples = {name: Samples(time_s + 0.0005 * len(name), value) for name, value in values.items()}
    bounds = PullBounds(
        start_s, start_s + SWEEP_S, START_RPM, END_RPM, True, EndReason.LIFT,
        Quantity.PEDAL_POSITION, 100.0,
    )  # fmt: skip
    return Pull(number, bounds, {name: CHANNELS[name] for name in samples}, samples)


def _values(
    rpm: FloatArray, progress: FloatArray, stage: int, number: int,
    pressed: NDArray[np.bool], rng: np.random.Generator,
) -> dict[str, FloatArray]:  # fmt: skip
    def noisy(value: FloatArray | float, spread: float) -> FloatArray:
        return np.broadcast_to(value, rpm.shape) + rng.normal(0, spread, len(rpm))

    spool = 1 / (1 + np.exp(-(rpm - 2300) / 220))
    target = (95 + 20 * stage) * spool
    boost = target + 3 * np.sin(rpm / 300) * spool
    intake = 25 + 2 * progress + number
    charge = 32 + (14 + 6 * stage) * progress + 2 * number
    knock = {n: 0.3 * (np.sin(rpm / 170 + n) > 0.93) for n in CYLINDERS}
    if stage:
        # five steps of one degree, and none given back
        knock[KNOCKING] = np.clip(np.ceil((rpm - 4700) / 150), 0, 5)
    torque = (210 + 28 * stage) * (0.45 + 0.55 * spool) * (1 - 0.5 * progress**3)
    speed_kmh = rpm / RPM_PER_KMH
    acceleration = np.gradient(speed_kmh / 3.6 / 0.3, 0.02)
    roller_torque = torque * RPM_PER_KMH * 3.6 * 0.3 * np.pi / 30 - 40.0 * acceleration
    return {
        "engine_speed": np.round(noisy(rpm, 4) * 4) / 4,
        "pedal_position": np.where(pressed, 100.0, 0.0),
        "throttle_position": np.where(pressed, 100.0, 3.0),
        "boost_pressure": noisy(boost, 0.8),
        "boost_target": target,
        "ignition_timing": noisy(14 + 8 * progress - 2 * spool, 0.1),
        "lambda": noisy(1.0 - 0.14 * spool, 0.004),
        "lambda_target": 1.0 - 0.14 * spool,
        "intake_air_temperature": noisy(intake, 0.05),
        "charge_air_temperature": noisy(charge, 0.1),
        "compressor_outlet_temperature": noisy(40 + 95 * spool, 0.4),
        "ambient_temperature": noisy(24.0, 0.02),
        "coolant_temperature": noisy(91 + 2 * progress, 0.1),
        "oil_temperature": noisy(96 + 4 * progress, 0.1),
        "fuel_pressure_high": noisy(15000 + 5000 * spool, 60),
        "fuel_pressure_high_target": 15000 + 5000 * spool,
        "fuel_pressure_low": noisy(520.0, 2),
        "fuel_pressure_low_target": np.full(len(rpm), 520.0),
        "battery_voltage": noisy(14.1, 0.03),
        "roller_speed": noisy(speed_kmh, 0.02),
        "roller_torque": roller_torque * (1 + rng.normal(0, 0.002)),
        **{f"knock_retard_{n}": value + 0.0 * rpm for n, value in knock.items()},
    }  # fmt: skip


@cache
def report(number: int, stage: int, start_s: float = START_S) -> PullReport:
    """The pull, really analysed."""
    limits = Limits.of(DEFAULT_LIMITS, {}, "")
    return analyse_pull(pull(number, stage, start_s), limits, Context(setup=SETUP))


def ready(seen: Pull) -> Readiness:
    """How the car stood when the pull began; before the last one a point was not ticked."""
    watch = ReadinessWatch(seen.channels, default_limits())
    before = {n: s.between(0.0, seen.bounds.start_s) for n, s in seen.samples.items()}
    watch.feed(before, seen.bounds.start_s)
    for point in range(len(CHECKLIST) - (seen.number == 6)):
        watch.tick(point, True)
    return watch.judge({Service.RECORDING: None})


def fill(folder: Path) -> Store:
    """A store with the whole job in it; the caller closes it."""
    shutil.copytree(_filled().name, folder, dirs_exist_ok=True)
    return Store(folder)


def small(folder: Path) -> Store:
    """A store with one pull of the job in it; the caller closes it."""
    store = Store(folder)
    stage = store.open_stage(store.open_job("A job").id, "baseline")
    store.save_pull(stage.id, "session-1", report(1, 0), SETUP)
    return store


@cache
def _filled() -> "TemporaryDirectory[str]":
    """Made once in a process: analysing six pulls takes a while."""
    made = TemporaryDirectory(prefix="demo-job-")
    with Store(Path(made.name)) as store:
        _fill(store)
    return made


def _fill(store: Store) -> None:
    job = store.open_job(
        "Larger charge cooler and calibration", "hatchback, 1.6 l turbo", "premium petrol, 98 RON",
        "Fit a larger charge cooler, raise boost by 20 kPa, keep the engine healthy.",
    )  # fmt: skip
    for index, (name, changed) in enumerate(
        [("baseline", ""), ("larger cooler, more boost", "charge cooler, boost target +20 kPa")]
    ):
        stage = store.open_stage(job.id, name, changed)
        for run in (1, 2, 3):
            number = 3 * index + run
            judged = report(number, index, START_S + 100.0 * number)
            store.save_pull(stage.id, "session-1", judged, SETUP, ready(judged.pull))
        store.save_refused(
            stage.id,
            "session-1",
            Refused(700.0, 701.2, as_written("pedal open for 1.2 s without a sweep")),
        )
