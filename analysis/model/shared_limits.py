"""Limits by which live alerts, verdicts and readiness judge alike: one number for each danger.

What is a stop while the pull runs is a stop in its verdict: both take the limit from here, and the
user's file changes both. Only how long a value must stay beyond differs (analysis.alerting.rules
says why): live, nobody knows yet what comes next.
"""

from typing import Final

from analysis.model.limits import COMMON_PRACTICE, Engines, Limit

# Knock control takes about 3 degrees at a knocking cycle and gives them back in small steps: single
# steps are how it works at the knock limit. What counts is the mean over a dwell: what it cannot
# give back. With a recovery of about a degree a second a single step leaves a mean below 3.
KNOCK_SUSTAINED: Final = Limit(
    "ignition.knock_sustained",
    4.0,
    "deg",
    "service descriptions of production knock control (steps of 3 deg, given back slowly); "
    "threshold: " + COMMON_PRACTICE,
    "mean retard of one cylinder over knock_for: look closer",
    Engines.SPARK,
)
KNOCK_SUSTAINED_STOP: Final = Limit(
    "ignition.knock_sustained_stop",
    6.0,
    "deg",
    "two steps of production knock control that it cannot give back; threshold: " + COMMON_PRACTICE,
    "mean retard of one cylinder over knock_for: stop",
    Engines.SPARK,
)
KNOCK_FOR: Final = Limit(
    "ignition.knock_for",
    1.0,
    "s",
    COMMON_PRACTICE,
    "the time over which retard is averaged",
    Engines.SPARK,
)
KNOCK_STOP: Final = Limit(
    "ignition.knock_stop",
    10.0,
    "deg",
    "service descriptions of production knock control (authority 12 to 13.5 deg); threshold: "
    + COMMON_PRACTICE,
    "knock control is running out of authority, be it for a moment: stop",
    Engines.SPARK,
)

LEAN: Final = Limit(
    "mixture.lean",
    0.04,
    "1",
    COMMON_PRACTICE,
    "lambda above its target under load: look closer",
    Engines.SPARK,
)
LEAN_STOP: Final = Limit(
    "mixture.lean_stop",
    0.10,
    "1",
    COMMON_PRACTICE,
    "lambda above its target under boost: stop",
    Engines.BOOSTED_SPARK,
)
LEAN_NO_TARGET: Final = Limit(
    "mixture.lean_no_target",
    1.05,
    "1",
    "made to run at lambda 1 at full load, an engine holds it within 0.02; threshold: "
    + COMMON_PRACTICE,
    "lambda under boost with no target known: look closer",
    Engines.BOOSTED_SPARK,
)
LEAN_NO_TARGET_STOP: Final = Limit(
    "mixture.lean_no_target_stop",
    1.10,
    "1",
    COMMON_PRACTICE,
    "lambda under boost with no target known: stop",
    Engines.BOOSTED_SPARK,
)
UNDER_BOOST: Final = Limit(
    "mixture.under_boost",
    30.0,
    "kPa",
    COMMON_PRACTICE,
    "gauge boost from which a lean mixture is a danger",
    Engines.BOOSTED_SPARK,
)

OVER_BOOST: Final = Limit(
    "boost.high",
    10.0,
    "%",
    COMMON_PRACTICE,
    "overshoot in per cent of the gauge target: look closer",
    Engines.BOOSTED,
)
OVER_BOOST_STOP: Final = Limit(
    "boost.high_stop",
    25.0,
    "%",
    COMMON_PRACTICE,
    "overshoot in per cent of the gauge target: stop",
    Engines.BOOSTED,
)

LOW_PRESSURE_DROOP: Final = Limit(
    "fuel_supply.low_droop",
    7.0,
    "%",
    COMMON_PRACTICE,
    "low-side fuel pressure below its target: look closer",
)
RAIL_DROOP: Final = Limit(
    "fuel_supply.high_droop",
    7.0,
    "%",
    COMMON_PRACTICE,
    "rail pressure below its target: look closer",
)
DROOP_STOP: Final = Limit(
    "fuel_supply.droop_stop",
    25.0,
    "%",
    "flow goes with the root of pressure: 13 % less fuel; threshold: " + COMMON_PRACTICE,
    "either fuel pressure below its target: the engine is about to run lean, stop",
)

