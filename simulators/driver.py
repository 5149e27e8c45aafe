"""The driver: each manoeuvre a generator that moves the controls and yields once a step.

He sees the tachometer and his own foot, and on a braked dyno tells the brake what to do. He writes
the truth about pulls as he makes them.
"""

import math
import random
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final, Protocol

from analysis.model.pull import EndReason
from simulators.dyno import BrakeMode, Load
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
from simulators.truth import PullLog

FULL: Final = 100.0
SWEEP_TIMEOUT: Final = 3.0  # times the planned duration, then the driver gives up
SETTLE_S: Final = 2.5  # from one held speed to the next
REST_PEDAL: Final = 18.0
STALLING_RPM_SHARE: Final = 0.85  # of idle speed: the clutch goes down
COMPLETE_SHARE: Final = 0.85  # of the limiter: a lift below is an aborted pull


@dataclass(slots=True)
class Controls:
    """Foot and hand. pedal in percent, clutch 0 open to 1 closed, service brake at the wheels."""

    pedal: float = 0.0
    gear: int = 0
    clutch: float = 0.0
    service_nm: float = 0.0
    cruise_percent: float = 0.0  # asked for by cruise control, not by the foot


class Cockpit(Protocol):
    """What the driver can see and touch."""

    controls: Controls
    load: Load
    log: PullLog

    @property
    def time_s(self) -> float: ...
    @property
    def rpm(self) -> float: ...
    @property
    def speed_ms(self) -> float: ...
    @property
    def clutch_locked(self) -> bool: ...
    @property
    def limiter_rpm(self) -> float: ...
    @property
    def idle_rpm(self) -> float: ...
    def speed_at(self, rpm: float, gear: int) -> float: ...


Steps = Iterator[None]


def drive(plan: Iterable[Manoeuvre], car: Cockpit, chance: random.Random) -> Steps:
    """Do one manoeuvre after the other."""
    for manoeuvre in plan:
        match manoeuvre:
            case Idle():
                yield from _idle(car, manoeuvre.duration_s)
            case Cruise():
                yield from _cruise(car, manoeuvre)
            case Sweep():
                yield from _sweep(car, manoeuvre)
            case HoldAndLift():
                yield from _hold_and_lift(car, manoeuvre)
            case TipIn():
                yield from _tip_in(car, manoeuvre)
            case FreeRev():
                yield from _free_rev(car, manoeuvre)
            case RoadPull():
                yield from _road_pull(car, manoeuvre)
            case CruiseControl():
                yield from _cruise_control(car, manoeuvre, chance)
            case Driving():
                yield from _traffic(car, manoeuvre, chance)


def _wait(car: Cockpit, seconds: float) -> Steps:
    until = car.time_s + seconds
    while car.time_s < until:
        yield


def _move_pedal(car: Cockpit, to: float, seconds: float) -> Steps:
    """Straight from where it is."""
    start_s, start = car.time_s, car.controls.pedal
    while (done := (car.time_s - start_s) / max(seconds, 1e-3)) < 1.0:
        car.controls.pedal = start + (to - start) * done
        yield
    car.controls.pedal = to


def _speed_up(car: Cockpit, goal_ms: float) -> Steps:
    """At part throttle, no longer than half a minute."""
    until = car.time_s + 30.0
    while car.speed_ms < goal_ms and car.time_s < until:
        car.controls.pedal = min(car.controls.pedal + 0.5, 35.0)
        yield


def _braked(car: Cockpit) -> bool:
    return car.load.brake_limit_n > 0.0


