"""Manoeuvres on the dyno: idling, cruising, pulls, and what looks like a pull but is none."""

from typing import Final

from analysis.model.pull import EndReason
from simulators.driving.basics import (
    FULL_PERCENT,
    REST_PERCENT,
    SETTLE_S,
    change_gear,
    hold_speed,
    move_pedal,
    wait,
)
from simulators.driving.cockpit import Cockpit, Steps, is_braked
from simulators.dyno import BrakeMode
from simulators.manoeuvres import Cruise, FreeRev, HoldAndLift, Sweep, TipIn

# An invented driver: where no source stands, figures were set by hand on the cars of cars.py.
SWEEP_TIMEOUT: Final = 3.0  # times the planned duration, then the driver gives up ...
SHORTEST_TIMEOUT_S: Final = 20.0  # ... but not earlier
COMPLETE_SHARE: Final = 0.85  # of the limiter: a lift below is an aborted pull
HOLDING_PERCENT: Final = 25.0  # pedal at the held speed before a sweep
SWEEP_SETTLED_S: Final = 0.8  # at that speed, before the pedal goes down
SETTLED_S: Final = 1.0
AFTERWARDS_S: Final = 1.0

IDLE_LIFT_S: Final = 0.2
IDLE_BRAKE_NM: Final = 150.0  # slows the roller to a stop

LET_DOWN_RPM: Final = 2000.0  # in gear, after a pull
LET_DOWN_MS2: Final = 9.0  # the roller's brake takes the speed off so quickly
LET_DOWN_BRAKE_NM: Final = 350.0  # of the service brake, where the roller has none
LET_DOWN_S: Final = 30.0  # no longer
LET_DOWN_PEDAL_S: Final = 0.4

TIP_IN_PEDAL_S: Final = 0.15
HOLD_PEDAL_S: Final = 0.3

BLIP_PAUSE_S: Final = 1.0
BLIP_DOWN_S: Final = 0.12
BLIP_UP_S: Final = 0.1
BLIP_RISE_S: Final = 3.0  # no longer
BLIP_FALL_S: Final = 6.0  # no longer
BLIP_OVER_RPM: Final = 1300.0


def idle(car: Cockpit, seconds: float) -> Steps:
    """Clutch open; a braked roller is slowed to a stop."""
    car.controls.clutch = 0.0
    car.controls.gear = 0
    car.controls.cruise_percent = 0.0
    until = car.time_s + seconds
    yield from move_pedal(car, 0.0, min(IDLE_LIFT_S, seconds))
    car.load.mode = BrakeMode.FREE
    while car.time_s < until:
        car.controls.service_nm = IDLE_BRAKE_NM
        yield
    car.controls.service_nm = 0.0


def cruise(car: Cockpit, plan: Cruise) -> Steps:
    """At a held speed until the time is up, the change of gear included."""
    until = car.time_s + plan.duration_s
    yield from change_gear(car, plan.gear)
    left_s = until - car.time_s
    if left_s > 0.0:
        yield from hold_speed(car, plan.engine_rpm, plan.gear, plan.pedal_percent, left_s)


def sweep(car: Cockpit, plan: Sweep) -> Steps:
    """Hold, release, sweep, lift."""
    yield from change_gear(car, plan.gear)
    settle_s = SETTLE_S + SWEEP_SETTLED_S
    yield from hold_speed(car, plan.start_rpm, plan.gear, HOLDING_PERCENT, settle_s)
    yield from _pull(car, plan, plan.hold_s, plan.abort_rpm)
    if plan.abort_rpm is None or plan.reapply_s is None:
        return
    yield from wait(car, plan.reapply_s)
    yield from _pull(car, plan, 0.0, None)


