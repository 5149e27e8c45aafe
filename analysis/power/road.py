"""Power without a dyno, from how a car of known mass gains speed: an estimate with its interval.

P = (M_e dv/dt + A + C v^2 + M g s) v, the road-load form of 40 CFR 1066.210. Mass is the job's,
everything else is a typical car's with how far cars differ from it (common practice, no published
source), and a road's slope is unknown. Only for the road: on a roller the mass does not move.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.model.pull import Pull
from analysis.model.setup import Car
from analysis.power.rollers import KMH_PER_M_S, W_PER_KW
from analysis.power.smoothing import local_polynomial
from analysis.power.sweep import ORDER, smoothing_window_s, sweep_of
from decode.quantities import Quantity
from decode.samples import FloatArray

GRAVITY_M_S2: Final = 9.80665
AIR_KG_M3: Final = 1.2

# typical value and how far (95 %) cars and roads lie around it: common practice
ROTATING_SHARE: Final = (0.035, 0.02)  # of the mass: wheels count as if they were heavier
MASS_SHARE: Final = (0.0, 0.04)  # driver, fuel, luggage
ROLLING: Final = (0.012, 0.003)
DRAG_AREA_M2: Final = (0.65, 0.12)
SLOPE: Final = (0.0, 0.01)


@dataclass(frozen=True, slots=True)
class RoadEstimate:
    """float64[n] on multiples of 50 rpm; half_width_kw at 95 %. Power at the wheel.
    mass_kg: of the car, that it stands on."""

    engine_speed_rpm: FloatArray
    wheel_power_kw: FloatArray
    half_width_kw: FloatArray
    mass_kg: float


def road_estimate(pull: Pull, car: Car) -> RoadEstimate | None:
    """None without the car's mass or its speed."""
    speed = pull.first(Quantity.VEHICLE_SPEED)
    sweep = sweep_of(pull)
    if speed is None or not car.mass_kg or len(sweep.time_s) < 2:
        return None
    inside = pull.sweep(speed)
    fitted = local_polynomial(inside, sweep.time_s, smoothing_window_s(pull), ORDER)
    speed_ms, gain_ms2 = (values / KMH_PER_M_S for values in fitted)
    mass_kg = car.mass_kg
    power_w = road_power_w(speed_ms, gain_ms2, mass_kg)
    return RoadEstimate(
        sweep.engine_speed_rpm,
        power_w / W_PER_KW,
        _half_width_w(speed_ms, gain_ms2, mass_kg) / W_PER_KW,
        mass_kg,
    )


def road_power_w(speed_ms: FloatArray, gain_ms2: FloatArray, mass_kg: float) -> FloatArray:
    """Power at the wheels for the typical car, on the level."""
    force_n = mass_kg * (1 + ROTATING_SHARE[0]) * gain_ms2
    force_n = force_n + mass_kg * GRAVITY_M_S2 * ROLLING[0]
    force_n = force_n + AIR_KG_M3 / 2 * DRAG_AREA_M2[0] * speed_ms**2
    power_w: FloatArray = force_n * speed_ms
    return power_w


def _half_width_w(speed_ms: FloatArray, gain_ms2: FloatArray, mass_kg: float) -> FloatArray:
    """The unknowns' 95 % ranges, each through the force it makes, added in squares."""
    weight_n = mass_kg * GRAVITY_M_S2
    inertial = mass_kg * np.hypot(ROTATING_SHARE[1], MASS_SHARE[1]) * gain_ms2
    drag = AIR_KG_M3 / 2 * DRAG_AREA_M2[1] * speed_ms**2
    still = np.hypot(weight_n * ROLLING[1], weight_n * SLOPE[1])
    half_width: FloatArray = np.sqrt(inertial**2 + drag**2 + still**2) * speed_ms
    return half_width
