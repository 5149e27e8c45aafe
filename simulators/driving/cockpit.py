"""What the driver can see and touch."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

from simulators.dyno import Load
from simulators.truth import PullLog

Steps = Iterator[None]  # of a manoeuvre: one a step of the simulation


@dataclass(slots=True)
class Controls:
    """Foot and hand. pedal in percent, clutch 0 open to 1 closed, service brake at the wheels."""

    pedal: float = 0.0
    gear: int = 0
    clutch: float = 0.0
    service_nm: float = 0.0
    cruise_percent: float = 0.0  # asked for by cruise control, not by the foot


class Cockpit(Protocol):
    """The car, as its driver has it."""

    controls: Controls
    load: Load
    log: PullLog

    @property
    def time_s(self) -> float: ...
    @property
    def rpm(self) -> float: ...
    @property
    def speed_ms(self) -> float: ...
    @property
    def clutch_locked(self) -> bool: ...
    @property
    def limiter_rpm(self) -> float: ...
    @property
    def idle_rpm(self) -> float: ...
    def speed_at(self, rpm: float, gear: int) -> float: ...


def is_braked(car: Cockpit) -> bool:
    """Whether the roller has a brake."""
    return car.load.brake_limit_n > 0.0
