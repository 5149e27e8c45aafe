"""The drive line and the roller: what turns how fast, and where it slips."""

from dataclasses import dataclass
from math import exp, pi

from independent_engines.condition import Condition
from independent_engines.design import Drive


@dataclass
class Rolling:
    """roller_rpm: the roller's speed as engine speed without any slip."""

    drive: Drive
    condition: Condition
    roller_rpm: float
    tyre_slip: float = 0.01
    clutch_slip: float = 0.0
    ratio: float = 1.0  # of the gear against that the pull began in
    wheel_nm: float = 0.0
    roller_kmh: float = 0.0
    vehicle_kmh: float = 0.0

    @property
    def overall(self) -> float:
        """Engine turns for one turn of the wheel."""
        wheel_rpm = self.drive.kmh_per_1000_rpm / 0.06 / (2.0 * pi * self.drive.wheel_radius_m)
        return 1e3 / wheel_rpm / self.ratio

    @property
    def engine_rpm(self) -> float:
        """What the roller's speed means for the engine, with both slips."""
        return self.roller_rpm / self.ratio * (1.0 + self.tyre_slip) * (1.0 + self.clutch_slip)

    def transmit(self, dt: float, engine_nm: float) -> None:
        """Torque through clutch and tyre; what is too much for either lets it slip."""
        capacity = self.drive.clutch_nm * self.condition.clutch_share
        through = min(engine_nm, capacity)
        over = max(engine_nm / capacity - 1.0, 0.0)
        self.clutch_slip += (min(0.7 * over, 0.35) - self.clutch_slip) * (1.0 - exp(-dt / 0.4))
        wheel = through * self.overall * self.drive.efficiency
        grip = self.drive.grip_nm * self.condition.grip_share
        over = max(wheel / grip - 1.0, 0.0)
        settled = 0.005 + 0.015 * max(wheel, 0.0) / self.drive.grip_nm + min(0.8 * over, 0.4)
        self.tyre_slip += (settled - self.tyre_slip) * (1.0 - exp(-dt / 0.3))
        self.wheel_nm = min(wheel, grip)
        self.roller_kmh = self.roller_rpm / 1e3 * self.drive.kmh_per_1000_rpm
        self.vehicle_kmh = self.roller_kmh * (1.0 + self.tyre_slip)

    def free_rise_rpm_s(self) -> float:
        """How fast the wheel's torque alone would turn everything faster."""
        m_s2 = self.wheel_nm / self.drive.wheel_radius_m / self.drive.moving_kg
        return m_s2 * 3.6 / self.drive.kmh_per_1000_rpm * 1e3
