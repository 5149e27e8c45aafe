"""What is watched live: which quantity, against which limit, for how long, and whether it latches.

All limits are common practice unless the user's file says otherwise (no published limits for live
alerts were found); the two steps of a rule are "look closer" and "stop".
"""

from dataclasses import dataclass
from enum import Enum
from typing import Final

from analysis.model.events import AlertKind
from analysis.model.limits import COMMON_PRACTICE, Limit
from decode.quantities import TARGET_OF, Quantity


class Excess(Enum):
    """How far beyond: what is compared with the limit."""

    VALUE = "value"  # the value itself
    ABOVE_TARGET = "above target"  # value minus target
    SHORT_OF_TARGET = "short of target"  # target minus value, percent of the target


class When(Enum):
    """In which state of the car a rule speaks."""

    ALWAYS = "always"
    FULL_LOAD = "full load"  # held or sweeping at full demand
    FULL_LOAD_SPARK = "full load, spark ignition"  # a diesel runs lean by design


@dataclass(frozen=True, slots=True)
class Rule:
    """what: the key of the phrase that names what is watched. watch, alarm: names of limits; at the
    first "look closer", at the second "stop".

    persist_s: beyond the limit for so long, samples in a row at least two. clear_share: over when
    the excess is below this share of the watch limit. latches: stays until acknowledged.
    """

    kind: AlertKind
    quantity: Quantity
    what: str
    excess: Excess
    watch: str
    alarm: str
    persist_s: float
    when: When
    latches: bool
    clear_share: float = 0.9

    @property
    def target(self) -> Quantity | None:
        """What the quantity is compared with; None where its own value is."""
        return None if self.excess is Excess.VALUE else TARGET_OF[self.quantity]


def _limit(name: str, value: float, unit: str, meaning: str) -> Limit:
    return Limit(f"alerts.{name}", value, unit, COMMON_PRACTICE, meaning)


LIMITS: Final[tuple[Limit, ...]] = (
    _limit("knock_watch", 3.0, "deg", "knock retard of one cylinder at which to look closer"),
    _limit("knock_alarm", 6.0, "deg", "knock retard of one cylinder at which to lift"),
    _limit("knock_repeats", 3.0, "1", "knock events of one cylinder in one pull that are an alarm"),
    _limit("lean_watch", 0.03, "1", "lambda above its target at full load: look closer"),
    _limit("lean_alarm", 0.05, "1", "lambda above its target at full load: lift"),
    _limit("lambda_watch", 0.95, "1", "lambda at full load, no target known: look closer"),
    _limit("lambda_alarm", 1.0, "1", "lambda at full load, no target known: lift"),
    _limit("over_boost_watch", 20.0, "kPa", "boost above its target: look closer"),
    _limit("over_boost_alarm", 35.0, "kPa", "boost above its target: lift"),
    _limit("low_fuel_watch", 10.0, "%", "low fuel pressure short of its target: look closer"),
    _limit("low_fuel_alarm", 20.0, "%", "low fuel pressure short of its target: lift"),
    _limit("rail_watch", 10.0, "%", "high fuel pressure short of its target: look closer"),
    _limit("rail_alarm", 20.0, "%", "high fuel pressure short of its target: lift"),
    _limit("coolant_watch", 110.0, "degC", "coolant too hot: look closer"),
    _limit("coolant_alarm", 115.0, "degC", "coolant too hot: stop"),
    _limit("oil_watch", 130.0, "degC", "oil too hot: look closer"),
    _limit("oil_alarm", 140.0, "degC", "oil too hot: stop"),
    _limit("exhaust_watch", 950.0, "degC", "exhaust gas before the turbine too hot: look closer"),
    _limit("exhaust_alarm", 1000.0, "degC", "exhaust gas before the turbine too hot: lift"),
    _limit("silent", 0.5, "s", "a source says nothing during a pull: the calibrator is blind"),
    _limit("stale", 3.0, "s", "a channel that alerts depend on says nothing before a pull"),
)

LEAN_S: Final = 0.3  # a lambda controller's own delay is shorter (standards: CP > 0.3 s)
PRESSURE_S: Final = 0.3  # injection pulses dip the pressure for less
OVERSHOOT_S: Final = 0.2  # a boost controller's first overshoot is shorter
HEAT_S: Final = 1.0  # temperature does not jump; a broken contact does

RULES: Final[tuple[Rule, ...]] = (
    Rule(
        AlertKind.KNOCK_RETARD,
        Quantity.KNOCK_RETARD,
        "alert-watched-knock-retard",
        Excess.VALUE,
        "alerts.knock_watch",
        "alerts.knock_alarm",
        persist_s=0.0,
        when=When.ALWAYS,
        latches=True,
        clear_share=0.5,  # half a step of a usual knock control below the limit
    ),
    Rule(
        AlertKind.LEAN_UNDER_BOOST,
        Quantity.LAMBDA,
        "alert-watched-lambda-above-target",
        Excess.ABOVE_TARGET,
        "alerts.lean_watch",
        "alerts.lean_alarm",
        persist_s=LEAN_S,
        when=When.FULL_LOAD_SPARK,
        latches=True,
    ),
    Rule(
        AlertKind.LEAN_UNDER_BOOST,
        Quantity.LAMBDA,
        "alert-watched-lambda",
        Excess.VALUE,
        "alerts.lambda_watch",
        "alerts.lambda_alarm",
        persist_s=LEAN_S,
        when=When.FULL_LOAD_SPARK,
        latches=True,
        clear_share=0.98,
    ),
    Rule(
        AlertKind.OVER_BOOST,
        Quantity.BOOST_PRESSURE,
        "alert-watched-boost-above-target",
        Excess.ABOVE_TARGET,
        "alerts.over_boost_watch",
        "alerts.over_boost_alarm",
        persist_s=OVERSHOOT_S,
        when=When.FULL_LOAD,
        latches=False,
    ),
    Rule(
        AlertKind.LOW_FUEL_PRESSURE,
        Quantity.FUEL_PRESSURE_LOW,
        "alert-watched-low-fuel-pressure-short",
        Excess.SHORT_OF_TARGET,
        "alerts.low_fuel_watch",
        "alerts.low_fuel_alarm",
        persist_s=PRESSURE_S,
        when=When.FULL_LOAD,
        latches=True,
    ),
    Rule(
        AlertKind.LOW_FUEL_PRESSURE,
        Quantity.FUEL_PRESSURE_HIGH,
        "alert-watched-high-fuel-pressure-short",
        Excess.SHORT_OF_TARGET,
        "alerts.rail_watch",
        "alerts.rail_alarm",
        persist_s=PRESSURE_S,
        when=When.FULL_LOAD,
        latches=True,
    ),
    *(
        Rule(
            AlertKind.OVERHEATING,
            quantity,
            watched,
            Excess.VALUE,
            watch,
            alarm,
            persist_s=HEAT_S,
            when=When.ALWAYS,
            latches=False,
            clear_share=0.98,
        )
        for quantity, watched, watch, alarm in (
            (
                Quantity.COOLANT_TEMPERATURE,
                "alert-watched-coolant-temperature",
                "alerts.coolant_watch",
                "alerts.coolant_alarm",
            ),
            (
                Quantity.OIL_TEMPERATURE,
                "alert-watched-oil-temperature",
                "alerts.oil_watch",
                "alerts.oil_alarm",
            ),
            (
                Quantity.EXHAUST_GAS_TEMPERATURE,
                "alert-watched-exhaust-temperature",
                "alerts.exhaust_watch",
                "alerts.exhaust_alarm",
            ),
        )
    ),
)
