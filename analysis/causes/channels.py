"""Which channels show a symptom: what to log where none of the likely causes can be told."""

from collections.abc import Collection, Mapping
from typing import Final

from analysis.causes.network import LINKS
from analysis.causes.symptoms import Symptom
from decode.quantities import Quantity

MOST_NAMED: Final = 4  # a longer list of channels is not followed

Q, S = Quantity, Symptom
SHOWN_BY: Final[Mapping[Symptom, tuple[Quantity, ...]]] = {
    S.THROTTLE_CLOSED: (Q.THROTTLE_POSITION, Q.PEDAL_POSITION),
    S.ONE_CYLINDER_RETARDED: (Q.KNOCK_RETARD,),
    S.ALL_CYLINDERS_RETARDED: (Q.KNOCK_RETARD,),
    S.RETARD_FROM_HEAT: (Q.KNOCK_RETARD, Q.CHARGE_AIR_TEMPERATURE),
    S.RETARD_FIXED: (Q.KNOCK_RETARD,),
    S.TIMING_BELOW_TARGET: (Q.IGNITION_TIMING, Q.IGNITION_TARGET),
    S.BOOST_LOW: (Q.BOOST_PRESSURE, Q.BOOST_TARGET),
    S.BOOST_HIGH: (Q.BOOST_PRESSURE, Q.BOOST_TARGET),
    S.BOOST_OSCILLATES: (Q.BOOST_PRESSURE, Q.BOOST_TARGET),
    S.WASTEGATE_ASKS_CLOSED: (Q.WASTEGATE_DUTY,),
    S.WASTEGATE_ASKS_OPEN: (Q.WASTEGATE_DUTY,),
    S.AIR_FLOW_HIGH: (Q.AIR_MASS_FLOW,),
    S.AIR_FLOW_LOW: (Q.AIR_MASS_FLOW,),
    S.TORQUE_SHORT: (Q.ENGINE_TORQUE, Q.TORQUE_REQUEST),
    S.TURBO_FAST: (Q.TURBO_SPEED,),
    S.BLOWER_BOOST_SHORT: (Q.BOOST_PRESSURE,),
    S.INTAKE_DROPS: (Q.MANIFOLD_PRESSURE, Q.BAROMETRIC_PRESSURE),
    S.COMPRESSOR_LABOURS: (Q.COMPRESSOR_OUTLET_TEMPERATURE,),
    S.CHARGE_AIR_HOT: (Q.CHARGE_AIR_TEMPERATURE,),
    S.COOLER_WEAK: (Q.COMPRESSOR_OUTLET_TEMPERATURE, Q.CHARGE_AIR_TEMPERATURE),
    S.INTAKE_HOT: (Q.INTAKE_AIR_TEMPERATURE,),
    S.LOW_PRESSURE_DROOPS: (Q.FUEL_PRESSURE_LOW, Q.FUEL_PRESSURE_LOW_TARGET),
    S.HIGH_PRESSURE_DROOPS: (Q.FUEL_PRESSURE_HIGH, Q.FUEL_PRESSURE_HIGH_TARGET),
    S.INJECTOR_FULL: (Q.INJECTOR_DUTY,),
    S.MIXTURE_LEAN: (Q.LAMBDA, Q.LAMBDA_TARGET),
    S.MIXTURE_RICH: (Q.LAMBDA, Q.LAMBDA_TARGET),
    S.TRIMS_ADD: (Q.FUEL_TRIM_LONG,),
    S.TRIMS_TAKE: (Q.FUEL_TRIM_LONG,),
    S.COOLANT_HOT: (Q.COOLANT_TEMPERATURE,),
    S.OIL_HOT: (Q.OIL_TEMPERATURE,),
    S.EXHAUST_HOT: (Q.EXHAUST_GAS_TEMPERATURE,),
    S.MISFIRES: (Q.MISFIRE_COUNT,),
    S.ROLLER_LAGS: (Q.ROLLER_SPEED, Q.VEHICLE_SPEED),
    S.WHEELS_LAG: (Q.VEHICLE_SPEED,),
    S.SPEEDS_PART: (Q.ROLLER_SPEED,),
}


def would_tell(
    symptom: Symptom, looked_for: Collection[Symptom], logged: Collection[Quantity]
) -> list[Quantity]:
    """The channels that would tell what brought a symptom about, the most telling first: those that
    show what its causes show beside it, where nobody looked for it and they are not logged."""
    telling: dict[Quantity, float] = {}
    for links in LINKS.values():
        if symptom not in links:
            continue
        for other, often in links.items():
            if other in looked_for:
                continue
            for quantity in SHOWN_BY.get(other, ()):
                if quantity not in logged:
                    telling[quantity] = telling.get(quantity, 0.0) + links[symptom] * often
    return sorted(telling, key=lambda quantity: -telling[quantity])[:MOST_NAMED]