def _change_gear(car: Cockpit, gear: int, engage_s: float = 0.35) -> Steps:
    """Lift, clutch, gear, clutch; a slow engagement where the car stands.

    A heavy car (the road) pulls away in first and goes up through the gears.
    """
    controls = car.controls
    if controls.gear == gear and controls.clutch >= 1.0:
        return
    if gear > 1 and not _braked(car) and car.speed_ms < car.speed_at(1000.0, gear):
        yield from _change_gear(car, gear - 1)
        yield from _speed_up(car, car.speed_at(1500.0, gear))
    yield from _move_pedal(car, 0.0, 0.1)
    controls.clutch = 0.0
    yield from _wait(car, 0.2)
    controls.gear = gear
    standing = car.speed_ms < 0.5 * car.speed_at(1200.0, gear)
    seconds = 2.5 if standing else engage_s
    start_s = car.time_s
    while (done := (car.time_s - start_s) / seconds) < 1.0 or (standing and not car.clutch_locked):
        done = min(done, 1.0)
        controls.clutch = max(0.02, 0.6 * done) if standing else max(0.05, done)
        controls.pedal = min(max((1900.0 - car.rpm) * 0.05 + 14.0, 0.0), 45.0) if standing else 4.0
        if car.time_s - start_s > 12.0:
            break
        yield
    controls.clutch = 1.0


def _hold_speed(car: Cockpit, rpm: float, gear: int, pedal: float, seconds: float) -> Steps:
    """Go to a speed and stay: the brake does it where there is one, else the foot."""
    load, controls = car.load, car.controls
    goal_ms = car.speed_at(rpm, gear)
    if _braked(car):
        load.mode = BrakeMode.HOLD
        load.set_ms = car.speed_ms
        start_s, start_ms, start_pedal = car.time_s, car.speed_ms, controls.pedal
        while (t := car.time_s - start_s) < seconds:
            done = min(1.0, t / SETTLE_S)
            load.set_ms = start_ms + (goal_ms - start_ms) * done
            # below the goal the engine has to pull; a brake cannot push
            slow = max(0.0, load.set_ms - car.speed_ms) * 12.0
            aim = min(pedal + slow, 60.0)
            controls.pedal = start_pedal + (aim - start_pedal) * min(1.0, t / 0.4)
            yield
        return
    yield from _foot_holds(car, goal_ms, seconds)


def _foot_holds(car: Cockpit, goal_ms: float, seconds: float) -> Steps:
    """Pedal and service brake follow the speed error; the time starts once it is near."""
    controls = car.controls
    slow_sum, waited_s, near_s = 0.0, car.time_s, 0.0
    step_from = car.time_s
    while near_s < seconds and car.time_s - waited_s < seconds + 60.0:
        error = goal_ms - car.speed_ms
        slow_sum = min(max(slow_sum + error * 0.02, -8.0), 25.0)
        controls.pedal = min(max(8.0 + 14.0 * error + slow_sum, 0.0), 55.0)
        controls.service_nm = 500.0 * min(max(-error - 0.4, 0.0), 3.0)
        if abs(error) < 0.4:
            near_s += car.time_s - step_from
        step_from = car.time_s
        yield
    controls.service_nm = 0.0


def _idle(car: Cockpit, seconds: float) -> Steps:
    """Clutch open; a braked roller is slowed to a stop."""
    car.controls.clutch = 0.0
    car.controls.gear = 0
    car.controls.cruise_percent = 0.0
    until = car.time_s + seconds
    yield from _move_pedal(car, 0.0, min(0.2, seconds))
    car.load.mode = BrakeMode.FREE
    while car.time_s < until:
        car.controls.service_nm = 150.0
        yield
    car.controls.service_nm = 0.0


def _cruise(car: Cockpit, m: Cruise) -> Steps:
    until = car.time_s + m.duration_s
    yield from _change_gear(car, m.gear)
    left = until - car.time_s
    if left > 0.0:
        yield from _hold_speed(car, m.engine_rpm, m.gear, m.pedal_percent, left)


def _sweep(car: Cockpit, m: Sweep) -> Steps:
    """Hold, release, sweep, lift."""
    yield from _change_gear(car, m.gear)
    yield from _hold_speed(car, m.start_rpm, m.gear, 25.0, SETTLE_S + 0.8)
    yield from _pull(car, m, m.hold_s, m.abort_rpm)
    if m.abort_rpm is None or m.reapply_s is None:
        return
    yield from _wait(car, m.reapply_s)
    yield from _pull(car, m, 0.0, None)


