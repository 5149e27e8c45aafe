"""Manoeuvres on the road: pulls through the gears, cruise control, ordinary traffic."""

import math
import random
from typing import Final

from analysis.model.pull import EndReason
from simulators.driving.basics import (
    FULL_PERCENT,
    REST_PERCENT,
    change_gear,
    hold_speed,
    move_pedal,
)
from simulators.driving.cockpit import Cockpit, Steps
from simulators.driving.on_dyno import idle, is_complete, let_down
from simulators.driving.speed_control import CRUISE_CONTROL, TRAFFIC
from simulators.manoeuvres import CruiseControl, Driving, RoadPull

# An invented driver: where no source stands, figures were set by hand on the cars of cars.py.
PULL_PEDAL_S: Final = 0.2
PULL_GEAR_S: Final = 0.25  # a quick change of gear
PULL_SETTLED_S: Final = 1.5
PULL_LONGEST_S: Final = 45.0

CRUISE_SETTLED_S: Final = 3.0
TURN: Final = 6.2832  # radians; the hills' phase and length are drawn with it
HILL_S: Final = (15.0, 30.0)
HILL_FADE_S: Final = 5.0  # the road is level at the start

STOP_SHARE: Final = 0.2  # of the speeds drawn in traffic
SLOWEST_KM_H: Final = 15.0
EAGER: Final = (0.35, 1.0)  # a driver's mood, drawn for each speed
STRETCH_S: Final = (8.0, 45.0)  # one speed
STOP_S: Final = (3.0, 20.0)
STALLING_RPM_SHARE: Final = 0.85  # of idle speed: the clutch goes down
STANDING_MS: Final = 2.5
FOOT_UP_PERCENT_STEP: Final = -2.0
FOOT_DOWN_PERCENT_STEP: Final = 1.0
UPSHIFT_RPM: Final = 2000.0  # of a lazy driver ...
UPSHIFT_EAGER_RPM: Final = 1800.0  # ... and how much later an eager one
DOWNSHIFT_RPM: Final = 1300.0
TOP_GEAR: Final = 6


def road_pull(car: Cockpit, plan: RoadPull) -> Steps:
    """One gear after the other at full pedal."""
    yield from change_gear(car, plan.gears[0])
    yield from hold_speed(car, plan.start_rpm, plan.gears[0], REST_PERCENT, PULL_SETTLED_S)
    for index, gear in enumerate(plan.gears):
        last = index == len(plan.gears) - 1
        yield from change_gear(car, gear, PULL_GEAR_S)
        yield from move_pedal(car, FULL_PERCENT, PULL_PEDAL_S)
        car.log.start("road", gear, car.time_s, car.rpm, car.time_s)
        top_rpm = plan.end_rpm if last else plan.shift_rpm
        until = car.time_s + PULL_LONGEST_S
        while car.rpm < top_rpm and car.time_s < until and car.log.running:
            yield
        reason = EndReason.LIFT if last else EndReason.GEAR_CHANGE
        car.log.end(car.time_s, car.rpm, reason, is_complete(car))
        if last:
            yield from move_pedal(car, 0.0, PULL_PEDAL_S)
            yield from let_down(car)


def cruise_control(car: Cockpit, plan: CruiseControl, chance: random.Random) -> Steps:
    """Up and down hill: the ECU moves the throttle, the foot rests."""
    yield from change_gear(car, plan.gear)
    yield from hold_speed(car, plan.engine_rpm, plan.gear, REST_PERCENT, CRUISE_SETTLED_S)
    goal_ms, integral = car.speed_ms, car.controls.pedal
    car.controls.pedal = 0.0
    phase, hill_s = chance.uniform(0.0, 6.28), chance.uniform(*HILL_S)
    start_s = car.time_s
    while (t := car.time_s - start_s) < plan.duration_s:
        level = math.sin(phase) * math.exp(-t / HILL_FADE_S)
        wave = math.sin(phase + TURN * t / hill_s) - level
        car.load.slope = plan.steepest_percent / 100.0 * wave
        error_ms = goal_ms - car.speed_ms
        integral = CRUISE_CONTROL.integral(integral, error_ms)
        car.controls.cruise_percent = CRUISE_CONTROL.pedal(error_ms, integral, FULL_PERCENT)
        yield
    car.load.slope = 0.0
    car.controls.cruise_percent = 0.0


def traffic(car: Cockpit, plan: Driving, chance: random.Random) -> Steps:
    """Speeds drawn at random, followed with part throttle through the gears; sometimes a stop."""
    until = car.time_s + plan.duration_s
    while car.time_s < until:
        stop = chance.random() < STOP_SHARE
        goal_ms = 0.0 if stop else chance.uniform(SLOWEST_KM_H, plan.fastest_km_h) / 3.6
        eager = chance.uniform(*EAGER)
        stretch_end_s = min(until, car.time_s + chance.uniform(*STRETCH_S))
        yield from _follow(car, plan, goal_ms, eager, stretch_end_s)
        if stop and car.time_s < until:
            yield from idle(car, min(chance.uniform(*STOP_S), until - car.time_s))


def _follow(car: Cockpit, plan: Driving, goal_ms: float, eager: float, until: float) -> Steps:
    """Towards one speed until the time is up or the car stands."""
    controls = car.controls
    integral = 0.0
    most_percent = plan.largest_pedal_percent * eager
    while car.time_s < until:
        gear = _gear_for(car, eager)
        if car.rpm < STALLING_RPM_SHARE * car.idle_rpm:
            controls.clutch, controls.gear = 0.0, 0
        if goal_ms == 0.0 and car.speed_ms < STANDING_MS:
            return
        if gear != controls.gear or controls.clutch < 1.0:
            controls.service_nm = 0.0
            yield from change_gear(car, gear)
        error_ms = goal_ms - car.speed_ms
        integral = TRAFFIC.integral(integral, error_ms)
        wanted = TRAFFIC.pedal(error_ms, integral, most_percent, eager)
        moved = wanted - controls.pedal
        controls.pedal += min(max(moved, FOOT_UP_PERCENT_STEP), FOOT_DOWN_PERCENT_STEP)
        controls.service_nm = TRAFFIC.service_nm(error_ms)
        yield
    controls.service_nm = 0.0


def _gear_for(car: Cockpit, eager: float) -> int:
    """Up above a speed that depends on the driver's mood, down below DOWNSHIFT_RPM."""
    gear = max(1, car.controls.gear)
    up_rpm = UPSHIFT_RPM + UPSHIFT_EAGER_RPM * eager
    if car.speed_ms > car.speed_at(up_rpm, gear) and gear < TOP_GEAR:
        try:
            car.speed_at(1.0, gear + 1)
        except IndexError:
            return gear
        return gear + 1
    while gear > 1 and car.speed_ms < car.speed_at(DOWNSHIFT_RPM, gear):
        gear -= 1
    return gear
