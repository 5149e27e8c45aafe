"""How far off what a figure of power rests on may be: as the station file says, else what is usual.

All by JCGM 100, 4.3.7: the true value lies within the tolerance, any place as likely as another.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from analysis.model.setup import Dyno


class Influence(StrEnum):
    """What a figure's uncertainty comes from."""

    INERTIA = "inertia"
    ROLLER_RADIUS = "roller_radius"
    BRAKE_TORQUE = "brake_torque"
    SENT_POWER = "sent_power"
    ENGINE_SPEED = "engine_speed"
    LOSS = "loss"
    PRESSURE = "pressure"
    TEMPERATURE = "temperature"
    HUMIDITY = "humidity"
    SMOOTHING = "smoothing"
    READINGS = "readings"  # noise and resolution of one pull's readings
    RUNS = "runs"  # how pulls differ among themselves, noise included


class Origin(StrEnum):
    """Who says how far off it may be."""

    STATION_FILE = "station_file"
    COMMON_PRACTICE = "common_practice"  # no published source
    PUBLISHED = "published"
    MEASURED = "measured"


@dataclass(frozen=True, slots=True)
class Tolerance:
    """To either side, in the unit of the field of Dyno."""

    value: float
    origin: Origin


# Common practice, no published source, but for temperature: EU 134/2014, annex II, appendix 2.3
# asks for 2 K at the inlet. It asks for 0.1 kPa of pressure too, which a weather station on a wall
# does not keep.
USUAL: Final[Mapping[Influence, Tolerance]] = {
    Influence.INERTIA: Tolerance(2.0, Origin.COMMON_PRACTICE),
    Influence.ROLLER_RADIUS: Tolerance(0.5, Origin.COMMON_PRACTICE),
    Influence.BRAKE_TORQUE: Tolerance(1.0, Origin.COMMON_PRACTICE),
    Influence.SENT_POWER: Tolerance(3.0, Origin.COMMON_PRACTICE),
    Influence.ENGINE_SPEED: Tolerance(0.3, Origin.COMMON_PRACTICE),
    Influence.LOSS: Tolerance(20.0, Origin.COMMON_PRACTICE),
    Influence.PRESSURE: Tolerance(0.3, Origin.COMMON_PRACTICE),
    Influence.TEMPERATURE: Tolerance(2.0, Origin.PUBLISHED),
    Influence.HUMIDITY: Tolerance(10.0, Origin.COMMON_PRACTICE),
}


def tolerance(dyno: Dyno, influence: Influence) -> Tolerance:
    """The station file's, else the usual one."""
    said = {
        Influence.INERTIA: dyno.inertia_tolerance_percent,
        Influence.ROLLER_RADIUS: dyno.roller_radius_tolerance_percent,
        Influence.BRAKE_TORQUE: dyno.brake_torque_tolerance_percent,
        Influence.SENT_POWER: dyno.sent_power_tolerance_percent,
        Influence.ENGINE_SPEED: dyno.engine_speed_tolerance_percent,
        Influence.LOSS: dyno.loss_tolerance_percent,
        Influence.PRESSURE: dyno.pressure_tolerance_kpa,
        Influence.TEMPERATURE: dyno.temperature_tolerance_k,
        Influence.HUMIDITY: dyno.humidity_tolerance_percent,
    }[influence]
    return USUAL[influence] if said is None else Tolerance(said, Origin.STATION_FILE)
