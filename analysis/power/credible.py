"""Is there an engine that makes this? Power against displacement, air flow and the ECU's torque.

The usual slips multiply: torque at the axle taken for torque at the engine has gear and final drive
in it (three- to tenfold), a forgotten gear ratio one and a half to four. What is asked here is what
no engine does, so that nothing is questioned that only a good one does.
"""

from collections.abc import Iterator
from typing import Final

from analysis.model.pull import Pull
from analysis.model.setup import Car, Ignition
from analysis.phrases.say import amount, say
from analysis.phrases.statement import Statement
from analysis.power.air import near
from decode.quantities import Quantity

# Mean effective pressure over absolute manifold pressure: racing engines reach 15 without boost and
# a diesel, lean by nature, 10 (common practice, no published source).
MOST_OF_MANIFOLD: Final = 17.0
MOST_OF_MANIFOLD_DIESEL: Final = 13.0
AMBIENT_KPA: Final = 101.0
MOST_MANIFOLD_KPA: Final = 400.0  # where nothing says how much: 3 bar of boost
END_OF_SENSOR_KPA: Final = 250.0  # the usual one says 255 whatever there is
FOUR_STROKE: Final = 120_000.0  # kW over litre and rpm into kPa
# 46 % of the heat of the fuel that the air can burn (2.93 MJ per kg of it): no car's engine.
MOST_KW_PER_G_S: Final = 1.35
MOST_OF_ECU_TORQUE: Final = 1.7  # models of torque are off by a third where a car is tuned


def doubt_of(pull: Pull, car: Car, power_kw: float, engine_speed_rpm: float) -> Statement | None:
    """Why the peak power at the wheel cannot be; None where it can. At the engine it was more."""
    return next(_doubts(pull, car, power_kw, engine_speed_rpm), None)


def mean_effective_pressure_kpa(power_kw: float, displacement_l: float, rpm: float) -> float:
    """Of a four-stroke."""
    return FOUR_STROKE * power_kw / (displacement_l * rpm)


def _doubts(pull: Pull, car: Car, power_kw: float, rpm: float) -> Iterator[Statement]:
    figure = {"power": amount(power_kw, "kW"), "speed": amount(rpm, "rpm")}
    if car.displacement_l:
        pressure_kpa = mean_effective_pressure_kpa(power_kw, car.displacement_l, rpm)
        manifold_kpa = _manifold_kpa(pull, car, rpm)
        diesel = car.ignition is Ignition.COMPRESSION
        most = (MOST_OF_MANIFOLD_DIESEL if diesel else MOST_OF_MANIFOLD) * manifold_kpa
        if pressure_kpa > most:
            yield say(
                "power-beyond-displacement",
                displacement=amount(car.displacement_l, "1", 1),
                pressure=amount(pressure_kpa, "kPa"),
                most=amount(most, "kPa"),
                manifold=amount(manifold_kpa, "kPa"),
                **figure,
            )
    flow = near(pull, Quantity.AIR_MASS_FLOW, rpm)
    if flow and power_kw > MOST_KW_PER_G_S * flow:
        most_kw = amount(MOST_KW_PER_G_S * flow, "kW")
        yield say("power-beyond-air-flow", flow=amount(flow, "g/s"), most=most_kw, **figure)
    ecu_nm = near(pull, Quantity.ENGINE_TORQUE, rpm)
    torque_nm = power_kw / rpm * 9549.3
    if ecu_nm and ecu_nm > 0 and torque_nm > MOST_OF_ECU_TORQUE * ecu_nm:
        torques = {"torque": amount(torque_nm, "Nm"), "ecu": amount(ecu_nm, "Nm")}
        yield say("power-beyond-ecu-torque", **torques, **figure)


def _manifold_kpa(pull: Pull, car: Car, rpm: float) -> float:
    """Absolute, as measured or stated; the most there is where neither tells."""
    boost_kpa = near(pull, Quantity.BOOST_PRESSURE, rpm)
    manifold_kpa = near(pull, Quantity.MANIFOLD_PRESSURE, rpm)
    known = [
        kpa
        for kpa in (
            manifold_kpa,
            None if boost_kpa is None else boost_kpa + AMBIENT_KPA,
            None if car.max_boost_kpa is None else car.max_boost_kpa + AMBIENT_KPA,
        )
        if kpa is not None
    ]
    if known and max(known) < END_OF_SENSOR_KPA:
        return max(*known, AMBIENT_KPA)
    return AMBIENT_KPA if not known and car.boosted is False else MOST_MANIFOLD_KPA
