"""One simulated session in one description: car, dyno or road, driver's plan, faults, channels."""

from dataclasses import dataclass, field, replace

from analysis.model.setup import Air, Car, Dyno, Setup
from simulators.car import AirModel, CarModel
from simulators.channels import ChannelSpec, default_channels
from simulators.dyno import Braked, DynoModel, Road, coast_down_table, total_inertia_kg_m2
from simulators.faults import Fault
from simulators.manoeuvres import Manoeuvre, Sweep


@dataclass(frozen=True)
class Scenario:
    """channels None: all the car and the dyno have, at the rates of channels.py. warm_core_k:
    how much hotter than the cell the charge cooler starts. step_s: of the physics."""

    car: CarModel = field(default_factory=CarModel)
    dyno: DynoModel = field(default_factory=Braked)
    plan: tuple[Manoeuvre, ...] = (Sweep(),)
    faults: tuple[Fault, ...] = ()
    channels: tuple[ChannelSpec, ...] | None = None
    air: AirModel = field(default_factory=AirModel)
    stage: str = "baseline"
    warm_core_k: float = 3.0
    step_s: float = 0.01

    @property
    def channel_specs(self) -> tuple[ChannelSpec, ...]:
        """The channels that exist."""
        if self.channels is not None:
            return self.channels
        return default_channels(self.car, on_dyno=not isinstance(self.dyno, Road))

    def with_faults(self, *faults: Fault) -> "Scenario":
        """The same session with these faults instead."""
        return replace(self, faults=faults)


def setup_of(scenario: Scenario) -> Setup:
    """What an honest station file would say of this car, dyno and air."""
    car, dyno, air = scenario.car, scenario.dyno, scenario.air
    peak_target = max(kpa for _, kpa in car.calibration.boost_target) if car.turbo else None
    return Setup(
        car=Car(
            name=car.name,
            ignition=car.engine.ignition,
            cylinders=car.engine.cylinders,
            displacement_l=car.engine.displacement_l,
            boosted=car.turbo is not None,
            closed_loop_boost=car.turbo is not None,
            max_boost_kpa=None if peak_target is None else peak_target + 45.0,
            max_engine_speed_rpm=car.engine.limiter_rpm,
            mass_kg=car.mass_kg,
        ),
        dyno=Dyno()
        if isinstance(dyno, Road)
        else Dyno(
            inertia_kg_m2=total_inertia_kg_m2(car, dyno),
            roller_radius_m=dyno.roller_radius_m,
            coast_down=coast_down_table(car, dyno),
        ),
        air=Air(air.barometric_kpa, air.temperature_degc, air.relative_humidity_percent),
    )
