"""Error of the estimated clock offset against the simulator's, over cars, brakes and ramps.

    python tests/benchmarks/clock_offsets.py

The dyno's clock is moved by 0, 10, 20, 50 and 200 ms both ways. By what is known of the force at
the tyre; with something wrong with the car or the roller's sensor; over a session that drifts.
"""

import sys
from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Final

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))
from simulated_pulls import pull_of

from analysis.clocks.clock_alignment import ClockTrack, align
from analysis.clocks.clock_offset import offsets_of
from analysis.model.findings import Cause
from analysis.model.pull import Pull
from decode.quantities import Quantity
from decode.samples import Samples
from simulators.cars import CARS
from simulators.dyno import Braked, DynoModel, Inertia
from simulators.faults import Fault
from simulators.manoeuvres import Idle, Sweep
from simulators.scenario import Scenario
from simulators.session import simulate

OFFSETS_MS: Final = (0, 10, -10, 20, -20, 50, -50, 200, -200)
RAMPS_RPM_S: Final = (250.0, 500.0, 1000.0)
DYNOS: Final[tuple[DynoModel, ...]] = (Braked(), Inertia())
DRIFT_PPM: Final = 100.0
FORCE: Final = {Quantity.ROLLER_TORQUE, Quantity.WHEEL_TORQUE, Quantity.WHEEL_POWER}
KNOWN: Final[dict[str, set[Quantity]]] = {
    "brake torque": set(),
    "ECU torque only": FORCE,
    "no torque": {*FORCE, Quantity.ENGINE_TORQUE},
}
FAULTS: Final[dict[str, tuple[Fault, ...]]] = {
    "tyre slip, mild": (Fault(Cause.TYRE_SLIP, 0.3),),
    "tyre slip, severe": (Fault(Cause.TYRE_SLIP, 1.0),),
    "clutch slip": (Fault(Cause.CLUTCH_SLIP, 0.6),),
    "misfire": (Fault(Cause.MISFIRE, 0.6, {"cylinder": 1.0}),),
    **{
        f"roller speed {mode}": (
            Fault(Cause.SENSOR_FAULT, 0.6, {"channel": "roller_speed", "mode": mode}),
        )
        for mode in ("stuck", "clipped", "offset", "dropout")
    },
}


def pulls(faults: tuple[Fault, ...] = (), sweeps: int = 1) -> Iterator[list[Pull]]:
    """The pulls of one session each of every car on both dynos with every ramp."""
    for seed, (car, dyno, ramp) in enumerate(product(CARS, DYNOS, RAMPS_RPM_S)):
        sweep = Sweep(gear=4, start_rpm=1800.0, ramp_rpm_s=ramp, hold_s=2.0)
        plan = (sweep, Idle(60.0)) * sweeps
        session = simulate(Scenario(car=car, dyno=dyno, plan=plan, faults=faults), seed)
        yield [pull_of(session, true) for true in session.truth.pulls]


def late(pull: Pull, offset_s: float, without: Collection[Quantity] = ()) -> Pull:
    """The pull with the dyno's clock off, and some channels not logged."""
    channels = {n: c for n, c in pull.channels.items() if c.quantity not in without}
    samples = {n: pull.samples[n] for n in channels}
    moved = {
        n: Samples(s.time_s + offset_s, s.value)
        for n, s in samples.items()
        if channels[n].source == "dyno"
    }
    return replace(pull, channels=channels, samples=samples | moved)


def row(name: str, measured: list[tuple[float, float, float, bool]], tried: int) -> None:
    """measured: true offset, estimated, uncertainty (s), whether it was moved."""
    if not measured:
        print(f"{name:24} of {tried:4} pulls none could be measured")
        return
    true, found, uncertainty, moved = (np.array(column) for column in zip(*measured, strict=True))
    error = 1e3 * (found - true)
    left = np.where(moved, np.abs(error), 1e3 * np.abs(true))
    print(
        f"{name:24} {len(true):4}/{tried:<4} {error.mean():6.1f} {error.std():6.1f} "
        f"{np.abs(error).max():7.1f} {1e3 * np.median(uncertainty):7.1f} "
        f"{100 * np.mean(np.abs(error) <= 2e3 * uncertainty):6.0f} % {100 * moved.mean():6.0f} % "
        f"{left.mean():8.1f} {left.max():8.1f}"
    )


def head(title: str) -> None:
    print(f"\n{title}")
    print(
        f"{'':24} {'told/all':>9} {'bias':>6} {'sd':>6} {'worst':>7} {'stated':>7} {'in 2 s':>8} "
        f"{'moved':>8} {'left':>8} {'worst':>8}   (ms)"
    )


def measure(pull: Pull, offset_s: float) -> list[tuple[float, float, float, bool]]:
    return [
        (offset_s, found.offset_s, found.uncertainty_s, bool(align(pull, {}).moved))
        for found in offsets_of(pull)
    ]


def by_offset(sound: list[Pull]) -> None:
    for known, without in KNOWN.items():
        head(f"known of the force: {known}; rows: true offset")
        for offset in OFFSETS_MS:
            measured = []
            for pull in sound:
                measured += measure(late(pull, offset * 1e-3, without), offset * 1e-3)
            row(f"{offset:+} ms", measured, len(sound))


def by_car(sound: list[tuple[str, Pull]]) -> None:
    head("brake torque known, all offsets; rows: car, brake, ramp")
    for name in dict.fromkeys(name for name, _ in sound):
        measured = []
        for pull in (pull for n, pull in sound if n == name):
            for offset in OFFSETS_MS:
                measured += measure(late(pull, offset * 1e-3), offset * 1e-3)
        row(name, measured, len(OFFSETS_MS))


def by_fault() -> None:
    head("something wrong, dyno 50 ms late; rows: what")
    for name, faults in FAULTS.items():
        measured, tried = [], 0
        for session in pulls(faults):
            for pull in session:
                tried += 1
                measured += measure(late(pull, 0.05), 0.05)
        row(name, measured, tried)


def drifting() -> None:
    head(f"four pulls a session, {DRIFT_PPM:.0f} ppm of drift from 20 ms; rows: pull")
    rows: dict[int, list[tuple[float, float, float, bool]]] = {}
    for session in pulls(sweeps=4):
        tracks: Mapping[str, ClockTrack] = {}
        for pull in session:
            true_s = 0.02 + DRIFT_PPM * 1e-6 * pull.bounds.start_s
            aligned = align(late(pull, true_s), tracks)
            tracks = aligned.tracks
            if (track := tracks.get("dyno")) is not None:
                known = track.known
                told = (true_s, known.offset_s, known.uncertainty_s, bool(aligned.moved))
                rows.setdefault(pull.number, []).append(told)
    for number, measured in rows.items():
        row(f"pull {number}", measured, len(measured))


def main() -> None:
    names = [
        f"{car.name.split()[0]} {car.name.split()[1][:9]} {type(dyno).__name__[:4]} {ramp:.0f}"
        for car, dyno, ramp in product(CARS, DYNOS, RAMPS_RPM_S)
    ]
    sound = [(n, pull) for n, session in zip(names, pulls(), strict=True) for pull in session]
    by_offset([pull for _, pull in sound])
    by_car(sound)
    by_fault()
    drifting()


if __name__ == "__main__":
    main()
