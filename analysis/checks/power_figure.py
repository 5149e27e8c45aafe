"""A power that no engine makes is questioned: its channels or the dyno's settings are not what they
are taken for."""

from typing import Final

import numpy as np

from analysis.causes.symptoms import Observation
from analysis.checks.check import Context, stated
from analysis.model.findings import DATA_QUALITY, Finding, Severity
from analysis.model.pull import Pull
from analysis.power.credible import doubt_of
from analysis.power.curve import power_curve

SURE: Final = 0.95


def incredible_power(pull: Pull, context: Context) -> list[Observation]:
    """One finding, or none."""
    curve = power_curve(pull, context.setup)
    if curve is None:
        return []
    peak = int(np.argmax(curve.wheel_power_kw))
    power_kw, rpm = float(curve.wheel_power_kw[peak]), float(curve.engine_speed_rpm[peak])
    doubt = doubt_of(pull, context.setup.car, power_kw, rpm)
    if doubt is None:
        return []
    return [stated(Finding(DATA_QUALITY, Severity.LOOK_CLOSER, (doubt,), confidence=SURE))]
