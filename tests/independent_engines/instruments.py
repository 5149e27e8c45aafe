"""What is measured, and how: lags, delays, resolutions, noise; rows at a rate, or values held."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

from decode.quantities import Quantity

FloatArray = NDArray[np.float64]
Span = tuple[float, float]
Random = np.random.Generator


@dataclass(frozen=True, slots=True)
class Instrument:
    """trace: of Cell. lag_s, delay_s: what a first-order sensor and its transport may have.
    fine, whole: resolutions in the house unit, of a good logger and of a coarse one."""

    quantity: Quantity
    trace: str
    lag_s: Span
    fine: float
    whole: float
    noise: float = 0.0
    delay_s: Span = (0.0, 0.03)
    slow: bool = False  # a temperature: sent once a second at most by many


Q = Quantity
_AIR: Final = (
    Instrument(Q.MANIFOLD_PRESSURE, "manifold_kpa", (0.01, 0.05), 0.1, 1.0, 0.4),
    Instrument(Q.BAROMETRIC_PRESSURE, "ambient_kpa", (0.01, 0.02), 0.1, 1.0, 0.0, slow=True),
    Instrument(Q.INTAKE_AIR_TEMPERATURE, "inlet_degc", (1.0, 5.0), 0.1, 1.0, 0.05, slow=True),
    Instrument(Q.AMBIENT_TEMPERATURE, "ambient_degc", (5.0, 5.1), 0.5, 1.0, 0.0, slow=True),
    Instrument(Q.AIR_MASS_FLOW, "meter_g_s", (0.02, 0.08), 0.1, 1.0, 0.6),
)
_BOOST: Final = (
    Instrument(Q.BOOST_PRESSURE, "boost_kpa", (0.01, 0.05), 0.1, 1.0, 0.4),
    Instrument(Q.BOOST_TARGET, "boost_target_kpa", (0.005, 0.02), 0.1, 1.0),
    Instrument(Q.WASTEGATE_DUTY, "duty_percent", (0.005, 0.02), 0.4, 1.0),
    Instrument(Q.TURBO_SPEED, "turbo_rpm", (0.02, 0.1), 100.0, 1_000.0, 200.0),
    Instrument(Q.COMPRESSOR_OUTLET_TEMPERATURE, "outlet_degc", (0.5, 3.0), 0.1, 1.0, slow=True),
)
_CHARGE: Final = (
    Instrument(Q.CHARGE_AIR_TEMPERATURE, "charge_degc", (1.0, 4.0), 0.1, 1.0, 0.05, slow=True),
)
_SPARK: Final = (
    Instrument(Q.IGNITION_TIMING, "timing", (0.005, 0.02), 0.25, 1.0),
    Instrument(Q.IGNITION_TARGET, "timing_target", (0.005, 0.02), 0.25, 1.0),
    Instrument(Q.LAMBDA_TARGET, "mixture_target", (0.005, 0.02), 0.001, 0.01),
    Instrument(Q.FUEL_TRIM_SHORT, "trim_percent", (0.02, 0.05), 0.4, 1.0),
    Instrument(Q.MISFIRE_COUNT, "misfires", (0.001, 0.002), 1.0, 1.0),
    Instrument(Q.FUEL_TRIM_LONG, "long_trim_percent", (0.02, 0.05), 0.4, 1.0),
)
_RAIL: Final = (
    Instrument(Q.FUEL_PRESSURE_HIGH, "rail_kpa", (0.01, 0.05), 10.0, 100.0, 40.0),
    Instrument(Q.FUEL_PRESSURE_HIGH_TARGET, "rail_target_kpa", (0.005, 0.02), 10.0, 100.0),
)
_FUEL: Final = (
    Instrument(Q.FUEL_PRESSURE_LOW, "low_kpa", (0.02, 0.1), 1.0, 10.0, 3.0),
    Instrument(Q.INJECTOR_DUTY, "injector_duty", (0.01, 0.03), 0.1, 1.0),
)
_HEAT: Final = (
    Instrument(Q.COOLANT_TEMPERATURE, "coolant_degc", (2.0, 5.0), 0.5, 1.0, slow=True),
    Instrument(Q.OIL_TEMPERATURE, "oil_degc", (2.0, 5.0), 0.5, 1.0, slow=True),
    Instrument(Q.OIL_PRESSURE, "oil_kpa", (0.05, 0.2), 1.0, 10.0, 3.0),
    Instrument(Q.EXHAUST_GAS_TEMPERATURE, "exhaust_degc", (0.8, 2.5), 1.0, 5.0, slow=True),
)
_DRIVER: Final = (
    Instrument(Q.PEDAL_POSITION, "pedal_percent", (0.005, 0.02), 0.1, 1.0),
    Instrument(Q.THROTTLE_POSITION, "position_percent", (0.005, 0.02), 0.1, 1.0, 0.1),
    Instrument(Q.ENGINE_TORQUE, "believed_nm", (0.01, 0.05), 0.5, 1.0, 0.5),
    Instrument(Q.TORQUE_REQUEST, "request_nm", (0.01, 0.05), 0.5, 1.0),
    Instrument(Q.VEHICLE_SPEED, "vehicle_kmh", (0.05, 0.15), 0.1, 1.0),
    Instrument(Q.GEAR, "gear", (0.001, 0.002), 1.0, 1.0),
    Instrument(Q.BATTERY_VOLTAGE, "battery_v", (0.05, 0.1), 0.05, 0.1, 0.03),
)
LAMBDA_NEAR: Final = Instrument(Q.LAMBDA, "probe", (0.05, 0.15), 0.001, 0.01, 0.003, (0.02, 0.08))
LAMBDA_TAILPIPE: Final = Instrument(Q.LAMBDA, "probe", (0.15, 0.4), 0.001, 0.01, 0.003, (0.15, 0.4))
RETARD: Final = Instrument(Q.KNOCK_RETARD, "retard", (0.003, 0.01), 0.25, 1.0)
ENGINE_SPEED: Final = Instrument(Q.ENGINE_SPEED, "rpm", (0.005, 0.03), 0.25, 10.0, 2.0)
DYNO: Final = (
    Instrument(Q.ROLLER_SPEED, "roller_kmh", (0.01, 0.05), 0.01, 0.1, 0.02),
    Instrument(Q.WHEEL_TORQUE, "wheel_nm", (0.03, 0.12), 0.1, 1.0, 1.0),
    Instrument(Q.WHEEL_POWER, "wheel_kw", (0.03, 0.12), 0.1, 0.1, 0.2),
)


def usual_instruments(spark: bool, turbo: bool, boosted: bool, rail: bool) -> list[Instrument]:
    """What a full log of that kind of engine holds, beside engine speed, lambda and retard."""
    chosen = [*_DRIVER, *_AIR, *_FUEL, *_HEAT]
    chosen += _SPARK if spark else ()
    chosen += _BOOST if turbo else ()
    chosen += _CHARGE if boosted else ()
    chosen += _RAIL if rail else ()
    return chosen


def sensed(time_s: FloatArray, value: FloatArray, lag_s: float, delay_s: float) -> FloatArray:
    """Through a first-order sensor and a delay, on the same evenly spaced times."""
    step = time_s[1] - time_s[0]
    keep = float(np.exp(-step / max(lag_s, 1e-4)))
    slow = lfilter([1.0 - keep], [1.0, -keep], value, zi=[keep * value[0]])[0]
    late: FloatArray = np.interp(time_s - delay_s, time_s, slow)
    return late


@dataclass(frozen=True, slots=True)
class Rows:
    """When the rows of a table are written, and how old what stands in them is.

    held_s: every column is read anew this often and written again until then; 0: in each row.
    """

    rate_hz: float
    held_s: Span = (0.0, 0.0)


RATES: Final[Mapping[str, tuple[Rows, ...]]] = {
    "1 Hz": (Rows(1.0),),
    "2-3 Hz": (Rows(2.0), Rows(2.5), Rows(3.0)),
    "5 Hz": (Rows(5.0),),
    "10 Hz": (Rows(10.0),),
    "20-25 Hz": (Rows(20.0), Rows(25.0)),
    "50 Hz": (Rows(50.0),),
    "100 Hz": (Rows(100.0),),
    "held": (Rows(11.0, (0.3, 0.9)), Rows(20.0, (0.3, 0.5)), Rows(14.0, (0.4, 0.9))),
}


def row_times(random: Random, rows: Rows, length_s: float) -> FloatArray:
    """Evenly, with a little of a computer's unrest."""
    step = 1.0 / rows.rate_hz
    times = np.arange(0.3 * step, length_s, step)
    shaken: FloatArray = times + random.uniform(-0.03, 0.03, len(times)) * step
    return shaken


def read_at(random: Random, rows: Rows, times: FloatArray, slow: bool) -> FloatArray:
    """When the value in each row was read."""
    low, high = rows.held_s
    if high > 0.0:
        period = float(random.uniform(low, high)) * (2.0 if slow else 1.0)
    elif slow and rows.rate_hz > 5.0 and random.random() < 0.5:
        period = float(random.choice([0.1, 0.5, 1.0]))
    else:  # a polled table asks its columns one after the other
        return times - float(random.uniform(0.0, 0.4)) / max(rows.rate_hz, 2.0)
    phase = float(random.uniform(0.0, period))
    fresh = np.floor((times - phase) / period) * period + phase
    # a table repeats what was there when the row before last refresh was written
    held: FloatArray = np.maximum(fresh, 0.0)
    return held