COLD: Final = Limit(
    "engine_temperatures.cold",
    75.0,
    "degC",
    COMMON_PRACTICE,
    "coolant below: too cold for a pull worth judging",
)
VOLTAGE: Final = Limit(
    "fuel_supply.battery",
    12.5,
    "V",
    COMMON_PRACTICE,
    "below this the alternator is off or weak, and the electric pump slows down",
)
COOLANT: Final = Limit(
    "engine_temperatures.coolant",
    112.0,
    "degC",
    "thermostats open at 80 to 105 degC and swing by 5 K; threshold: " + COMMON_PRACTICE,
    "coolant too hot: look closer",
)
COOLANT_STOP: Final = Limit(
    "engine_temperatures.coolant_stop",
    118.0,
    "degC",
    "half glycol boils at about 125 degC under a usual cap; threshold: " + COMMON_PRACTICE,
    "coolant too hot: let it cool, stop",
)
OIL: Final = Limit(
    "engine_temperatures.oil", 130.0, "degC", COMMON_PRACTICE, "oil too hot: look closer"
)
OIL_STOP: Final = Limit(
    "engine_temperatures.oil_stop",
    140.0,
    "degC",
    COMMON_PRACTICE,
    "the oil film is at risk: stop",
)
EXHAUST: Final = Limit(
    "engine_temperatures.exhaust",
    990.0,
    "degC",
    "manufacturer training text: closed-loop set point 980 degC, sustained 950 to 1,000 degC",
    "exhaust gas before the turbine too hot: look closer",
    Engines.SPARK,
)
EXHAUST_STOP: Final = Limit(
    "engine_temperatures.exhaust_stop",
    1_050.0,
    "degC",
    "turbo maker's text: full load at lambda 0.9 to 1.0 reaches about 1,050 degC",
    "turbine and valves at risk: stop",
    Engines.SPARK,
)
DIESEL_EXHAUST: Final = Limit(
    "engine_temperatures.diesel_exhaust",
    800.0,
    "degC",
    "sustained at most 720 to 760 degC, for a short time 800 to 850; " + COMMON_PRACTICE,
    "exhaust gas before the turbine too hot: look closer",
    Engines.COMPRESSION,
)
DIESEL_EXHAUST_STOP: Final = Limit(
    "engine_temperatures.diesel_exhaust_stop",
    850.0,
    "degC",
    "for a short time 800 to 850 degC, cast-iron turbine housings; " + COMMON_PRACTICE,
    "turbine, manifold and pistons at risk: stop",
    Engines.COMPRESSION,
)

# The least oil pressure rises with engine speed until it is enough at any: the pump's own valve
# opens, and a bearing's load no longer grows with speed alone. Plain bearings of a car need about a
# hundred kilopascals; motorcycles, above all those whose crankshaft runs in rolling bearings, live
# with less, so of an engine that nobody calls a car's only the loss of all pressure is a danger.
OIL_PRESSURE_SLOPE: Final = Limit(
    "engine_temperatures.oil_pressure",
    25.0,
    "kPa per 1000 rpm",
    "half of what builders ask for (70 kPa per 1,000 rpm) and less; threshold: " + COMMON_PRACTICE,
    "less is too little for plain bearings, up to oil_pressure_enough: stop",
)
OIL_PRESSURE_ENOUGH: Final = Limit(
    "engine_temperatures.oil_pressure_enough",
    100.0,
    "kPa",
    COMMON_PRACTICE,
    "so much oil pressure is no danger at any speed",
    Engines.CAR,
)
OIL_PRESSURE_LOST: Final = Limit(
    "engine_temperatures.oil_pressure_lost",
    30.0,
    "kPa",
    "warning switches close at 20 to 50 kPa; " + COMMON_PRACTICE,
    "so much oil pressure is no danger at any speed",
    Engines.OTHER_THAN_CAR,
)
OIL_PRESSURE_ABOVE: Final = Limit(
    "engine_temperatures.oil_pressure_above",
    2_000.0,
    "rpm",
    COMMON_PRACTICE,
    "from this engine speed on oil pressure is judged",
)

# What both leave out, no limits: below this target the compressor is not yet the controller; steady
# control is no better than 3 to 5 kPa; short by more, a pressure is in another unit, for no engine
# runs on a third of it.
BOOST_WORTH_JUDGING_KPA: Final = 20.0
OVER_BOOST_AT_LEAST_KPA: Final = 5.0
OTHER_UNIT_PERCENT: Final = 70.0
