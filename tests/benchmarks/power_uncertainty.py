"""Does ± hold the truth in 95 % of dynos? Peaks of power and torque over dynos that are off.

Every job is a dyno whose inertia, radius, brake, own figures, loss and weather station are off by
errors drawn within the tolerances that its station file states, any place as likely as another, and
some pulls on it. Run:
    python tests/benchmarks/power_uncertainty.py [jobs]
"one pull": each peak of the first pull against what that pull truly gave. "stage": the mean of
three pulls that differ by 0.7 % against the car's own; three more of another stage add to what is
known of how pulls differ. All should be 93 to 97 %. ±: its median, in per cent.
"""

import sys
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "analysis"))

from roller_pulls import FINE_RPM, Bay, Torque, roller_pull

from analysis.model.pull import Pull
from analysis.model.setup import Air, Dyno, LossConvention, Setup, Standard
from analysis.power.atmosphere import din_70020
from analysis.power.curve import power_curve
from analysis.power.figures import Figure, Measure, PowerFigures, of_stage, power_figures
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, Samples

SPREAD = 0.007
RUNS = 3  # a stage
TRUE_AIR = Air(97.0, 28.0, 40.0)
TRUE_LOSS_PERCENT = 15.0
TOLERANCES = {
    "inertia_tolerance_percent": 2.0,
    "roller_radius_tolerance_percent": 0.5,
    "brake_torque_tolerance_percent": 1.0,
    "sent_power_tolerance_percent": 3.0,
    "engine_speed_tolerance_percent": 0.3,
    "loss_tolerance_percent": 20.0,
    "pressure_tolerance_kpa": 0.3,
    "temperature_tolerance_k": 2.0,
    "humidity_tolerance_percent": 10.0,
}


@dataclass(frozen=True)
class Case:
    """tolerances: over the usual ones. sent: the controller sends torque."""

    name: str
    bay: Bay
    tolerances: dict[str, float]
    sent: bool = False


CASES = (
    Case("inertia dyno", Bay(), {}),
    Case("braked dyno", Bay(braked=True), {}),
    Case("inertia alone unsure", Bay(), {"roller_radius_tolerance_percent": 0.0}),
    Case("well known, coarse readings", Bay(noise_kmh=0.05, roller_hz=20.0),
         {"inertia_tolerance_percent": 0.3, "roller_radius_tolerance_percent": 0.1}),
    Case("braked, 10 Hz", Bay(braked=True, roller_hz=10.0, noise_kmh=0.1), {}),
    Case("torque sent", Bay(), {}, sent=True),
)  # fmt: skip


@dataclass(frozen=True)
class Job:
    """The set-up as the station file has it, what its pulls are, and how far off it all is."""

    setup: Setup
    pulls: list[Pull]
    gains: list[float]
    loss_percent: float


def drive(case: Case, rng: np.random.Generator) -> Job:
    """A dyno that is off, and the pulls of two stages on it."""
    said: dict[str, Any] = {**TOLERANCES, **case.tolerances}

    def off(name: str) -> float:
        return float(rng.uniform(-1, 1) * said[name])

    def share(name: str) -> float:
        return 1 + off(name) / 100

    true = case.bay.setup.dyno
    assert true.inertia_kg_m2 is not None
    assert true.roller_radius_m is not None
    dyno = Dyno(
        inertia_kg_m2=None
        if case.sent
        else true.inertia_kg_m2 * share("inertia_tolerance_percent"),
        roller_radius_m=true.roller_radius_m * share("roller_radius_tolerance_percent"),
        loss=LossConvention.ADD_PERCENT_OF_WHEEL,
        loss_percent=TRUE_LOSS_PERCENT * share("loss_tolerance_percent"),
        correction=Standard.DIN_70020,
        **said,
    )
    assert TRUE_AIR.barometric_kpa is not None
    assert TRUE_AIR.temperature_degc is not None
    air = Air(
        TRUE_AIR.barometric_kpa + off("pressure_tolerance_kpa"),
        TRUE_AIR.temperature_degc + off("temperature_tolerance_k"),
        TRUE_AIR.relative_humidity_percent,
    )
    brake, engine = share("brake_torque_tolerance_percent"), share("engine_speed_tolerance_percent")
    sent = share("sent_power_tolerance_percent") if case.sent else None
    gains = [1 + SPREAD * float(rng.standard_normal()) for _ in range(2 * RUNS)]
    pulls = [
        off_by(roller_pull(Torque(), case.bay, rng, number, gain), brake, engine, sent, gain)
        for number, gain in enumerate(gains, start=1)
    ]
    return Job(Setup(dyno=dyno, air=air), pulls, gains, dyno.loss_percent)


