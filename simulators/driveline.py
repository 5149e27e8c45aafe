"""From the crankshaft to the contact patch: engine inertia, clutch, gears, wheels, tyre.

Three bodies (engine, wheels, roller) and two frictions (clutch, tyre). Both are solved implicitly
over the step, so that a stiff tyre and a locked clutch stay stable at 10 ms.
"""

from dataclasses import dataclass
from typing import Final

from simulators.car import CarModel
from simulators.dyno import Load
from simulators.faults import Effects

RAD_S: Final = 0.10471975511965978  # per rpm
SLIDING: Final = 0.92  # sliding over sticking friction of the clutch
SPEED_FLOOR_MS: Final = 1.5  # slip is referred to no less than this speed
STANDING_RAD_S: Final = 0.5  # of the wheels: below it drag fades, so that a standing car stays so
LEAST_STIFFNESS: Final = 0.03  # share of the tyre's stiffness left at the limit of its grip


@dataclass(frozen=True, slots=True)
class _Forces:
    """What acts on the driveline in one step. ratio: engine turns per wheel turn, 0 where nothing
    is passed on. service_nm: the brake at the wheels. against_n: the roller's or the road's."""

    engine_nm: float
    ratio: float
    service_nm: float
    against_n: float
    load_kg: float


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
        *,
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
        capacity_nm = self._capacity_nm * clutch
        forces = _Forces(
            engine_nm=engine_nm,
            ratio=ratio,
            service_nm=service_nm,
            against_n=load.step(step_s, self.speed_ms, self.tyre_n),
            load_kg=load.mass_kg,
        )
        speed_before_ms, wheel_before_rad_s = self.speed_ms, self.wheel_rad_s
        if self.locked:
            self._together(step_s, forces)
            wheel_gain_rad_s = self.wheel_rad_s - wheel_before_rad_s
            passed_nm = engine_nm - self._inertia * ratio * wheel_gain_rad_s / step_s
            self.locked = abs(passed_nm) <= capacity_nm
            self.clutch_nm = passed_nm
        else:
            self._apart(step_s, forces, capacity_nm)
        self._power(step_s, load, speed_before_ms, wheel_before_rad_s)

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

    def _together(self, step_s: float, forces: _Forces) -> None:
        """Engine and wheels as one body."""
        ratio = forces.ratio
        inertia_kg_m2 = self._inertia * ratio * ratio + self.drive.wheel_inertia_kg_m2
        self._turn_wheels(step_s, forces, self._at_wheel_nm(forces.engine_nm, ratio), inertia_kg_m2)
        self.engine_rad_s = ratio * self.wheel_rad_s

    def _apart(self, step_s: float, forces: _Forces, capacity_nm: float) -> None:
        """Engine and wheels with the sliding or open clutch between, until the slip ends."""
        ratio, engine_nm = forces.ratio, forces.engine_nm
        slip = self.engine_rad_s - ratio * self.wheel_rad_s
        held_back = slip < 0.0 or (slip == 0.0 and engine_nm < 0.0)
        passed_nm = 0.0
        if ratio != 0.0:
            passed_nm = SLIDING * capacity_nm * (-1.0 if held_back else 1.0)
        faster = step_s * (engine_nm - passed_nm) / self._inertia
        self.engine_rad_s = max(0.0, self.engine_rad_s + faster)
        at_wheel_nm = self._at_wheel_nm(passed_nm, ratio)
        self._turn_wheels(step_s, forces, at_wheel_nm, self.drive.wheel_inertia_kg_m2)
        self.clutch_nm = passed_nm
        after = self.engine_rad_s - ratio * self.wheel_rad_s
        if ratio > 0.0 and after * slip < 0.0:
            self.locked = True
            self.engine_rad_s = ratio * self.wheel_rad_s

    def _at_wheel_nm(self, clutch_nm: float, ratio: float) -> float:
        """Torque of the clutch behind the gears and their losses under load."""
        at_wheel_nm = clutch_nm * ratio
        return at_wheel_nm - self.drive.load_loss * abs(at_wheel_nm)

    def _turn_wheels(
        self, step_s: float, forces: _Forces, at_wheel_nm: float, inertia_kg_m2: float
    ) -> None:
        """Wheels and roller with the tyre between: its force from the slip at the step's end."""
        drive = self.drive
        radius_m, speed_ms = drive.wheel_radius_m, self.speed_ms
        turning = min(1.0, self.wheel_rad_s / STANDING_RAD_S)
        rolling_n = drive.tyre_rolling_n + drive.tyre_rolling_n_s2 * speed_ms * speed_ms
        gears_nm = drive.drag_nm + drive.drag_nm_s * self.wheel_rad_s
        drag_nm = gears_nm + rolling_n * radius_m + forces.service_nm
        torque_nm = at_wheel_nm - turning * drag_nm
        grip_n = drive.grip_n
        if forces.ratio:
            grip_n = min(grip_n, self._grip * self._peak_nm * forces.ratio / radius_m)
        used = min(abs(self.tyre_n) / grip_n, 1.0)
        stiffness_n = self._stiffness_n * max(LEAST_STIFFNESS, 1.0 - used * used)
        damping = stiffness_n / max(abs(speed_ms), SPEED_FLOOR_MS)
        slip_ms = self.wheel_rad_s * radius_m - speed_ms
        apart_ms2 = torque_nm * radius_m / inertia_kg_m2 + forces.against_n / forces.load_kg
        free_ms = slip_ms + step_s * apart_ms2
        compliance = radius_m * radius_m / inertia_kg_m2 + 1.0 / forces.load_kg
        tyre_n = damping * free_ms / (1.0 + step_s * damping * compliance)
        tyre_n = min(max(tyre_n, -grip_n), grip_n)
        wheel_nm = torque_nm - tyre_n * radius_m
        self.wheel_rad_s = max(0.0, self.wheel_rad_s + step_s * wheel_nm / inertia_kg_m2)
        roller_n = tyre_n - forces.against_n
        self.speed_ms = max(0.0, speed_ms + step_s * roller_n / forces.load_kg)
        self.tyre_n = tyre_n
