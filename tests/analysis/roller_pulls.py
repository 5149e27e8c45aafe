"""Pulls of known torque on a roller, integrated exactly: what the power and comparison tests ask.

Engine torque at the wheel is a function of engine speed alone, so the truth is known at every grid
point; noise, quantisation, rates and the spread from pull to pull are switched on by the test.
"""

from dataclasses import dataclass, field
from typing import Final

import numpy as np

from analysis.model.pull import EndReason, Pull, PullBounds
from analysis.model.setup import Dyno, Setup
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, FloatArray, Samples

HOLD_S: Final = 3.0
LIFT_S: Final = 1.0
RADIUS_M: Final = 0.3
RPM_PER_KMH: Final = 6500 / 220
RAD_S_PER_RPM: Final = np.pi / 30
FINE_RPM: Final = np.arange(1500.0, 6500.1, 1.0)
FINE: Final = np.arange(0.0, len(FINE_RPM), 50, dtype=np.int64)


@dataclass(frozen=True)
class Torque:
    """Wheel torque over engine speed: a spool-up, a plateau, a fall towards the top."""

    plateau_nm: float = 300.0
    spool_rpm: float = 2300.0
    spool_width_rpm: float = 220.0
    fall_from_rpm: float = 4500.0
    fall: float = 1.2

    def __call__(self, rpm: FloatArray) -> FloatArray:
        spool = 0.45 + 0.55 / (1 + np.exp(-(rpm - self.spool_rpm) / self.spool_width_rpm))
        over = np.maximum(rpm - self.fall_from_rpm, 0) / 6500
        return self.plateau_nm * spool * (1 - self.fall * over**2 * 3)

    def power_kw(self, rpm: FloatArray) -> FloatArray:
        return self(rpm) * rpm * RAD_S_PER_RPM / 1000


@dataclass(frozen=True)
class Bay:
    """The dyno and how well it measures."""

    sweep_s: float = 10.0  # of the default torque, without a brake
    noise_kmh: float = 0.03
    resolution_kmh: float = 0.01
    roller_hz: float = 50.0
    braked: bool = False  # a brake makes every sweep last sweep_s, at a constant ramp
    inertia_kg_m2: float = field(init=False)

    def __post_init__(self) -> None:
        share = 0.2 if self.braked else 1.0  # a braked roller is light
        whole = self.sweep_s / _seconds(Torque()(FINE_RPM), 1.0)[-1]
        object.__setattr__(self, "inertia_kg_m2", share * whole)

    @property
    def setup(self) -> Setup:
        return Setup(dyno=Dyno(inertia_kg_m2=self.inertia_kg_m2, roller_radius_m=RADIUS_M))


def roller_pull(
    torque: Torque,
    bay: Bay,
    rng: np.random.Generator,
    number: int = 1,
    gain: float = 1.0,
    wobble: FloatArray | float = 0.0,
) -> Pull:
    """One pull. gain: this pull's own factor on torque. wobble: further relative error over
    FINE_RPM, so that no two pulls have the same shape."""
    torque_nm = torque(FINE_RPM) * gain * (1 + wobble)
    ramp = (FINE_RPM - FINE_RPM[0]) / (FINE_RPM[-1] - FINE_RPM[0]) * bay.sweep_s
    time_s = HOLD_S + (ramp if bay.braked else _seconds(torque_nm, bay.inertia_kg_m2))
    end_s = float(time_s[-1])
    known_s = np.concatenate([[0.0], time_s, [end_s + LIFT_S]])
    known_rpm = np.concatenate([[FINE_RPM[0]], FINE_RPM, [FINE_RPM[-1] - 400]])
    roller_s = np.arange(0.0, known_s[-1], 1 / bay.roller_hz)
    engine_s = np.arange(0.003, known_s[-1], 0.01)
    roller = np.interp(roller_s, known_s, known_rpm) / RPM_PER_KMH
    roller += rng.normal(0, bay.noise_kmh, len(roller_s))
    engine = np.interp(engine_s, known_s, known_rpm) + rng.normal(0, 4, len(engine_s))
    values = {
        Quantity.ENGINE_SPEED: Samples(engine_s, np.round(engine * 4) / 4),
        Quantity.ROLLER_SPEED: Samples(roller_s, _quantised(roller, bay.resolution_kmh)),
    }
    if bay.braked:
        values[Quantity.ROLLER_TORQUE] = _brake(torque_nm, time_s, roller_s, bay, rng)
    channels = {str(q): Channel(str(q), HOUSE_UNIT[q], q) for q in values}
    bounds = PullBounds(
        HOLD_S, end_s, 1500.0, 6500.0, True, EndReason.LIFT, Quantity.PEDAL_POSITION, 100.0
    )
    return Pull(number, bounds, channels, {str(q): samples for q, samples in values.items()})


def wobble(rng: np.random.Generator, spread: float, length_rpm: float) -> FloatArray:
    """A smooth random relative error over FINE_RPM with that correlation length."""
    coarse = FINE_RPM[FINE]
    distance = (coarse[:, None] - coarse) / length_rpm
    covariance = np.exp(-0.5 * distance**2) + 1e-9 * np.eye(len(coarse))
    drawn: FloatArray = np.linalg.cholesky(covariance) @ rng.standard_normal(len(coarse))
    smooth: FloatArray = np.interp(FINE_RPM, coarse, drawn)
    return spread * smooth


def _roller_rad_s(rpm: FloatArray) -> FloatArray:
    return rpm / RPM_PER_KMH / 3.6 / RADIUS_M


def _seconds(torque_nm: FloatArray, inertia_kg_m2: float) -> FloatArray:
    """When each FINE_RPM is reached: dt = I domega / (P / omega)."""
    omega = _roller_rad_s(FINE_RPM)
    per_rad_s = inertia_kg_m2 * omega / (torque_nm * FINE_RPM * RAD_S_PER_RPM)
    steps = (per_rad_s[1:] + per_rad_s[:-1]) / 2 * np.diff(omega)
    return np.concatenate([[0.0], np.cumsum(steps)])


def _brake(
    torque_nm: FloatArray, time_s: FloatArray, at_s: FloatArray, bay: Bay, rng: np.random.Generator
) -> Samples:
    """What the brake takes so that the roller keeps to its ramp, with 0.5 % of noise."""
    omega = _roller_rad_s(FINE_RPM)
    alpha = (omega[-1] - omega[0]) / bay.sweep_s
    at_roller = torque_nm * FINE_RPM * RAD_S_PER_RPM / omega
    brake = np.interp(at_s, time_s, at_roller - bay.inertia_kg_m2 * alpha)
    return Samples(at_s, brake + rng.normal(0, 0.005 * brake.max(), len(at_s)))


def _quantised(values: FloatArray, step: float) -> FloatArray:
    return np.round(values / step) * step if step else values