def off_by(pull: Pull, brake: float, engine: float, sent: float | None, gain: float) -> Pull:
    """The pull as channels show it that are off by these factors; torque sent where asked for."""
    speed = pull.samples["engine_speed"]
    samples = {**pull.samples, "engine_speed": Samples(speed.time_s, speed.value * engine)}
    channels = dict(pull.channels)
    if "roller_torque" in samples:
        measured = samples["roller_torque"]
        samples["roller_torque"] = Samples(measured.time_s, measured.value * brake)
    if sent is not None:
        torque_nm = Torque()(np.clip(speed.value, 1500.0, 6500.0)) * gain * sent
        samples["wheel_torque"] = Samples(speed.time_s, torque_nm)
        quantity = Quantity.WHEEL_TORQUE
        channels["wheel_torque"] = Channel("wheel_torque", HOUSE_UNIT[quantity], quantity)
    return replace(pull, channels=channels, samples=samples)


def truths(rpm: np.ndarray) -> dict[Measure, float]:
    """The car's true peaks between these engine speeds."""
    fine = FINE_RPM[(rpm[0] <= FINE_RPM) & (rpm[-1] >= FINE_RPM)]
    power, torque = Torque().power_kw(fine).max(), Torque()(fine).max()
    assert TRUE_AIR.barometric_kpa is not None
    assert TRUE_AIR.temperature_degc is not None
    factor = din_70020(TRUE_AIR.barometric_kpa, TRUE_AIR.temperature_degc)
    lost = 1 + TRUE_LOSS_PERCENT / 100
    return {
        Measure.WHEEL_POWER: power,
        Measure.WHEEL_TORQUE: torque,
        Measure.ENGINE_POWER: power * lost,
        Measure.ENGINE_TORQUE: torque * lost,
        Measure.CORRECTED_POWER: power * factor,
    }


def outcomes(case: Case, rng: np.random.Generator) -> Iterator[tuple[str, Measure, bool, float]]:
    """Of one job: what of it, whether the interval holds the truth, and ± in per cent."""
    job = drive(case, rng)
    curves = [power_curve(pull, job.setup) for pull in job.pulls]
    figures: list[PowerFigures] = []
    for pull, curve in zip(job.pulls, curves, strict=True):
        assert curve is not None
        figures.append(power_figures(pull, curve, job.setup))
    assert curves[0] is not None
    stages = [figures[:RUNS], figures[RUNS:]]
    for measure, true in truths(curves[0].engine_speed_rpm).items():
        first, stage = figures[0].of(measure), of_stage(measure, stages[0], stages)
        yield "one pull", measure, *held(first, true * job.gains[0])
        yield "stage", measure, *held(stage, true)


def held(figure: Figure | None, true: float) -> tuple[bool, float]:
    """Whether the interval holds the truth, and its half-width in per cent."""
    assert figure is not None
    assert figure.half_width is not None
    return abs(figure.value - true) <= figure.half_width, 100 * figure.half_width / figure.value


def score(case: Case, jobs: int, seed: int = 1) -> dict[tuple[str, Measure], tuple[float, float]]:
    """Coverage and median ±, both in per cent, by what it is of."""
    rng = np.random.default_rng(seed)
    found = defaultdict(list)
    for _ in range(jobs):
        for what, measure, holds, percent in outcomes(case, rng):
            found[what, measure].append((holds, percent))
    return {
        key: (100 * float(np.mean([h for h, _ in each])), float(np.median([p for _, p in each])))
        for key, each in found.items()
    }


if __name__ == "__main__":
    jobs = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    print(f"{jobs} dynos a row; share of ± that hold the truth, and ±, both in %")
    print(f"{'case':30} {'':9}" + "".join(f"{measure.value:>18}" for measure in Measure))
    for case in CASES:
        row = score(case, jobs)
        for what in ("one pull", "stage"):
            cells = "".join(
                f"{row[what, measure][0]:11.1f} ±{row[what, measure][1]:5.2f}"
                for measure in Measure
            )
            print(f"{case.name:30} {what:9}{cells}", flush=True)
