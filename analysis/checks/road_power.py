"""Power without a dyno: where a pull has no dyno channel, what its gain of speed takes on the road.

An estimate with its interval, never a finding: no check judges by it.
"""

from typing import Final

import numpy as np

from analysis.causes.symptoms import Observation
from analysis.checks.check import Context, note
from analysis.model.pull import Pull
from analysis.phrases.say import amount, as_given, rpm, say
from analysis.power.curve import torque_nm
from analysis.power.road import road_estimate
from decode.quantities import Quantity

DYNO: Final = (
    Quantity.ROLLER_SPEED,
    Quantity.ROLLER_TORQUE,
    Quantity.WHEEL_POWER,
    Quantity.WHEEL_TORQUE,
)


def road_power(pull: Pull, context: Context) -> list[Observation]:
    """A note with the peaks of power and torque; nothing beside a dyno, or without the car's mass
    and its speed."""
    on_dyno = context.setup.dyno.inertia_kg_m2 is not None
    estimate = road_estimate(pull, context.setup.car)
    if on_dyno or any(pull.named(quantity) for quantity in DYNO) or estimate is None:
        return []
    speed, power = estimate.engine_speed_rpm, estimate.wheel_power_kw
    torque, torque_half = (torque_nm(kw, speed) for kw in (power, estimate.half_width_kw))
    most, strongest = int(np.argmax(power)), int(np.argmax(torque))
    peaks = say(
        "road-power",
        power=amount(power[most], "kW"),
        power_sure=amount(estimate.half_width_kw[most], "kW"),
        power_speed=rpm(speed[most]),
        torque=amount(torque[strongest], "Nm"),
        torque_sure=amount(torque_half[strongest], "Nm"),
        torque_speed=rpm(speed[strongest]),
    )
    mass = as_given(estimate.mass_kg, "kg")
    return [note("drive", peaks, say("road-power-origin", mass=mass))]
