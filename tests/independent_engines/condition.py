"""The state of one car: what of it is not as it was built, as changes of the physics."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Condition:
    """Every field at its default is a healthy car. Shares are of the built value."""

    octane_lost: float = 0.0
    knocking_cylinder: int = 0  # 0: none
    knocking_deg: float = 0.0  # how much earlier that cylinder knocks
    cooler_share: float = 1.0
    leak_share: float = 0.0  # of the flow at the boost target
    gate_stuck: float | None = None  # opening, 0 closed to 1 open
    gate_most: float = 1.0  # it opens no further
    boost_gain: float = 1.0  # of a controller that is late; more than 1 swings
    boost_travel: float = 0.05  # of the gate, that it swings with
    intake_drop_share: float = 1.0
    exhaust_drop_share: float = 1.0
    low_pump_share: float = 1.0
    high_pump_share: float = 1.0
    injector_share: float = 1.0
    closure_rpm: float = 0.0  # from here the controller closes the throttle; 0: never
    closure_to: float = 0.55
    misfire_share: float = 0.0  # of one cylinder's cycles
    misfire_rpm: float = 0.0  # from here
    grip_share: float = 1.0
    clutch_share: float = 1.0
    cooling_share: float = 1.0
    start_coolant_k: float = 0.0  # above the thermostat, at the session's start
    timing_taken_deg: float = 0.0
    timing_taken_rpm: float = 0.0
    fuel_share: float = 1.0  # what the injectors give against what the controller believes
    ethanol_ratio: float | None = None  # the fuel's own stoichiometric ratio
    belt_slip: float = 0.0  # share of the blower's speed lost at full boost
    limiter_rpm: float | None = None
    boost_target_share: float = 1.0
    oil_share: float = 1.0
    diesel_fuel_share: float = 1.0
    exhaust_hotter_k: float = 0.0


HEALTHY = Condition()
