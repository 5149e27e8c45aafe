"""Power at the roller's surface from what the dyno sends.

P = (I alpha + T_brake) omega, all at the roller's shaft (the road-load form with inertia beside a
brake: 40 CFR 1066.210). A controller that sends power or torque is taken at its word.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import comb
from typing import Final

import numpy as np

from analysis.model.pull import Pull
from analysis.model.setup import Dyno
from analysis.phrases.say import say
from analysis.phrases.statement import Statement
from analysis.power.smoothing import SMALLEST_FIT, fitted_window_s, local_polynomial
from analysis.power.sweep import ORDER, settled_s, smoothing_window_s
from analysis.power.tolerances import Influence
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

KMH_PER_M_S: Final = 3.6
RAD_S_PER_RPM: Final = np.pi / 30
W_PER_KW: Final = 1000.0
DIFFERENCES: Final = (3, 5, 7)  # orders
QUIET: Final = 0.002  # standard error of torque by noise alone: the worst of 100 points is three
WIDEST: Final = 1.6  # times the window: 800 rpm of a sweep over 5,000, where a steep spool-up
# already loses 1 %


@dataclass(frozen=True, slots=True)
class WheelPower:
    """power_kw: float64[n] at the times asked for. method: for the report. window_s: what
    was fitted over, which few samples or a gap widen. noise: standard error that the scatter of
    the readings leaves in the middle of the curve, as a share. sensitivity: by how many per cent
    power changes with one per cent of what it rests on, float64[n]."""

    power_kw: FloatArray
    method: Statement
    window_s: float
    noise: float
    sensitivity: Mapping[Influence, FloatArray]


def wheel_power(pull: Pull, dyno: Dyno, at_s: FloatArray, window_s: float) -> WheelPower | None:
    """Power that reaches the roller at each time; None where the pull has no dyno data.

    The roller's own speed comes first, because only then is the smoothing ours to state.
    """
    brake = _sweep(pull, Quantity.ROLLER_TORQUE)
    roller = _sweep(pull, Quantity.ROLLER_SPEED)
    if roller is not None and dyno.inertia_kg_m2 and dyno.roller_radius_m:
        speed = Samples(roller.time_s, roller.value / (KMH_PER_M_S * dyno.roller_radius_m))
        return _from_roller(speed, dyno.inertia_kg_m2, brake, at_s, window_s)
    sent = _sweep(pull, Quantity.WHEEL_POWER)
    if sent is not None:
        power_kw, _ = local_polynomial(sent, at_s, window_s, ORDER)
        fitted_s = fitted_window_s(sent.time_s, window_s)
        return WheelPower(
            power_kw,
            say("method-wheel-power-sent"),
            fitted_s,
            _value_error(sent, fitted_s),
            {Influence.SENT_POWER: np.ones(len(at_s))},
        )
    torque = _sweep(pull, Quantity.WHEEL_TORQUE)
    if torque is not None:
        torque_nm, _ = local_polynomial(torque, at_s, window_s, ORDER)
        power_kw = torque_nm * pull.engine_speed_at(at_s) * RAD_S_PER_RPM / W_PER_KW
        fitted_s = fitted_window_s(torque.time_s, window_s)
        return WheelPower(
            power_kw,
            say("method-wheel-torque-sent"),
            fitted_s,
            _value_error(torque, fitted_s),
            dict.fromkeys((Influence.SENT_POWER, Influence.ENGINE_SPEED), np.ones(len(at_s))),
        )
    return None


def surface_speed_kmh(pull: Pull, at_s: FloatArray, window_s: float) -> FloatArray | None:
    """Speed of the roller's surface, or of the car where the dyno sends none; None without both."""
    speed = _sweep(pull, Quantity.ROLLER_SPEED) or _sweep(pull, Quantity.VEHICLE_SPEED)
    return None if speed is None else local_polynomial(speed, at_s, window_s, ORDER)[0]


