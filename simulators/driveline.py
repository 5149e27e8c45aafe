"""From the crankshaft to the contact patch: engine inertia, clutch, gears, wheels, tyre.

Three bodies (engine, wheels, roller) and two frictions (clutch, tyre). Both are solved implicitly
over the step, so that a stiff tyre and a locked clutch stay stable at 10 ms.
"""

from typing import Final

from simulators.car import CarModel
from simulators.dyno import Load
from simulators.faults import Effects

RAD_S: Final = 0.10471975511965978  # per rpm
SLIDING: Final = 0.92  # sliding over sticking friction of the clutch
SPEED_FLOOR_MS: Final = 1.5  # slip is referred to no less than this speed


class Driveline:
    """State: speeds of engine (rad/s), wheels (rad/s) and contact surface (m/s)."""

    def __init__(self, car: CarModel, peak_torque_nm: float, effects: Effects) -> None:
        self.drive = car.drive
        self.engine_rad_s = car.engine.idle_rpm * RAD_S
        self.wheel_rad_s = 0.0
        self.speed_ms = 0.0
        self.clutch_nm = 0.0  # passed on by the clutch
        self.tyre_n = 0.0
        self.wheel_power_w = 0.0
        self.locked = False
        self._inertia = car.engine.inertia_kg_m2
        self._peak_nm = peak_torque_nm
        self._capacity_nm = peak_torque_nm * min(self.drive.clutch_capacity, effects.clutch)
        self._grip = effects.grip
        self._stiffness_n = self.drive.slip_stiffness_n * effects.tyre_stiffness
        self._gear = 0

    def ratio(self, gear: int) -> float:
        """Engine turns per wheel turn; 0 in neutral."""
        return self.drive.ratios[gear - 1] * self.drive.final if gear else 0.0

    def step(
        self,
        step_s: float,
        engine_nm: float,
        gear: int,
        clutch: float,
        service_nm: float,
        load: Load,
    ) -> None:
        """Move everything on by one step; clutch: 0 open to 1 closed."""
        if gear != self._gear or clutch <= 0.0:
            self.locked = False
            self._gear = gear
        ratio = self.ratio(gear) if clutch > 0.0 else 0.0
        capacity = self._capacity_nm * clutch
        against_n = load.step(step_s, self.speed_ms, self.tyre_n)
        speed_before, wheel_before = self.speed_ms, self.wheel_rad_s
        if self.locked:
            self._together(step_s, engine_nm, ratio, service_nm, load, against_n)
            passed = engine_nm - self._inertia * ratio * (self.wheel_rad_s - wheel_before) / step_s
            self.locked = abs(passed) <= capacity
            self.clutch_nm = passed
        else:
            self._apart(step_s, engine_nm, ratio, capacity, service_nm, load, against_n)
        self._power(step_s, load, speed_before, wheel_before)

    def _power(self, step_s: float, load: Load, speed_before: float, wheel_before: float) -> None:
        """Power at the roller, wheels counted with it: (I a + T_brake) times speed."""
        mass_w = load.mass_kg * (self.speed_ms - speed_before) / step_s * self.speed_ms
        wheels_w = (
            self.drive.wheel_inertia_kg_m2
            * (self.wheel_rad_s - wheel_before)
            / step_s
            * self.wheel_rad_s
        )
        self.wheel_power_w = mass_w + wheels_w + load.brake_n * self.speed_ms

    def _together(
        self,
        step_s: float,
        engine_nm: float,
        ratio: float,
        service_nm: float,
        load: Load,
        against_n: float,
    ) -> None:
        at_wheel = engine_nm * ratio
        at_wheel -= self.drive.load_loss * abs(at_wheel)
        inertia = self._inertia * ratio * ratio + self.drive.wheel_inertia_kg_m2
        self._wheels(step_s, at_wheel, inertia, ratio, service_nm, load, against_n)
        self.engine_rad_s = ratio * self.wheel_rad_s

    def _apart(
        self,
        step_s: float,
        engine_nm: float,
        ratio: float,
        capacity: float,
        service_nm: float,
        load: Load,
        against_n: float,
    ) -> None:
        slip = self.engine_rad_s - ratio * self.wheel_rad_s
        passed = (
            0.0
            if ratio == 0.0
            else SLIDING
            * capacity
            * (-1.0 if slip < 0.0 or (slip == 0.0 and engine_nm < 0.0) else 1.0)
        )
        self.engine_rad_s = max(
            0.0, self.engine_rad_s + step_s * (engine_nm - passed) / self._inertia
        )
        at_wheel = passed * ratio - self.drive.load_loss * abs(passed * ratio)
        self._wheels(
            step_s, at_wheel, self.drive.wheel_inertia_kg_m2, ratio, service_nm, load, against_n
        )
        self.clutch_nm = passed
        after = self.engine_rad_s - ratio * self.wheel_rad_s
        if ratio > 0.0 and after * slip < 0.0:
            self.locked = True
            self.engine_rad_s = ratio * self.wheel_rad_s

    def _wheels(
        self,
        step_s: float,
        at_wheel_nm: float,
        inertia: float,
        ratio: float,
        service_nm: float,
        load: Load,
        against_n: float,
    ) -> None:
        """Wheels and roller with the tyre between: its force from the slip at the step's end."""
        drive = self.drive
        radius = drive.wheel_radius_m
        turning = min(1.0, self.wheel_rad_s / 0.5)
        speed = self.speed_ms
        rolling_n = drive.tyre_rolling_n + drive.tyre_rolling_n_s2 * speed * speed
        drag = drive.drag_nm + drive.drag_nm_s * self.wheel_rad_s + rolling_n * radius + service_nm
        torque = at_wheel_nm - turning * drag
        grip = (
            min(drive.grip_n, self._grip * self._peak_nm * ratio / radius)
            if ratio
            else drive.grip_n
        )
        used = min(abs(self.tyre_n) / grip, 1.0)
        stiffness = self._stiffness_n * max(0.03, 1.0 - used * used)
        damping = stiffness / max(abs(speed), SPEED_FLOOR_MS)
        slip = self.wheel_rad_s * radius - speed
        free = slip + step_s * (torque * radius / inertia + against_n / load.mass_kg)
        compliance = radius * radius / inertia + 1.0 / load.mass_kg
        force = damping * free / (1.0 + step_s * damping * compliance)
        force = min(max(force, -grip), grip)
        self.wheel_rad_s = max(0.0, self.wheel_rad_s + step_s * (torque - force * radius) / inertia)
        self.speed_ms = max(0.0, speed + step_s * (force - against_n) / load.mass_kg)
        self.tyre_n = force
