"""What an engine and its car are built like: the parameters of the model, nothing that happens."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fuel:
    """octane: research octane number, 0 where the engine needs none."""

    name: str
    stoichiometric_ratio: float
    heating_value_mj_kg: float
    octane: float
    density_kg_l: float = 0.745


PETROL_95 = Fuel("petrol 95", 14.5, 42.7, 95.0)
PETROL_98 = Fuel("petrol 98", 14.5, 42.7, 98.0)
E85 = Fuel("E85", 9.8, 29.2, 106.0, 0.782)
DIESEL = Fuel("diesel", 14.5, 42.6, 0.0, 0.835)


@dataclass(frozen=True, slots=True)
class Turbo:
    """Compressor and turbine, sized by `sizing.turbo_for`.

    turbine_flow, gate_flow: kg/s sqrt(K) per kPa of the elliptic orifice law. guide_vanes: the
    turbine's own area is controlled and there is no gate.
    """

    wheel_m: float
    inertia_kg_m2: float
    head: float  # isentropic head over tip speed squared, at no flow
    widest_flow: float  # flow coefficient at which the head is gone
    compressor_efficiency: float
    turbine_efficiency: float
    turbine_flow: float
    gate_flow: float
    spring_kpa: float
    guide_vanes: bool = False


@dataclass(frozen=True, slots=True)
class Blower:
    """A positive-displacement blower on a belt."""

    displacement_l: float
    ratio: float
    efficiency: float
    leakage: float  # share of its volume lost per unit of pressure ratio above one


@dataclass(frozen=True, slots=True)
class BoostControl:
    """target_kpa: gauge, at full load, at each engine speed of target_rpm. closed_loop: a
    controller follows it; without, the spring alone says what is reached."""

    target_rpm: tuple[float, ...]
    target_kpa: tuple[float, ...]
    closed_loop: bool = True
    proportional: float = 0.002  # opening per kPa
    integral: float = 0.002  # opening per kPa and second
    actuator_s: float = 0.12


@dataclass(frozen=True, slots=True)
class Calibration:
    """What the engine's controller is taught.

    full_load_lambda: at the lowest and at the highest speed. knock_margin_deg: the timing map
    stays this far below where knock begins in the calibrator's own air. knock_step_deg and
    knock_recovery_deg_s: what one event takes, and how fast it is given back. knock_control: none
    on most motorcycles and on diesels.
    """

    full_load_lambda: tuple[float, float]
    knock_margin_deg: float = 1.5
    knock_step_deg: float = 2.0
    knock_recovery_deg_s: float = 1.2
    knock_control: bool = True
    smoke_lambda: float = 1.18
    warm_air_deg_per_k: float = 0.15
    by_air_meter: bool = True  # else by speed and density
    torque_request_share: float = 1.0  # of the engine's own, at full pedal
    fuel_pressure_low_kpa: float = 400.0
    rail_idle_kpa: float = 5_000.0
    rail_full_kpa: float = 18_000.0
    rail_lag_s: float = 0.15
    injector_duty_full: float = 78.0  # % at rated power
    pump_reserve: float = 1.35  # what either pump can give over what full load asks


@dataclass(frozen=True, slots=True)
class Engine:
    """One engine. filling: peak of volumetric efficiency against the manifold's own state."""

    kind: str
    cylinders: int
    displacement_l: float
    stroke_m: float
    compression_ratio: float
    fuel: Fuel
    compression_ignition: bool
    port_injection: bool
    idle_rpm: float
    rated_rpm: float
    limiter_rpm: float
    filling: float
    filling_rpm: float
    filling_fall: float
    calibration: Calibration
    turbo: Turbo | None = None
    blower: Blower | None = None
    boost: BoostControl | None = None
    cooler_effectiveness: float = 0.75
    cooler_heat_kj_k: float = 6.0
    intake_drop_kpa: float = 1.5  # filter and duct at rated flow
    throttle_drop: float = 0.02  # share of pressure lost in the open throttle at rated flow
    exhaust_drop_kpa: float = 18.0
    throttle_full_percent: float = 100.0
    pedal_full_percent: float = 100.0
    thermostat_degc: float = 90.0
    oil_idle_kpa: float = 150.0
    oil_rated_kpa: float = 430.0
    exhaust_heat_k: float = 850.0

    @property
    def boosted(self) -> bool:
        return self.turbo is not None or self.blower is not None


@dataclass(frozen=True, slots=True)
class Drive:
    """The car on its roller.

    kmh_per_1000_rpm: of the gear of the pull. next_gear: share of the ratio after a shift inside
    the pull, 0 where there is none; shift_rpm: where that comes.
    """

    kmh_per_1000_rpm: float
    wheel_radius_m: float
    efficiency: float
    moving_kg: float  # car's rotating parts and roller, as a mass at the tyre
    gear: int
    grip_nm: float  # of wheel torque
    clutch_nm: float
    next_gear: float = 0.0
    shift_rpm: float = 0.0


@dataclass(frozen=True, slots=True)
class Air:
    """The air of the cell."""

    pressure_kpa: float
    temperature_degc: float
    humidity_percent: float
