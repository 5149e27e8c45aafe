"""From what reaches the roller to what the engine makes: three conventions, always named."""

import numpy as np

from analysis.model.setup import Dyno, LossConvention
from analysis.phrases.say import amount, say, significant
from analysis.phrases.statement import Statement
from decode.samples import FloatArray


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


def loss_statement(dyno: Dyno) -> Statement:
    """How the engine figure came about; names what a percentage really claims."""
    percent = dyno.loss_percent
    match dyno.loss:
        case LossConvention.ADD_PERCENT_OF_WHEEL:
            implied = amount(100 * percent / (100 + percent), "%", 1)
            return say("loss-percent-of-wheel", added=significant(percent, "%", 6), lost=implied)
        case LossConvention.PERCENT_OF_ENGINE_LOST:
            return say("loss-percent-of-engine", lost=significant(percent, "%", 6))
        case LossConvention.COAST_DOWN:
            return say("loss-coast-down")
        case LossConvention.WHEEL:
            return say("loss-none")