def _from_roller(
    speed: Samples, inertia_kg_m2: float, brake: Samples | None, at_s: FloatArray, window_s: float
) -> WheelPower:
    momentum = angular_momentum(speed, inertia_kg_m2, brake)
    window_s = quiet_window_s(momentum, window_s)
    _, torque_nm = local_polynomial(momentum, at_s, window_s, ORDER)
    speed_rad_s, gain_rad_s2 = local_polynomial(speed, at_s, window_s, ORDER)
    key = "method-roller-inertia" if brake is None else "method-roller-inertia-and-brake"
    fitted_s = fitted_window_s(momentum.time_s, window_s)
    inertial = inertia_kg_m2 * gain_rad_s2 / torque_nm if brake is not None else np.ones(len(at_s))
    return WheelPower(
        torque_nm * speed_rad_s / W_PER_KW,
        say(key),
        fitted_s,
        float(
            np.hypot(
                _slope_error(momentum, fitted_s, _least_noise(momentum)),
                _brake_error(brake, momentum, fitted_s),
            )
        ),
        {
            Influence.INERTIA: inertial,
            Influence.ROLLER_RADIUS: 1 + inertial,  # squared in I omega alpha, single in T omega
            Influence.BRAKE_TORQUE: 1 - inertial,
        },
    )


def quiet_window_s(momentum: Samples, window_s: float) -> float:
    """The window, widened (at most WIDEST times) until noise leaves QUIET of the torque.

    The standard error of a cubic's slope at the middle of n samples over a window w is noise
    sqrt(75 / n) / w, and it falls with w^1.5.
    """
    if len(momentum) < 2 * SMALLEST_FIT:
        return window_s
    widening = (_slope_error(momentum, window_s, _noise(momentum, 3)) / QUIET) ** (2 / 3)
    return window_s * float(np.clip(widening, 1.0, WIDEST))


def _slope_error(momentum: Samples, window_s: float, noise: float) -> float:
    """Standard error of the fitted slope by that noise, as a share of the mean slope."""
    duration_s = momentum.time_s[-1] - momentum.time_s[0]
    mean_torque = abs(momentum.value[-1] - momentum.value[0]) / duration_s
    in_window = len(momentum) * window_s / duration_s
    error = noise * np.sqrt(75 / in_window) / window_s
    return float(error / mean_torque) if mean_torque > 0 else 0.0


def _brake_error(brake: Samples | None, momentum: Samples, window_s: float) -> float:
    """Standard error of the brake's torque by its own noise, as a share of the mean torque: summed
    up in the momentum, it hardly shows in the differences there."""
    if brake is None:
        return 0.0
    duration_s = momentum.time_s[-1] - momentum.time_s[0]
    mean_torque = abs(momentum.value[-1] - momentum.value[0]) / duration_s
    mean_brake = abs(float(np.mean(brake.value)))
    return _value_error(brake, window_s) * mean_brake / mean_torque if mean_torque > 0 else 0.0


def _value_error(sent: Samples, window_s: float) -> float:
    """Standard error of the fitted value by noise, as a share of the mean value: a cubic's, at the
    middle of n samples, is noise sqrt(9 / (4 n))."""
    in_window = len(sent) * window_s / (sent.time_s[-1] - sent.time_s[0])
    mean = abs(float(np.mean(sent.value)))
    return float(_least_noise(sent) * np.sqrt(9 / (4 * in_window)) / mean) if mean > 0 else 0.0


def _noise(samples: Samples, order: int) -> float:
    """Of single readings, read off differences of that order: their squares sum to 20 variances
    for the third, 252 for the fifth."""
    if len(samples) <= order:
        return 0.0
    return float(np.sqrt(np.mean(np.diff(samples.value, order) ** 2) / comb(2 * order, order)))


def _least_noise(samples: Samples) -> float:
    """At two or three readings a second the curve itself bends from one to the next: differences
    of a higher order see less of that."""
    return min(_noise(samples, order) for order in DIFFERENCES)


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
    """The quantity inside the sweep alone.

    The hold before it must not help the fit: the moment the sweep begins, the engine keeps torque
    to turn itself up, and what reaches the roller drops by several percent at once.
    """
    samples = pull.first(quantity)
    if samples is None:
        return None
    samples = samples.between(*settled_s(pull, smoothing_window_s(pull)))
    return samples if len(samples) >= SMALLEST_FIT else None