def _pull(car: Cockpit, m: Sweep, hold_s: float, abort_rpm: float | None) -> Steps:
    load = car.load
    if _braked(car):
        load.mode, load.set_ms = BrakeMode.HOLD, car.speed_ms
    yield from _move_pedal(car, FULL, m.pedal_s)
    full_pedal_s = car.time_s
    yield from _wait(car, hold_s if _braked(car) else 0.0)
    load.ramp_ms2 = car.speed_at(m.ramp_rpm_s, m.gear)
    load.mode = BrakeMode.RAMP if _braked(car) else BrakeMode.FREE
    car.log.start(m.kind, m.gear, car.time_s, car.rpm, full_pedal_s)
    yield from _until_end(car, m, m.end_rpm if abort_rpm is None else abort_rpm)
    reached = car.rpm >= COMPLETE_SHARE * car.limiter_rpm
    car.log.end(car.time_s, car.rpm, EndReason.LIFT, abort_rpm is None and reached)
    if _braked(car):
        load.mode, load.set_ms = BrakeMode.HOLD, car.speed_ms
    yield from _move_pedal(car, 0.0, m.release_s)
    if abort_rpm is None or m.reapply_s is None:
        yield from _let_down(car)


def _until_end(car: Cockpit, m: Sweep, end_rpm: float) -> Steps:
    """Until the driver lifts; on the limiter he stays a while."""
    planned_s = (end_rpm - car.rpm) / m.ramp_rpm_s
    until = car.time_s + max(SWEEP_TIMEOUT * planned_s, 20.0)
    while car.rpm < end_rpm and car.time_s < until:
        yield
        if not car.log.running:  # the limiter has cut
            yield from _wait(car, m.limiter_s)
            return


def _let_down(car: Cockpit) -> Steps:
    """After a pull: coast down in gear, the brake helping, to a restful speed."""
    load = car.load
    rest_ms = car.speed_at(2000.0, car.controls.gear)
    load.mode = BrakeMode.HOLD if _braked(car) else BrakeMode.FREE
    load.set_ms = car.speed_ms
    until = car.time_s + 30.0
    last_s = car.time_s
    while car.speed_ms > rest_ms and car.time_s < until:
        load.set_ms = max(rest_ms, load.set_ms - 9.0 * (car.time_s - last_s))
        last_s = car.time_s
        car.controls.service_nm = 0.0 if _braked(car) else 350.0
        yield
    car.controls.service_nm = 0.0
    yield from _move_pedal(car, REST_PEDAL, 0.4)


def _hold_and_lift(car: Cockpit, m: HoldAndLift) -> Steps:
    yield from _change_gear(car, m.gear)
    yield from _hold_speed(car, m.engine_rpm, m.gear, 25.0, SETTLE_S + 1.0)
    yield from _move_pedal(car, FULL, 0.3)
    yield from _wait(car, m.hold_s)
    yield from _move_pedal(car, REST_PEDAL, 0.3)
    yield from _wait(car, 1.0)


def _tip_in(car: Cockpit, m: TipIn) -> Steps:
    yield from _change_gear(car, m.gear)
    yield from _hold_speed(car, m.engine_rpm, m.gear, REST_PEDAL, SETTLE_S + 1.0)
    yield from _move_pedal(car, FULL, 0.15)
    yield from _wait(car, m.hold_s)
    yield from _move_pedal(car, REST_PEDAL, 0.15)
    yield from _wait(car, 1.0)


def _free_rev(car: Cockpit, m: FreeRev) -> Steps:
    car.controls.clutch, car.controls.gear = 0.0, 0
    yield from _move_pedal(car, 0.0, 0.2)
    for _ in range(m.blips):
        yield from _wait(car, 1.0)
        yield from _move_pedal(car, m.pedal_percent, 0.12)
        until = car.time_s + 3.0
        while car.rpm < m.top_rpm and car.time_s < until:
            yield
        yield from _move_pedal(car, 0.0, 0.1)
        until = car.time_s + 6.0
        while car.rpm > 1300.0 and car.time_s < until:
            yield


