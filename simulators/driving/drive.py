"""A plan driven: one manoeuvre after the other."""

import random
from collections.abc import Iterable

from simulators.driving import on_dyno, on_road
from simulators.driving.cockpit import Cockpit, Steps
from simulators.manoeuvres import (
    Cruise,
    CruiseControl,
    Driving,
    FreeRev,
    HoldAndLift,
    Idle,
    Manoeuvre,
    RoadPull,
    Sweep,
    TipIn,
)


def drive(plan: Iterable[Manoeuvre], car: Cockpit, chance: random.Random) -> Steps:
    """Do one manoeuvre after the other."""
    for manoeuvre in plan:
        match manoeuvre:
            case Idle():
                yield from on_dyno.idle(car, manoeuvre.duration_s)
            case Cruise():
                yield from on_dyno.cruise(car, manoeuvre)
            case Sweep():
                yield from on_dyno.sweep(car, manoeuvre)
            case HoldAndLift():
                yield from on_dyno.hold_and_lift(car, manoeuvre)
            case TipIn():
                yield from on_dyno.tip_in(car, manoeuvre)
            case FreeRev():
                yield from on_dyno.free_rev(car, manoeuvre)
            case RoadPull():
                yield from on_road.road_pull(car, manoeuvre)
            case CruiseControl():
                yield from on_road.cruise_control(car, manoeuvre, chance)
            case Driving():
                yield from on_road.traffic(car, manoeuvre, chance)