def _pull(car: Cockpit, plan: Sweep, hold_s: float, abort_rpm: float | None) -> Steps:
    load = car.load
    if is_braked(car):
        load.mode, load.set_ms = BrakeMode.HOLD, car.speed_ms
    yield from move_pedal(car, FULL_PERCENT, plan.pedal_s)
    full_pedal_s = car.time_s
    yield from wait(car, hold_s if is_braked(car) else 0.0)
    load.ramp_ms2 = car.speed_at(plan.ramp_rpm_s, plan.gear)
    load.mode = BrakeMode.RAMP if is_braked(car) else BrakeMode.FREE
    car.log.start(plan.kind, plan.gear, car.time_s, car.rpm, full_pedal_s)
    yield from _until_end(car, plan, plan.end_rpm if abort_rpm is None else abort_rpm)
    car.log.end(car.time_s, car.rpm, EndReason.LIFT, abort_rpm is None and is_complete(car))
    if is_braked(car):
        load.mode, load.set_ms = BrakeMode.HOLD, car.speed_ms
    yield from move_pedal(car, 0.0, plan.release_s)
    if abort_rpm is None or plan.reapply_s is None:
        yield from let_down(car)


def _until_end(car: Cockpit, plan: Sweep, end_rpm: float) -> Steps:
    """Until the driver lifts; on the limiter he stays a while."""
    planned_s = (end_rpm - car.rpm) / plan.ramp_rpm_s
    until = car.time_s + max(SWEEP_TIMEOUT * planned_s, SHORTEST_TIMEOUT_S)
    while car.rpm < end_rpm and car.time_s < until:
        yield
        if not car.log.running:  # the limiter has cut
            yield from wait(car, plan.limiter_s)
            return


def is_complete(car: Cockpit) -> bool:
    """Whether a pull that ends now has gone far enough up."""
    return car.rpm >= COMPLETE_SHARE * car.limiter_rpm


def let_down(car: Cockpit) -> Steps:
    """After a pull: coast down in gear, the brake helping, to a restful speed."""
    load, controls = car.load, car.controls
    rest_ms = car.speed_at(LET_DOWN_RPM, controls.gear)
    load.mode = BrakeMode.HOLD if is_braked(car) else BrakeMode.FREE
    load.set_ms = car.speed_ms
    until = car.time_s + LET_DOWN_S
    last_s = car.time_s
    while car.speed_ms > rest_ms and car.time_s < until:
        load.set_ms = max(rest_ms, load.set_ms - LET_DOWN_MS2 * (car.time_s - last_s))
        last_s = car.time_s
        controls.service_nm = 0.0 if is_braked(car) else LET_DOWN_BRAKE_NM
        yield
    controls.service_nm = 0.0
    yield from move_pedal(car, REST_PERCENT, LET_DOWN_PEDAL_S)


def hold_and_lift(car: Cockpit, plan: HoldAndLift) -> Steps:
    """Full pedal against the brake, no sweep."""
    yield from change_gear(car, plan.gear)
    settle_s = SETTLE_S + SETTLED_S
    yield from hold_speed(car, plan.engine_rpm, plan.gear, HOLDING_PERCENT, settle_s)
    yield from _full_pedal_for(car, plan.hold_s, HOLD_PEDAL_S)


def tip_in(car: Cockpit, plan: TipIn) -> Steps:
    """Full pedal too short for the speed to rise."""
    yield from change_gear(car, plan.gear)
    settle_s = SETTLE_S + SETTLED_S
    yield from hold_speed(car, plan.engine_rpm, plan.gear, REST_PERCENT, settle_s)
    yield from _full_pedal_for(car, plan.hold_s, TIP_IN_PEDAL_S)


def _full_pedal_for(car: Cockpit, hold_s: float, pedal_s: float) -> Steps:
    """Down, held, up; pedal_s: each way."""
    yield from move_pedal(car, FULL_PERCENT, pedal_s)
    yield from wait(car, hold_s)
    yield from move_pedal(car, REST_PERCENT, pedal_s)
    yield from wait(car, AFTERWARDS_S)


def free_rev(car: Cockpit, plan: FreeRev) -> Steps:
    """Blips without load."""
    car.controls.clutch, car.controls.gear = 0.0, 0
    yield from move_pedal(car, 0.0, IDLE_LIFT_S)
    for _ in range(plan.blips):
        yield from wait(car, BLIP_PAUSE_S)
        yield from move_pedal(car, plan.pedal_percent, BLIP_DOWN_S)
        until = car.time_s + BLIP_RISE_S
        while car.rpm < plan.top_rpm and car.time_s < until:
            yield
        yield from move_pedal(car, 0.0, BLIP_UP_S)
        until = car.time_s + BLIP_FALL_S
        while car.rpm > BLIP_OVER_RPM and car.time_s < until:
            yield
