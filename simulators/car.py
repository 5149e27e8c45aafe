"""What a simulated car is made of: plain numbers, no behaviour.

The defaults describe one healthy small turbocharged petrol car; cars.py has others.
"""

from dataclasses import dataclass, field
from typing import Final

from analysis.model.setup import Ignition
from simulators.curve import Points

BOOST_TARGET: Final = (  # gauge kPa over rpm, of the default car as it left the factory
    (1000.0, 20.0),
    (1500.0, 45.0),
    (2000.0, 70.0),
    (2600.0, 112.0),
    (3200.0, 125.0),
    (4000.0, 115.0),
    (5500.0, 85.0),
    (6500.0, 60.0),
)


@dataclass(frozen=True, slots=True)
class EngineModel:
    """volumetric_efficiency: over rpm, at full load. indicated_efficiency: of the air's heat
    when stoichiometric (compression ignition: of the fuel's), at the best timing. friction_bar:
    constant, per 1000 rpm, per (1000 rpm)^2. knock_base: spark in degrees over rpm at which an
    engine calibrated for knock_octane and knock_design_boost runs at full load; the knock limit
    lies knock_margin_deg above it."""

    ignition: Ignition = Ignition.SPARK
    displacement_l: float = 1.4
    cylinders: int = 4
    volumetric_efficiency: Points = (
        (800.0, 0.78),
        (1500.0, 0.85),
        (2500.0, 0.91),
        (4000.0, 0.95),
        (5200.0, 0.93),
        (6500.0, 0.85),
        (7500.0, 0.76),
    )
    indicated_efficiency: float = 0.352
    friction_bar: tuple[float, float, float] = (0.75, 0.05, 0.024)
    inertia_kg_m2: float = 0.13
    idle_rpm: float = 800.0
    limiter_rpm: float = 6800.0
    knock_base: Points = ((1000.0, 5.0), (2000.0, 7.0), (4000.0, 11.0), (6500.0, 16.0))
    knock_margin_deg: float = 2.8
    knock_octane: float = 95.0
    knock_design_boost: Points = BOOST_TARGET
    knock_deg_per_10_kpa: float = 3.0  # SAE 960497: 3 to 4 octane numbers per 10 kPa
    throttle_full_raw_percent: float = 88.0  # what the ECU sends when the throttle is fully open
    smoke_lambda: float = 1.28  # compression ignition: never richer than this


@dataclass(frozen=True, slots=True)
class TurboModel:
    """wheel_radius_m: of the compressor. rated_flow_gs: compressor flow at best efficiency.
    turbine_flow_gs: exhaust flow at which the turbine's expansion ratio is 2."""

    inertia_kg_m2: float = 0.7e-5
    wheel_radius_m: float = 0.022
    rated_flow_gs: float = 95.0
    compressor_efficiency: float = 0.74
    turbine_efficiency: float = 0.68
    turbine_flow_gs: float = 40.0
    wastegate_bypass: float = 0.8  # share of the exhaust past the turbine, fully open


@dataclass(frozen=True, slots=True)
class CoolerModel:
    """A charge-air cooler on a static dyno: a core that warms, and a fan that cools it."""

    effectiveness: float = 0.82  # (compressor outlet - charge) / (compressor outlet - core)
    heat_capacity_j_k: float = 4500.0
    cooling_w_k: float = 190.0
    pressure_drop_kpa: float = 8.0  # at the rated flow


@dataclass(frozen=True, slots=True)
class FuelModel:
    """direct: a high-pressure pump and rail beside the low-pressure one."""

    octane: float = 95.0
    direct: bool = True
    low_pressure_kpa: float = 500.0
    high_pressure_kpa: float = 20000.0
    high_pressure_idle_kpa: float = 6000.0
    full_load_duty_percent: float = 74.0  # injector duty of the healthy car where it is largest


@dataclass(frozen=True, slots=True)
class Calibration:
    """What a calibrator writes. boost_target: gauge kPa over rpm; the ECU asks for no more than
    the turbo can give. spark_offset_deg: over the engine's knock_base."""

    boost_target: Points = BOOST_TARGET
    spark_offset_deg: float = 0.0
    lambda_full_load: Points = ((1000.0, 0.95), (2500.0, 0.91), (5000.0, 0.87), (6500.0, 0.84))
    knock_step_deg: float = 3.0
    knock_recovery_deg: float = 0.75
    knock_recovery_s: float = 0.6
    overboost_kpa: float = 35.0  # over the target: the throttle closes


@dataclass(frozen=True, slots=True)
class DriveModel:
    """ratios: of the gears, first to last. Losses of the gears and joints are a torque at the
    wheels: constant, per rad/s of the wheels, and a share of the torque passed on."""

    ratios: tuple[float, ...] = (3.6, 2.0, 1.4, 1.05, 0.85, 0.72)
    final: float = 4.0
    clutch_capacity: float = 1.6  # times the engine's peak torque
    wheel_radius_m: float = 0.305
    wheel_inertia_kg_m2: float = 2.2  # of all driven wheels and shafts
    drag_nm: float = 14.0
    drag_nm_s: float = 0.11
    load_loss: float = 0.012
    tyre_rolling_n: float = 75.0
    tyre_rolling_n_s2: float = 0.035
    slip_stiffness_n: float = 320e3  # force per slip ratio, driven axle strapped down
    grip_n: float = 9000.0


@dataclass(frozen=True, slots=True)
class CarModel:
    """name: invented. turbo and cooler are None on a naturally aspirated engine."""

    name: str = "small turbocharged petrol car"
    engine: EngineModel = field(default_factory=EngineModel)
    turbo: TurboModel | None = field(default_factory=TurboModel)
    cooler: CoolerModel | None = field(default_factory=CoolerModel)
    fuel: FuelModel = field(default_factory=FuelModel)
    calibration: Calibration = field(default_factory=Calibration)
    drive: DriveModel = field(default_factory=DriveModel)
    mass_kg: float = 1250.0
    intake_drop_kpa: float = 3.0  # filter and ducts at the rated flow
    exhaust_rise_kpa: float = 14.0  # exhaust system at the rated flow

    @property
    def diesel(self) -> bool:
        """Whether load is set by fuel alone and knock is unknown."""
        return self.engine.ignition is Ignition.COMPRESSION


@dataclass(frozen=True, slots=True)
class AirModel:
    """The air of the test cell."""

    barometric_kpa: float = 98.5
    temperature_degc: float = 24.0
    relative_humidity_percent: float = 45.0
