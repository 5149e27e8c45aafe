"""What every manoeuvre is made of: waiting, the pedal, the gears, holding a speed."""

from typing import Final

from simulators.driving.cockpit import Cockpit, Steps, is_braked
from simulators.driving.speed_control import HOLDING
from simulators.dyno import BrakeMode

# An invented driver: where no source stands, figures were set by hand on the cars of cars.py.
FULL_PERCENT: Final = 100.0
REST_PERCENT: Final = 18.0  # the pedal between two pulls
SETTLE_S: Final = 2.5  # from one held speed to the next
SHORTEST_MOVE_S: Final = 1e-3  # a pedal moved at once

SPEED_UP_S: Final = 30.0  # no longer
SPEED_UP_PERCENT: Final = 35.0
SPEED_UP_PERCENT_STEP: Final = 0.5

LIFT_S: Final = 0.1  # foot off before the clutch
CLUTCH_OPEN_S: Final = 0.2  # the hand needs so long for the next gear
ENGAGE_S: Final = 0.35
ENGAGE_STANDING_S: Final = 2.5
ENGAGE_LONGEST_S: Final = 12.0
ENGAGE_PERCENT: Final = 4.0  # pedal while the clutch closes on the move
LEAST_CLUTCH: Final = 0.05
LEAST_CLUTCH_STANDING: Final = 0.02
BITING_CLUTCH: Final = 0.6  # no further closed as long as it slides from standstill
MOVE_OFF_RPM: Final = 1900.0  # the foot holds this speed on the sliding clutch ...
MOVE_OFF_PERCENT_PER_RPM: Final = 0.05
MOVE_OFF_PERCENT: Final = 14.0
MOVE_OFF_MOST_PERCENT: Final = 45.0
STANDING_SHARE: Final = 0.5  # slower than this share of STANDING_RPM's road speed: standstill
STANDING_RPM: Final = 1200.0
LUGGING_RPM: Final = 1000.0  # a gear that would turn slower needs the one below first ...
NEXT_GEAR_RPM: Final = 1500.0  # ... up to this speed in the higher one

SLOW_PERCENT_PER_MS: Final = 12.0  # pedal for each m/s below the goal: a brake cannot push
HELD_MOST_PERCENT: Final = 60.0
PEDAL_SETTLE_S: Final = 0.4
FOOT_MOST_PERCENT: Final = 55.0
NEAR_MS: Final = 0.4  # this near the goal the time of a held speed counts
HOLD_PATIENCE_S: Final = 60.0  # then the driver goes on, near or not


def wait(car: Cockpit, seconds: float) -> Steps:
    """Nothing moves."""
    until = car.time_s + seconds
    while car.time_s < until:
        yield


def move_pedal(car: Cockpit, to: float, seconds: float) -> Steps:
    """Straight from where it is."""
    start_s, start = car.time_s, car.controls.pedal
    while (done := (car.time_s - start_s) / max(seconds, SHORTEST_MOVE_S)) < 1.0:
        car.controls.pedal = start + (to - start) * done
        yield
    car.controls.pedal = to


def change_gear(car: Cockpit, gear: int, engage_s: float = ENGAGE_S) -> Steps:
    """Lift, clutch, gear, clutch; a slow engagement where the car stands.

    A heavy car (the road) pulls away in first and goes up through the gears.
    """
    controls = car.controls
    if controls.gear == gear and controls.clutch >= 1.0:
        return
    if gear > 1 and not is_braked(car) and car.speed_ms < car.speed_at(LUGGING_RPM, gear):
        yield from change_gear(car, gear - 1)
        yield from _speed_up(car, car.speed_at(NEXT_GEAR_RPM, gear))
    yield from move_pedal(car, 0.0, LIFT_S)
    controls.clutch = 0.0
    yield from wait(car, CLUTCH_OPEN_S)
    controls.gear = gear
    if car.speed_ms < STANDING_SHARE * car.speed_at(STANDING_RPM, gear):
        yield from _engage_standing(car)
    else:
        yield from _engage_moving(car, engage_s)
    controls.clutch = 1.0


def _engage_standing(car: Cockpit) -> Steps:
    """The clutch slides until the car has caught up; the foot holds the engine speed meanwhile."""
    controls, start_s = car.controls, car.time_s
    while (done := (car.time_s - start_s) / ENGAGE_STANDING_S) < 1.0 or not car.clutch_locked:
        controls.clutch = max(LEAST_CLUTCH_STANDING, BITING_CLUTCH * min(done, 1.0))
        slow_percent = (MOVE_OFF_RPM - car.rpm) * MOVE_OFF_PERCENT_PER_RPM
        controls.pedal = min(max(slow_percent + MOVE_OFF_PERCENT, 0.0), MOVE_OFF_MOST_PERCENT)
        if car.time_s - start_s > ENGAGE_LONGEST_S:
            return
        yield


def _engage_moving(car: Cockpit, seconds: float) -> Steps:
    controls, start_s = car.controls, car.time_s
    while (done := (car.time_s - start_s) / seconds) < 1.0:
        controls.clutch = max(LEAST_CLUTCH, done)
        controls.pedal = ENGAGE_PERCENT
        yield


def _speed_up(car: Cockpit, goal_ms: float) -> Steps:
    """At part throttle, no longer than SPEED_UP_S."""
    until = car.time_s + SPEED_UP_S
    while car.speed_ms < goal_ms and car.time_s < until:
        car.controls.pedal = min(car.controls.pedal + SPEED_UP_PERCENT_STEP, SPEED_UP_PERCENT)
        yield


def hold_speed(car: Cockpit, rpm: float, gear: int, pedal: float, seconds: float) -> Steps:
    """Go to a speed and stay: the brake does it where there is one, else the foot."""
    goal_ms = car.speed_at(rpm, gear)
    if is_braked(car):
        yield from _brake_holds(car, goal_ms, pedal, seconds)
    else:
        yield from _foot_holds(car, goal_ms, seconds)


def _brake_holds(car: Cockpit, goal_ms: float, pedal: float, seconds: float) -> Steps:
    """The dyno leads the speed to the goal against a nearly constant pedal."""
    load, controls = car.load, car.controls
    load.mode = BrakeMode.HOLD
    load.set_ms = car.speed_ms
    start_s, start_ms, start_pedal = car.time_s, car.speed_ms, controls.pedal
    while (t := car.time_s - start_s) < seconds:
        done = min(1.0, t / SETTLE_S)
        load.set_ms = start_ms + (goal_ms - start_ms) * done
        slow = max(0.0, load.set_ms - car.speed_ms) * SLOW_PERCENT_PER_MS
        aim = min(pedal + slow, HELD_MOST_PERCENT)
        controls.pedal = start_pedal + (aim - start_pedal) * min(1.0, t / PEDAL_SETTLE_S)
        yield


def _foot_holds(car: Cockpit, goal_ms: float, seconds: float) -> Steps:
    """Pedal and service brake follow the speed error; the time starts once it is near."""
    controls = car.controls
    integral, start_s, near_s = 0.0, car.time_s, 0.0
    last_s = car.time_s
    while near_s < seconds and car.time_s - start_s < seconds + HOLD_PATIENCE_S:
        error_ms = goal_ms - car.speed_ms
        integral = HOLDING.integral(integral, error_ms)
        controls.pedal = HOLDING.pedal(error_ms, integral, FOOT_MOST_PERCENT)
        controls.service_nm = HOLDING.service_nm(error_ms)
        if abs(error_ms) < NEAR_MS:
            near_s += car.time_s - last_s
        last_s = car.time_s
        yield
    controls.service_nm = 0.0
