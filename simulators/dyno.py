"""What the driven wheels stand on: a braked roller, a free roller, or the road.

All of them are, to the tyre, a mass that moves and a force against it.
"""

import math
from dataclasses import dataclass, field
from enum import Enum
from typing import Final

from simulators.car import CarModel

GRAVITY: Final = 9.80665  # m/s2, ISO 80000-3 standard acceleration
AIR_DRAG_KG_M: Final = 0.42  # half density times drag area of a small car: 0.5 x 1.2 x 0.7
COAST_DOWN_STEP_KM_H: Final = 20
COAST_DOWN_TOP_KM_H: Final = 260
BRAKE_LAG_S: Final = 0.03  # eddy-current brake: field follows the current
KNOWN_LAG_S: Final = 0.07  # brake and torque measurement: the ramp starts that much behind
LARGEST_LAG_MS: Final = 0.1  # further behind than that, the ramp waits for a weak engine
STANDING_MS: Final = 0.3  # below it resistance fades, so that a standing roller stays so
FORCE_LAG_S: Final = 0.04  # of the measured tyre force that the brake answers
SPEED_GAIN_PER_S: Final = 5.0  # of the speed controller: acceleration per speed error


class BrakeMode(Enum):
    """What the dyno's controller does."""

    FREE = "free"
    HOLD = "hold"
    RAMP = "ramp"


@dataclass(frozen=True, slots=True)
class Braked:
    """A roller with an eddy brake: holds a speed, lets it rise at a set rate."""

    inertia_kg_m2: float = 18.0
    roller_radius_m: float = 0.25
    brake_nm: float = 1600.0  # the most it can absorb, at the roller's shaft
    bearing_n: float = 12.0
    bearing_n_s: float = 0.35


@dataclass(frozen=True, slots=True)
class Inertia:
    """A heavy free roller: the car accelerates it, nothing holds it."""

    inertia_kg_m2: float = 120.0
    roller_radius_m: float = 0.38
    brake_nm: float = 0.0
    bearing_n: float = 15.0
    bearing_n_s: float = 0.4


@dataclass(frozen=True, slots=True)
class Road:
    """No dyno: the car's own mass, rolling and air resistance."""

    rolling_n: float = 160.0


DynoModel = Braked | Inertia | Road
Roller = Braked | Inertia


@dataclass(slots=True)
class Load:
    """The moving mass at the tyre's contact and the force against it."""

    mass_kg: float
    resistance_n: float
    resistance_n_s: float
    resistance_n_s2: float
    brake_limit_n: float
    slope: float = 0.0  # rise over run, road only
    mode: BrakeMode = BrakeMode.FREE
    set_ms: float = 0.0
    ramp_ms2: float = 0.0
    brake_n: float = 0.0
    _tyre_n: float = field(default=0.0)

    @classmethod
    def of(cls, dyno: DynoModel, car: CarModel) -> "Load":
        """The load of a dyno at rest."""
        if isinstance(dyno, Road):
            return cls(
                mass_kg=car.mass_kg,
                resistance_n=dyno.rolling_n,
                resistance_n_s=0.0,
                resistance_n_s2=AIR_DRAG_KG_M,
                brake_limit_n=0.0,
            )
        radius = dyno.roller_radius_m
        return cls(
            mass_kg=dyno.inertia_kg_m2 / radius**2,
            resistance_n=dyno.bearing_n,
            resistance_n_s=dyno.bearing_n_s,
            resistance_n_s2=0.0,
            brake_limit_n=dyno.brake_nm / radius,
        )

    def passive_n(self, speed_ms: float) -> float:
        """Resistance without the brake."""
        standing = min(1.0, abs(speed_ms) / STANDING_MS)
        forward = self.resistance_n + speed_ms * (
            self.resistance_n_s + speed_ms * self.resistance_n_s2
        )
        return standing * forward + self.slope * self.mass_kg * GRAVITY

    def step(self, step_s: float, speed_ms: float, tyre_n: float) -> float:
        """Total force against the motion; the controller feeds forward the force it measures."""
        self._tyre_n += (tyre_n - self._tyre_n) * min(1.0, step_s / FORCE_LAG_S)
        if self.mode is BrakeMode.FREE:
            wanted = 0.0
        else:
            rate = self.ramp_ms2 if self.mode is BrakeMode.RAMP else 0.0
            self.set_ms += rate * step_s
            error = speed_ms - self.set_ms + rate * KNOWN_LAG_S
            wanted = self._tyre_n - self.mass_kg * (rate - SPEED_GAIN_PER_S * error)
            if wanted <= 0.0 and self.mode is BrakeMode.RAMP:
                self.set_ms = min(self.set_ms, speed_ms + rate * KNOWN_LAG_S + LARGEST_LAG_MS)
        wanted = min(max(wanted, 0.0), self.brake_limit_n)
        self.brake_n += (wanted - self.brake_n) * (1.0 - math.exp(-step_s / BRAKE_LAG_S))
        return self.brake_n + self.passive_n(speed_ms)


def total_inertia_kg_m2(car: CarModel, dyno: Roller) -> float:
    """Roller and driven wheels together, at the roller's shaft: what a coast-down sees move."""
    drive = car.drive
    wheels = drive.wheel_inertia_kg_m2 * (dyno.roller_radius_m / drive.wheel_radius_m) ** 2
    return dyno.inertia_kg_m2 + wheels


def coast_down_kw(car: CarModel, dyno: Roller, speed_ms: float) -> float:
    """Power lost with the clutch open: gears, joints, tyres, bearings."""
    drive = car.drive
    drag_nm = drive.drag_nm + drive.drag_nm_s * speed_ms / drive.wheel_radius_m
    force = (
        drag_nm / drive.wheel_radius_m
        + drive.tyre_rolling_n
        + drive.tyre_rolling_n_s2 * speed_ms**2
        + dyno.bearing_n
        + dyno.bearing_n_s * speed_ms
    )
    return force * speed_ms / 1000.0


def coast_down_table(car: CarModel, dyno: Roller) -> tuple[tuple[float, float], ...]:
    """(surface speed km/h, loss power kW), as a coast-down on this dyno would give it."""
    speeds = range(0, COAST_DOWN_TOP_KM_H + 1, COAST_DOWN_STEP_KM_H)
    return tuple((float(v), round(coast_down_kw(car, dyno, v / 3.6), 3)) for v in speeds)
