"""From what reaches the roller to what the engine makes: three conventions, always named."""

from typing import Final

import numpy as np

from analysis.model.limits import COMMON_PRACTICE
from analysis.model.setup import Dyno, LossConvention
from decode.samples import FloatArray

SOURCE: Final = (
    COMMON_PRACTICE  # of both percentages; the coast-down is this dyno's own measurement
)


def engine_power_kw(
    wheel_power_kw: FloatArray, surface_speed_kmh: FloatArray | None, dyno: Dyno
) -> FloatArray | None:
    """Engine power by the dyno's loss convention; None where it adds no loss or cannot.

    A measured coast-down is added at the same road speed and is NaN beyond the speeds it was
    measured at: it is never extrapolated.
    """
    match dyno.loss:
        case LossConvention.ADD_PERCENT_OF_WHEEL:
            factor = 1 + dyno.loss_percent / 100
            return wheel_power_kw * factor
        case LossConvention.PERCENT_OF_ENGINE_LOST:
            return wheel_power_kw / (1 - dyno.loss_percent / 100)
        case LossConvention.COAST_DOWN if surface_speed_kmh is not None and dyno.coast_down:
            return wheel_power_kw + coast_down_loss_kw(surface_speed_kmh, dyno)
        case _:
            return None


def coast_down_loss_kw(surface_speed_kmh: FloatArray, dyno: Dyno) -> FloatArray:
    """Loss power in kW at each road speed, from the measured table; NaN outside the table."""
    table = np.asarray(dyno.coast_down, dtype=np.float64)
    return np.interp(surface_speed_kmh, table[:, 0], table[:, 1], left=np.nan, right=np.nan)


def loss_statement(dyno: Dyno) -> str:
    """How the engine figure came about, in one sentence; names what a percentage really claims."""
    percent = dyno.loss_percent
    match dyno.loss:
        case LossConvention.ADD_PERCENT_OF_WHEEL:
            implied = 100 * percent / (100 + percent)
            return (
                f"Engine figures are wheel figures with {percent:g} % of wheel power added, "
                f"which says that {implied:.1f} % of engine power is lost ({SOURCE}); a fixed "
                "percentage also enlarges every gain by as much."
            )
        case LossConvention.PERCENT_OF_ENGINE_LOST:
            return (
                f"Engine figures assume that {percent:g} % of engine power is lost on the way to "
                f"the roller ({SOURCE}); a fixed percentage also enlarges every gain."
            )
        case LossConvention.COAST_DOWN:
            return (
                "Engine figures add the loss measured in a coast-down at the same road speed; "
                "losses that grow with torque (gears, tyre slip) are not in it."
            )
        case LossConvention.WHEEL:
            return "Figures are at the wheel: no loss is added."
