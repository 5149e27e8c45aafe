"""The demo's invented job: a small turbocharged car, before and after a mild calibration.

Both stages run on 100-octane fuel, on an engine calibrated for 95: hence room for the calibration.
Cylinder 3 has a hot spot (deposits) that only matters once the charge is hot and the boost is high.
"""

from dataclasses import replace
from typing import Final

from analysis.model.findings import Cause
from simulators.car import AirModel, Calibration, CarModel, CoolerModel
from simulators.curve import Points
from simulators.dyno import Braked
from simulators.faults import Fault
from simulators.manoeuvres import Cruise, Idle, Manoeuvre, Sweep
from simulators.scenario import Scenario

GEAR: Final = 4
RAMP_RPM_S: Final = 750.0
HOLD_S: Final = 2.0
STAGES: Final = ("baseline", "changed")
PULLS: Final = 3
COOL_DOWN_S: Final = 25.0
MORE_BOOST_KPA: Final = 20.0
MORE_SPARK_DEG: Final = 1.0
HOT_SPOT: Final = Fault(
    Cause.SINGLE_CYLINDER_KNOCK, 0.45, {"cylinder": 3.0, "above_charge_degc": 53.8}
)
# A gentle rise: the turbo follows it at this ramp, so that torque changes slowly with speed.
FACTORY_BOOST: Final[Points] = (
    (1000.0, 10.0),
    (1500.0, 25.0),
    (2000.0, 48.0),
    (2500.0, 78.0),
    (3000.0, 102.0),
    (3500.0, 114.0),
    (4000.0, 115.0),
    (4750.0, 104.0),
    (5500.0, 85.0),
    (6500.0, 60.0),
)
# Knock control in fine steps: enough of them to tell one cylinder from chance in a single pull.
_STOCK: Final = CarModel(
    calibration=Calibration(
        boost_target=FACTORY_BOOST, knock_step_deg=1.5, knock_recovery_deg=0.375
    )
)

# The car runs on a dyno that straps it down well, so that its tyres hardly slip, and its gears were
# overhauled: what a coast-down cannot see (slip and load-dependent loss) stays within 0.5 %.
CAR: Final = replace(
    _STOCK,
    name="Small turbocharged hatchback",
    engine=replace(
        _STOCK.engine,
        knock_deg_per_10_kpa=2.0,
        knock_margin_deg=3.2,
        knock_design_boost=FACTORY_BOOST,
    ),
    fuel=replace(_STOCK.fuel, octane=100.0),
    cooler=CoolerModel(effectiveness=0.82, heat_capacity_j_k=4500.0, cooling_w_k=150.0),
    drive=replace(_STOCK.drive, slip_stiffness_n=1.4e6, load_loss=0.002),
)
CHANGED_CAR: Final = replace(
    CAR,
    calibration=replace(
        CAR.calibration,
        boost_target=tuple(
            (rpm, kpa + MORE_BOOST_KPA * min(1.0, max(0.0, (rpm - 1500.0) / 2000.0)))
            for rpm, kpa in FACTORY_BOOST
        ),
        spark_offset_deg=MORE_SPARK_DEG,
    ),
)
DYNO: Final = Braked(inertia_kg_m2=9.0)  # light enough for the ramp from 1500 rpm in this gear
AIR: Final = AirModel()


def _pull() -> tuple[Manoeuvre, ...]:
    sweep = Sweep(gear=GEAR, start_rpm=1500.0, end_rpm=6500.0, ramp_rpm_s=RAMP_RPM_S, hold_s=HOLD_S)
    return (sweep, Cruise(4.5, GEAR, 2000.0))


def stage_plan(stage: str) -> tuple[Manoeuvre, ...]:
    """Idle, three pulls, cruise. The changed stage first lets the charge cooler cool down."""
    idle = Idle(3.0 if stage == STAGES[0] else COOL_DOWN_S)
    return (idle, Cruise(8.0, GEAR, 2000.0), *(_pull() * PULLS))


IDLE_PLAN: Final[tuple[Manoeuvre, ...]] = (Idle(1.0),)
STAGE_SECONDS: Final = {"baseline": 76.0, "changed": 98.0}  # for the progress shown


def scenario(stage: str) -> Scenario:
    """One stage as a session of its own, starting cold-soaked: for tests and figures."""
    return Scenario(
        car=CAR if stage == STAGES[0] else CHANGED_CAR,
        dyno=DYNO,
        plan=stage_plan(stage),
        faults=(HOT_SPOT,),
        air=AIR,
        stage=stage,
    )
