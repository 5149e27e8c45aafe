"""Power at the roller's surface from what the dyno sends.

P = (I alpha + T_brake) omega, all at the roller's shaft (the road-load form with inertia beside a
brake: 40 CFR 1066.210). A controller that sends power or torque is taken at its word.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.power.smoothing import local_polynomial
from analysis.power.sweep import ORDER
from analysis.pull import Pull
from analysis.setup import Dyno
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

KMH_PER_M_S: Final = 3.6
RAD_S_PER_RPM: Final = np.pi / 30
W_PER_KW: Final = 1000.0


@dataclass(frozen=True, slots=True)
class WheelPower:
    """power_kw: float64[n] at the times asked for. method: in words, for the report."""

    power_kw: FloatArray
    method: str


def wheel_power(pull: Pull, dyno: Dyno, at_s: FloatArray, window_s: float) -> WheelPower | None:
    """Power that reaches the roller at each time; None where the pull has no dyno data.

    The roller's own speed comes first, because only then is the smoothing ours to state.
    """
    roller = _sweep(pull, Quantity.ROLLER_SPEED)
    if roller is not None and dyno.inertia_kg_m2 and dyno.roller_radius_m:
        return _from_roller(pull, roller, dyno, at_s, window_s)
    sent = _sweep(pull, Quantity.WHEEL_POWER)
    if sent is not None:
        power_kw, _ = local_polynomial(sent, at_s, window_s, ORDER)
        return WheelPower(power_kw, "wheel power as the dyno's controller sends it")
    torque = _sweep(pull, Quantity.WHEEL_TORQUE)
    if torque is not None:
        torque_nm, _ = local_polynomial(torque, at_s, window_s, ORDER)
        power_kw = torque_nm * pull.engine_speed_at(at_s) * RAD_S_PER_RPM / W_PER_KW
        return WheelPower(
            power_kw, "wheel torque, referred to engine speed, as the dyno's controller sends it"
        )
    return None


def surface_speed_kmh(pull: Pull, at_s: FloatArray, window_s: float) -> FloatArray | None:
    """Speed of the roller's surface, or of the car where the dyno sends none; None without both."""
    speed = _sweep(pull, Quantity.ROLLER_SPEED) or _sweep(pull, Quantity.VEHICLE_SPEED)
    return None if speed is None else local_polynomial(speed, at_s, window_s, ORDER)[0]


def _from_roller(
    pull: Pull, roller: Samples, dyno: Dyno, at_s: FloatArray, window_s: float
) -> WheelPower:
    assert dyno.inertia_kg_m2 is not None
    assert dyno.roller_radius_m is not None
    speed = Samples(roller.time_s, roller.value / (KMH_PER_M_S * dyno.roller_radius_m))
    brake = _sweep(pull, Quantity.ROLLER_TORQUE)
    momentum = angular_momentum(speed, dyno.inertia_kg_m2, brake)
    _, torque_nm = local_polynomial(momentum, at_s, window_s, ORDER)
    speed_rad_s, _ = local_polynomial(speed, at_s, window_s, ORDER)
    kind = "inertia" if brake is None else "inertia and brake torque"
    return WheelPower(torque_nm * speed_rad_s / W_PER_KW, f"roller speed, {kind}")


def angular_momentum(
    speed_rad_s: Samples, inertia_kg_m2: float, brake_nm: Samples | None
) -> Samples:
    """I omega plus what the brake has taken out so far: its slope is the torque on the roller.

    Fitted as one, because what accelerates and what the brake takes trade places within tenths of
    a second where the brake lets go, and two fits would each blunt their own side.
    """
    value = inertia_kg_m2 * speed_rad_s.value
    if brake_nm is not None:
        steps = np.diff(brake_nm.time_s) * (brake_nm.value[1:] + brake_nm.value[:-1]) / 2
        taken = np.concatenate([[0.0], np.cumsum(steps)])
        value = value + np.interp(speed_rad_s.time_s, brake_nm.time_s, taken)
    return Samples(speed_rad_s.time_s, value)


def _sweep(pull: Pull, quantity: Quantity) -> Samples | None:
    samples = pull.first(quantity)
    if samples is None:
        return None
    samples = pull.sweep(samples)
    return samples if len(samples) > ORDER else None