def _road_pull(car: Cockpit, m: RoadPull) -> Steps:
    """One gear after the other at full pedal."""
    yield from _change_gear(car, m.gears[0])
    yield from _hold_speed(car, m.start_rpm, m.gears[0], REST_PEDAL, 1.5)
    for index, gear in enumerate(m.gears):
        last = index == len(m.gears) - 1
        yield from _change_gear(car, gear, 0.25)
        yield from _move_pedal(car, FULL, 0.2)
        car.log.start("road", gear, car.time_s, car.rpm, car.time_s)
        top = m.end_rpm if last else m.shift_rpm
        until = car.time_s + 45.0
        while car.rpm < top and car.time_s < until and car.log.running:
            yield
        reason = EndReason.LIFT if last else EndReason.GEAR_CHANGE
        car.log.end(car.time_s, car.rpm, reason, car.rpm >= COMPLETE_SHARE * car.limiter_rpm)
        if last:
            yield from _move_pedal(car, 0.0, 0.2)
            yield from _let_down(car)


def _cruise_control(car: Cockpit, m: CruiseControl, chance: random.Random) -> Steps:
    """Up and down hill: the ECU moves the throttle, the foot rests."""
    yield from _change_gear(car, m.gear)
    yield from _hold_speed(car, m.engine_rpm, m.gear, REST_PEDAL, 3.0)
    goal_ms, summed = car.speed_ms, car.controls.pedal
    car.controls.pedal = 0.0
    phase, period_s = chance.uniform(0.0, 6.28), chance.uniform(15.0, 30.0)
    start_s = car.time_s
    while (t := car.time_s - start_s) < m.duration_s:
        wave = math.sin(phase + 6.2832 * t / period_s) - math.sin(phase) * math.exp(-t / 5.0)
        car.load.slope = m.steepest_percent / 100.0 * wave
        error = goal_ms - car.speed_ms
        summed = min(max(summed + 0.08 * error, 0.0), 90.0)
        car.controls.cruise_percent = min(max(summed + 20.0 * error, 0.0), FULL)
        yield
    car.load.slope = 0.0
    car.controls.cruise_percent = 0.0


def _traffic(car: Cockpit, m: Driving, chance: random.Random) -> Steps:
    """Speeds drawn at random, followed with part throttle through the gears; sometimes a stop."""
    until = car.time_s + m.duration_s
    while car.time_s < until:
        stop = chance.random() < 0.2
        goal_ms = 0.0 if stop else chance.uniform(15.0, m.fastest_km_h) / 3.6
        eager = chance.uniform(0.35, 1.0)
        yield from _follow(
            car, m, goal_ms, eager, min(until, car.time_s + chance.uniform(8.0, 45.0))
        )
        if stop and car.time_s < until:
            yield from _idle(car, min(chance.uniform(3.0, 20.0), until - car.time_s))


def _follow(car: Cockpit, m: Driving, goal_ms: float, eager: float, until: float) -> Steps:
    """Towards one speed until the time is up or the car stands."""
    controls = car.controls
    summed = 0.0
    while car.time_s < until:
        gear = _gear_for(car, eager)
        if car.rpm < STALLING_RPM_SHARE * car.idle_rpm:
            controls.clutch, controls.gear = 0.0, 0
        if goal_ms == 0.0 and car.speed_ms < 2.5:
            return
        if gear != controls.gear or controls.clutch < 1.0:
            controls.service_nm = 0.0
            yield from _change_gear(car, gear)
        error = goal_ms - car.speed_ms
        summed = min(max(summed + 0.01 * error, -5.0), 20.0)
        wanted = min(max(6.0 + 12.0 * eager * error + summed, 0.0), m.largest_pedal_percent * eager)
        controls.pedal += min(max(wanted - controls.pedal, -2.0), 1.0)
        controls.service_nm = 400.0 * min(max(-error - 0.8, 0.0), 3.0)
        yield
    controls.service_nm = 0.0


def _gear_for(car: Cockpit, eager: float) -> int:
    """Up above a speed that depends on the driver's mood, down below 1300 rpm."""
    gear = max(1, car.controls.gear)
    up_rpm = 2000.0 + 1800.0 * eager
    if car.speed_ms > car.speed_at(up_rpm, gear) and gear < 6:
        try:
            car.speed_at(1.0, gear + 1)
        except IndexError:
            return gear
        return gear + 1
    while gear > 1 and car.speed_ms < car.speed_at(1300.0, gear):
        gear -= 1
    return gear
