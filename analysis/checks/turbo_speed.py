"""Turbo speed without a map: against the supplier's limit, or by what the wheel's tip can bear.

A compressor wheel bursts by its tip speed, whatever its size: cast aluminium is run to about 500 to
560 m/s (common practice), and life falls steeply beyond.
"""

from typing import Final

import numpy as np

from analysis.causes.symptoms import EVEN, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.check import Context, healthy
from analysis.checks.stretches import longest, place, smoothed, stretches
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.phrases.say import amount, say
from analysis.phrases.statement import Amount, Statement
from decode.quantities import Quantity

STATED = Limit(
    "turbo.speed_of_stated",
    100.0,
    "%",
    "the turbo's supplier, by the station file; that it is a stop: " + COMMON_PRACTICE,
    "of the speed that the station file states as the turbo's limit",
)
TIP = Limit(
    "turbo.tip_speed",
    560.0,
    "m/s",
    "cast aluminium wheels are run to 500 to 560; " + COMMON_PRACTICE,
    "speed of the compressor wheel's tip, where no limit of the turbo is stated",
)
STOP_SHARE: Final = 1.1  # beyond a tip limit that no supplier stated for this wheel
SMOOTH_S: Final = 0.1
LASTS_S: Final = 0.2  # a shorter excursion is noise of the sensor
SPREAD_SHARE: Final = 0.01  # speed is counted; the limit is the rounder of the two


def turbo_speed(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """The highest speed that lasted, against what is stated of this turbo; nothing where neither
    its limit nor its wheel is."""
    speed, known = pull.first(Quantity.TURBO_SPEED), _limit(limits, context)
    inside = None if speed is None else pull.sweep(smoothed(speed, SMOOTH_S))
    if inside is None or known is None or len(inside) < 2:
        return []
    limit, limit_rpm, source = known
    fast = longest(stretches(inside.time_s, inside.value > limit_rpm, LASTS_S))
    if fast is None:
        return _slower(float(inside.value.max()), limit, limit_rpm, source)
    top_rpm = float(inside.value[fast.indices].max())
    where = place(pull, fast.start_s, fast.end_s)
    statement = say(
        "turbo-speed-over",
        top=_turbo_rpm(top_rpm),
        where=place_phrase(where),
        over=amount(100 * (top_rpm / limit_rpm - 1), "%"),
        limit=_turbo_rpm(limit_rpm),
        source=source,
    )
    stops = limit.name == STATED.name or top_rpm > STOP_SHARE * limit_rpm
    severity = Severity.STOP if stops else Severity.LOOK_CLOSER
    finding = beyond(limit, severity, statement, limit.value * top_rpm / limit_rpm, where)
    return [Observation(Symptom.TURBO_FAST, _sure(top_rpm, limit_rpm), finding)]


def _slower(top_rpm: float, limit: Limit, limit_rpm: float, source: Statement) -> list[Observation]:
    if top_rpm > limit_rpm:  # for a moment
        return [Observation(Symptom.TURBO_FAST, 1.0 - EVEN)]
    statement = say(
        "turbo-speed-well",
        top=_turbo_rpm(top_rpm),
        below=amount(100 * (1 - top_rpm / limit_rpm), "%"),
        limit=_turbo_rpm(limit_rpm),
        source=source,
    )
    value = round(limit.value * top_rpm / limit_rpm, 1)
    return [
        Observation(Symptom.TURBO_FAST, _sure(top_rpm, limit_rpm)),
        healthy("turbo", statement, value, limit),
    ]


def _limit(limits: Limits, context: Context) -> tuple[Limit, float, Statement] | None:
    """The limit, as turbo speed in rpm, and whose it is."""
    car = context.setup.car
    if car.turbo_max_speed_rpm is not None:
        stated = limits[STATED.name]
        limit_rpm = car.turbo_max_speed_rpm * stated.value / 100
        return stated, limit_rpm, say("turbo-speed-stated")
    if car.compressor_wheel_mm is not None:
        tip = limits[TIP.name]
        limit_rpm = 60.0 * tip.value / (np.pi * car.compressor_wheel_mm / 1000)
        wheel = amount(car.compressor_wheel_mm, "mm", 1)
        return (
            tip,
            limit_rpm,
            say("turbo-speed-of-wheel", wheel=wheel, tip=amount(tip.value, "m/s")),
        )
    return None


def _sure(top_rpm: float, limit_rpm: float) -> float:
    return sureness(top_rpm, limit_rpm, SPREAD_SHARE * limit_rpm)


def _turbo_rpm(speed_rpm: float) -> Amount:
    return amount(round(speed_rpm, -3), "rpm")
