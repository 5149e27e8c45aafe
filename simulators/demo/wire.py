"""The demo car on its wires: stretches of simulated time as bytes to send, each at its time."""

import itertools
import random
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from decode.samples import FloatArray
from simulators.demo.bus import BUS, DYNO_RATE_HZ, LAMBDA_RATE_HZ, SPECS
from simulators.demo.job import CAR, CHANGED_CAR, IDLE_PLAN, STAGES, scenario, stage_plan
from simulators.frames import FrameTable, encode
from simulators.manoeuvres import Manoeuvre
from simulators.sensors import Trace
from simulators.session import with_air
from simulators.text_port import dyno_lines, lambda_lines, regular_times
from simulators.truth import Truth, true_pull
from simulators.vehicle import Vehicle

CHUNK_S: Final = 0.5
MEMORY_S: Final = 3.0  # of the stretch before, so that sensor lags carry over
_BUILT_ON: Final = 1 + round(MEMORY_S / CHUNK_S)  # chunks of the past, the newest included


@dataclass(frozen=True)
class Lines:
    """Text lines and when each is sent."""

    time_s: FloatArray
    lines: list[bytes]


@dataclass(frozen=True)
class Stretch:
    """All that is sent in start_s <= time < end_s of the device's clock."""

    start_s: float
    end_s: float
    engine: FrameTable
    dyno: Lines
    lambda_: Lines


class DemoCar:
    """Drives the stages on one clock that starts at 0; it runs while stretches are taken."""

    def __init__(self, seed: int) -> None:
        first = scenario(STAGES[0])
        self._scenario = first
        self._vehicle = Vehicle(CAR, first.dyno, first.air, first.faults, random.Random(seed))
        self._numbers = np.random.default_rng(seed)
        self._traces: list[Trace] = []
        self._stage_of_pull: list[str] = []

    @property
    def time_s(self) -> float:
        """The device's clock."""
        return self._vehicle.time_s

    def stage(self, stage: str) -> Iterator[Stretch]:
        """The pulls of one stage."""
        if stage != STAGES[0]:
            self._vehicle.recalibrate(CHANGED_CAR)
        yield from self._stretches(stage_plan(stage))
        new = len(self._vehicle.log.pulls) - len(self._stage_of_pull)
        self._stage_of_pull += [stage] * new

    def idle(self) -> Iterator[Stretch]:
        """The engine idles for a moment."""
        yield from self._stretches(IDLE_PLAN)

    def truth(self) -> Truth:
        """Of everything driven so far, on the device's clock."""
        trace = {
            name: np.concatenate([trace[name] for trace in self._traces])
            for name in self._traces[0]
        }
        logged = self._vehicle.log.pulls
        faults = self._scenario.faults
        return Truth(
            stage="demo",
            pulls=tuple(
                true_pull(number, stage, pull, trace, faults)
                for number, (stage, pull) in enumerate(
                    zip(self._stage_of_pull, logged, strict=True), start=1
                )
            ),
            faults=faults,
            duration_s=self.time_s,
        )

    def drop_before(self) -> None:
        """The truth has been told: keep of the past only what is sent next builds on."""
        del self._traces[:-_BUILT_ON]

    def _stretches(self, plan: tuple[Manoeuvre, ...]) -> Iterator[Stretch]:
        steps = self._vehicle.steps(plan)
        size = round(CHUNK_S / self._vehicle.step_s)
        start_s = self.time_s
        while chunk := list(itertools.islice(steps, size)):
            trace = with_air(self._vehicle.trace_of(chunk), self._scenario)
            self._traces.append(trace)
            end_s = self.time_s
            yield self._encoded(start_s, end_s)
            start_s = end_s

    def _encoded(self, start_s: float, end_s: float) -> Stretch:
        recent = self._traces[-_BUILT_ON:]
        trace = {name: np.concatenate([part[name] for part in recent]) for name in recent[0]}
        dyno_s = regular_times(start_s, end_s, DYNO_RATE_HZ)
        lambda_s = regular_times(start_s, end_s, LAMBDA_RATE_HZ)
        numbers = self._numbers
        return Stretch(
            start_s,
            end_s,
            encode(trace, SPECS, BUS, start_s, end_s, numbers),
            Lines(dyno_s, dyno_lines(trace, SPECS, dyno_s, numbers)),
            Lines(lambda_s, lambda_lines(trace, SPECS["lambda"], lambda_s, numbers)),
        )
