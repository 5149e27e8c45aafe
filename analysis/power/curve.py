"""The torque and power curve of one pull, as measured, with everything needed to read it."""

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from pydantic import TypeAdapter

from analysis.model.plain_arrays import PlainArray
from analysis.model.pull import Pull
from analysis.model.setup import LossConvention, Setup
from analysis.phrases.say import amount, say
from analysis.phrases.statement import Statement
from analysis.power.air import air_of, aspiration_of
from analysis.power.correction import Correction, correction, every_correction
from analysis.power.losses import engine_power_kw, loss_statement
from analysis.power.rollers import RAD_S_PER_RPM, W_PER_KW, surface_speed_kmh, wheel_power
from analysis.power.smoothing import local_polynomial
from analysis.power.sweep import ORDER, smoothing_window_s, sweep_of
from decode.samples import FloatArray, Samples

LEAST_KW: Final = 0.1  # at the peak of a pull: less is a roller that was not driven
LARGEST_PEAK_SHIFT: Final = 0.003  # of peak power, by smoothing alone; beyond it, a caution


@dataclass(frozen=True, slots=True)
class PowerCurve:
    """Figures as measured; nothing here has been corrected for the air.

    Arrays are float64[n] on ascending multiples of 50 rpm. wheel_torque_nm is referred to the
    engine: wheel power over engine speed. Engine figures are None where the loss convention adds
    nothing. correction is the chosen standard, other_corrections what every standard would say:
    corrected figures are the arrays times a factor, and are never shown without these.
    peak_shift: what the smoothing does to peak power, as a share of it; NaN in a stored curve from
    before it was looked at.
    """

    engine_speed_rpm: PlainArray
    wheel_power_kw: PlainArray
    wheel_torque_nm: PlainArray
    engine_power_kw: PlainArray | None
    engine_torque_nm: PlainArray | None
    loss: LossConvention
    loss_statement: Statement
    correction: Correction
    other_corrections: tuple[Correction, ...]
    method: Statement
    smoothing: Statement
    peak_shift: float
    cautions: tuple[Statement, ...]

    def to_json(self) -> dict[str, Any]:
        """Plain data; NaN in an array (beyond a coast-down table) becomes null."""
        plain: dict[str, Any] = _CURVE.dump_python(self, mode="json")
        return plain

    @classmethod
    def from_json(cls, data: dict[str, Any]) -> "PowerCurve":
        """The inverse of to_json. Raises ValueError where it is no curve."""
        return _CURVE.validate_python(data)


_CURVE = TypeAdapter(PowerCurve)


def power_curve(pull: Pull, setup: Setup) -> PowerCurve | None:
    """The curve of the pull's monotone sweep; None where the pull has no dyno data."""
    sweep = sweep_of(pull)
    if len(sweep.time_s) < 2:
        return None
    window_s = smoothing_window_s(pull)
    measured = wheel_power(pull, setup.dyno, sweep.time_s, window_s)
    if measured is None or not float(np.max(measured.power_kw)) >= LEAST_KW:
        return None  # a roller that stands or never changes its speed measures nothing
    shift = peak_shift(sweep.time_s, measured.power_kw, measured.window_s)
    speed_kmh = surface_speed_kmh(pull, sweep.time_s, window_s)
    engine_kw = engine_power_kw(measured.power_kw, speed_kmh, setup.dyno)
    rpm = sweep.engine_speed_rpm
    day = air_of(pull, setup.air)
    aspiration = aspiration_of(pull, setup.car, float(rpm[np.argmax(measured.power_kw)]), day.air)
    return PowerCurve(
        engine_speed_rpm=rpm,
        wheel_power_kw=measured.power_kw,
        wheel_torque_nm=torque_nm(measured.power_kw, rpm),
        engine_power_kw=engine_kw,
        engine_torque_nm=None if engine_kw is None else torque_nm(engine_kw, rpm),
        loss=setup.dyno.loss,
        loss_statement=loss_statement(setup.dyno),
        correction=correction(setup.dyno.correction, day.air, setup.car, aspiration),
        other_corrections=every_correction(day.air, setup.car, aspiration),
        method=measured.method,
        smoothing=say(
            "smoothing",
            window=amount(measured.window_s, "s", 2),
            shift=amount(100 * shift, "%", 1, signed=True),
        ),
        peak_shift=shift,
        cautions=day.cautions + _shift_caution(shift),
    )


def peak_shift(time_s: FloatArray, power_kw: FloatArray, window_s: float) -> float:
    """How far the smoothing moves the peak, as a share of it: what smoothing once more would do.

    Power is the slope of energy, so the same fit through the curve's own energy smooths it again.
    """
    steps = np.diff(time_s) * (power_kw[1:] + power_kw[:-1]) / 2
    energy = Samples(time_s, np.concatenate([[0.0], np.cumsum(steps)]))
    peak = int(np.argmax(power_kw))
    _, again_kw = local_polynomial(energy, time_s[peak : peak + 1], window_s, ORDER)
    return float(again_kw[0] / power_kw[peak] - 1)


def _shift_caution(shift: float) -> tuple[Statement, ...]:
    if abs(shift) <= LARGEST_PEAK_SHIFT:
        return ()
    return (say("smoothing-moved-peak", shift=amount(100 * shift, "%", 1, signed=True)),)


def torque_nm(power_kw: FloatArray, engine_speed_rpm: FloatArray) -> FloatArray:
    """Torque is power over angular speed."""
    return power_kw * W_PER_KW / (engine_speed_rpm * RAD_S_PER_RPM)
