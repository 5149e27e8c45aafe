"""What burns: torque of the charge with its spark, knock and missing cycles."""

import random
from typing import Final

from simulators.air_path import AirPath
from simulators.car import AirModel, CarModel
from simulators.curve import Curve
from simulators.ecu import Ecu
from simulators.engine import Engine, spark_factor
from simulators.faults import Effects
from simulators.fuel import Fuel
from simulators.knock import Knock, KnockConditions

# Where no source stands, the figure was set by hand so that the cars of cars.py behave as such
# cars do.
LATENT_BAND_K: Final = 3.0  # over which a latent cylinder becomes a knocking one
MISFIRE_MANIFOLD_KPA: Final = 80.0  # a weak spark fails under load only
SPREAD_MISFIRE_SHARE: Final = 0.5  # of the fault's share, where every cylinder can miss
FEWEST_CYCLES: Final = 0.25  # in a step: one miss in a short step is no complete loss of torque
UNBURNT_SHARE: Final = 0.5  # lambda measured too lean, for each share of cycles missed
UNBURNT_SMOOTHING: Final = 0.15  # of a step's change that reaches the sensor at once
HIGHEST_RPM: Final = 9000.0  # the flat limit curve of an engine without boost ends here


class Combustion:
    """State: knock control of each cylinder, and the cycles missed so far."""

    def __init__(
        self,
        car: CarModel,
        air: AirModel,
        engine: Engine,
        effects: Effects,
        chance: random.Random,
    ) -> None:
        ambient_kpa = air.barometric_kpa
        design_kpa = [(0.0, ambient_kpa), (HIGHEST_RPM, ambient_kpa)]
        if car.turbo:
            boost = car.engine.knock_design_boost
            design_kpa = [(rpm, ambient_kpa + kpa) for rpm, kpa in boost]
        self.knock = Knock(car.engine, car.calibration, Curve(design_kpa), chance)
        self.misfires = 0.0
        self._car = car
        self._engine = engine
        self._effects = effects
        self._chance = chance

    def recalibrate(self, car: CarModel) -> None:
        """The same hardware goes on with another calibration."""
        self._car = car
        self.knock.calibration = car.calibration

    def step(
        self,
        step_s: float,
        *,
        engine_rpm: float,
        air: AirPath,
        fuel: Fuel,
        ecu: Ecu,
        coolant_degc: float,
    ) -> float:
        """Indicated torque (Nm) of this step, knock and misfire included."""
        if ecu.fuel_cut:
            return 0.0
        burnt = 1.0
        if self._effects.misfire_share and air.manifold_kpa > MISFIRE_MANIFOLD_KPA:
            burnt = self._burnt_share(step_s, engine_rpm, fuel)
        spark = 1.0
        if not self._car.diesel:
            spark = self._spark(step_s, engine_rpm, air, fuel, ecu, coolant_degc)
        return burnt * self._engine.indicated_nm(engine_rpm, air.air_gs, fuel.lambda_, spark)

    def _spark(
        self,
        step_s: float,
        engine_rpm: float,
        air: AirPath,
        fuel: Fuel,
        ecu: Ecu,
        coolant_degc: float,
    ) -> float:
        """Knock control moves on; torque against best timing, the mean of the cylinders."""
        effects, knock = self._effects, self.knock
        latent = (air.charge_degc - effects.weak_above_degc) / LATENT_BAND_K
        limit_deg = knock.limit_deg(
            KnockConditions(
                engine_rpm=engine_rpm,
                manifold_kpa=air.manifold_kpa,
                charge_degc=air.charge_degc,
                lambda_=fuel.lambda_,
                coolant_degc=coolant_degc,
                extra_back_kpa=air.extra_back_kpa,
                octane=self._car.fuel.octane + effects.octane,
            )
        )
        knock.step(
            step_s,
            engine_rpm=engine_rpm,
            manifold_kpa=air.manifold_kpa,
            spark_deg=ecu.spark_target_deg,
            limit_deg=limit_deg,
            weak_cylinder=effects.weak_cylinder,
            weak_deg=effects.weak_deg * min(max(latent, 0.0), 1.0),
        )
        late_deg = self._engine.best_spark_deg(engine_rpm, air.manifold_kpa) - ecu.spark_target_deg
        sparks = [spark_factor(late_deg + retard_deg) for retard_deg in knock.retard_deg]
        return sum(sparks) / len(sparks)

    def _burnt_share(self, step_s: float, engine_rpm: float, fuel: Fuel) -> float:
        """The share of cycles that burn in this step; one cylinder alone misses, or any."""
        cylinders = self._car.engine.cylinders
        alone = self._effects.misfire_cylinder > 0
        cycles = engine_rpm * step_s / 120.0 * (1 if alone else cylinders)
        chance = self._effects.misfire_share * (1.0 if alone else SPREAD_MISFIRE_SHARE)
        expected = cycles * chance
        missed = int(expected) + (self._chance.random() < expected % 1.0)
        self.misfires += missed
        of_all = cycles * (cylinders if alone else 1)
        missed_share = min(missed / max(of_all, FEWEST_CYCLES), 1.0)
        unburnt = UNBURNT_SHARE * missed_share  # air that reaches the sensor
        fuel.unburnt += (unburnt - fuel.unburnt) * UNBURNT_SMOOTHING
        return 1.0 - missed_share
