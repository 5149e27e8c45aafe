"""Knock alerts against the truth over many simulated pulls, with and without knock.

    python tests/benchmarks/alerts.py --pulls 1000

A cylinder's truth is the retard its knock control really took in the physics, not the channel.
"""

import argparse
import random
import time
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from rich.console import Console
from rich.progress import track

from analysis.alerts import LIMITS, AlertMonitor
from analysis.events import Alert, AlertKind, AlertState, Phase
from analysis.findings import Cause
from analysis.limits import Limits
from decode.quantities import Quantity
from decode.samples import SampleBatch
from simulators.cars import CARS
from simulators.channels import default_channels
from simulators.faults import Fault
from simulators.manoeuvres import Sweep
from simulators.scenario import Scenario
from simulators.session import SimulatedSession, simulate

BATCH_S = 0.01
PETROL = tuple(car for car in CARS if not car.diesel)
SEEN = (Quantity.ENGINE_SPEED, Quantity.KNOCK_RETARD)


@dataclass
class Tally:
    """cylinders: how many had at least twice the limit, and how many less than the limit."""

    beyond: int = 0
    missed: int = 0
    quiet: int = 0
    false: int = 0
    delay_ms: list[float] = field(default_factory=list)
    cpu_s: float = 0.0
    recorded_s: float = 0.0


def scenario(seed: int) -> Scenario:
    """Every other pull knocks; kind and severity are drawn."""
    chance = random.Random(seed)
    car = chance.choice(PETROL)
    faults: tuple[Fault, ...] = ()
    if seed % 2:
        kind = chance.choice([Cause.LOW_OCTANE_FUEL, Cause.SINGLE_CYLINDER_KNOCK])
        extra = {"cylinder": float(chance.randint(1, car.engine.cylinders))}
        faults = (Fault(kind, chance.uniform(0.2, 1.0), extra),)
    top_rpm = car.engine.limiter_rpm
    sweep = Sweep(start_rpm=0.3 * top_rpm, end_rpm=0.95 * top_rpm, ramp_rpm_s=0.1 * top_rpm)
    specs = tuple(spec for spec in default_channels(car) if spec.quantity in SEEN)
    return Scenario(car=car, plan=(sweep,), faults=faults, channels=specs)


def batches(session: SimulatedSession) -> Iterator[tuple[SampleBatch, float]]:
    """The session cut into pieces of BATCH_S."""
    for edge_s in np.arange(BATCH_S, session.truth.duration_s + BATCH_S, BATCH_S):
        yield (
            {n: s.between(edge_s - BATCH_S, edge_s) for n, s in session.samples.items()},
            float(edge_s),
        )


def watch(session: SimulatedSession, limits: Limits, tally: Tally) -> list[Alert]:
    """The knock alerts raised."""
    monitor = AlertMonitor(session.channels, limits)
    alerts: list[Alert] = []
    cut = list(batches(session))
    started = time.process_time()
    for part, now_s in cut:
        alerts += monitor.feed(part, Phase.SWEEP, now_s)
    tally.cpu_s += time.process_time() - started
    tally.recorded_s += session.truth.duration_s
    knock = AlertKind.KNOCK_RETARD
    return [a for a in alerts if a.kind is knock and a.state is AlertState.RAISED]


def judge(session: SimulatedSession, alerts: list[Alert], limit: float, tally: Tally) -> None:
    """Cylinder by cylinder."""
    raised = {alert.cylinder: alert for alert in alerts}
    for channel in session.channels.values():
        if channel.quantity is not Quantity.KNOCK_RETARD:
            continue
        retard = session.trace[channel.name]
        if retard.max() >= 2.0 * limit:
            tally.beyond += 1
            tally.missed += channel.cylinder not in raised
        if retard.max() < limit:
            tally.quiet += 1
            tally.false += channel.cylinder in raised
        elif channel.cylinder in raised:
            onset_s = session.trace["time"][int(np.argmax(retard >= limit))]
            tally.delay_ms.append(1000.0 * (raised[channel.cylinder].at_s - onset_s))


def main() -> None:
    """Run and print."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--pulls", type=int, default=1000)
    pulls = arguments.parse_args().pulls
    console = Console(width=120)
    limits = Limits.of(LIMITS, {}, "")
    limit = limits["alerts.knock_watch"].value
    tally = Tally()
    for seed in track(range(pulls), console=console):
        session = simulate(scenario(seed), seed)
        judge(session, watch(session, limits, tally), limit, tally)
    p50, p99 = np.percentile(tally.delay_ms, [50, 99])
    console.print(
        f"{pulls} pulls; cylinders at {2 * limit:g} deg or more: {tally.beyond}, "
        f"missed {tally.missed}; below {limit:g} deg: {tally.quiet}, false alarms {tally.false}; "
        f"onset to alert p50 {p50:.0f} ms, p99 {p99:.0f} ms; "
        f"CPU {100 * tally.cpu_s / tally.recorded_s:.2f} % of a core at {1 / BATCH_S:.0f} batches/s"
    )


if __name__ == "__main__":
    main()
