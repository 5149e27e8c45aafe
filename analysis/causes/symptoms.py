"""The closed list of symptoms: what a check can see.

A symptom is not a cause. Checks say how sure they are that each of theirs is there; explain.py
weighs them together. As evidence a symptom has two phrases, `symptom-...-seen` and
`symptom-...-not-seen`.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from analysis.model.findings import Finding

EVEN: Final = 0.5  # how sure a symptom is there whose value is on its limit: it says nothing
# ... that was looked for and is not there: a sensor may err. Chosen, no published source.
NOT_SEEN: Final = 0.02
# Where a value passed its limit, but not for as long as a finding needs, the symptom counts as
# hardly there, however far the value went. Chosen, no published source.
PASSING: Final = 0.4
SURE: Final = 0.995  # of what is counted, not estimated: nothing is surer to the network ...
ABSENT: Final = 0.005  # ... and nothing surer not to be there


class Symptom(StrEnum):
    """What a check can see in one pull."""

    THROTTLE_CLOSED = "throttle_closed"
    SPEED_LIMITED = "speed_limited"  # the limiter cut in well below the stated top speed
    ONE_CYLINDER_RETARDED = "one_cylinder_retarded"
    ALL_CYLINDERS_RETARDED = "all_cylinders_retarded"  # more than hot charge air explains
    RETARD_FROM_HEAT = "retard_from_heat"  # what hot charge air explains
    RETARD_FIXED = "retard_fixed"  # the same on every cylinder, all the time
    TIMING_BELOW_TARGET = "timing_below_target"  # and not by knock control
    BOOST_LOW = "boost_low"
    SPOOLS_LATE = "spools_late"  # later than the same car driven alike
    BOOST_HIGH = "boost_high"
    BOOST_OSCILLATES = "boost_oscillates"
    WASTEGATE_ASKS_CLOSED = "wastegate_asks_closed"  # its duty stands at the closing stop
    WASTEGATE_ASKS_OPEN = "wastegate_asks_open"
    AIR_FLOW_HIGH = "air_flow_high"  # more air goes in than the cylinders can take
    AIR_FLOW_GREW = "air_flow_grew"  # more for the same pressure than in earlier pulls
    AIR_FLOW_LOW = "air_flow_low"  # the cylinders take less than their pressure should give
    TORQUE_SHORT = "torque_short"  # of its request, with nothing to excuse it
    COMPRESSOR_LABOURS = "compressor_labours"  # hotter or faster than the boost needs
    CHARGE_AIR_HOT = "charge_air_hot"
    HEAT_SOAK = "heat_soak"
    COOLER_WEAK = "cooler_weak"  # the charge cooler takes too little heat out
    TURBO_FAST = "turbo_fast"  # beyond what it is made for
    BLOWER_BOOST_SHORT = "blower_boost_short"  # less than its engine speed gives
    INTAKE_DROPS = "intake_drops"  # more of the air's pressure than an open intake takes
    INTAKE_HOT = "intake_hot"  # air is hot before the compressor already
    LOW_PRESSURE_DROOPS = "low_pressure_droops"
    HIGH_PRESSURE_DROOPS = "high_pressure_droops"
    INJECTOR_FULL = "injector_full"
    MIXTURE_LEAN = "mixture_lean"
    MIXTURE_RICH = "mixture_rich"
    TRIMS_ADD = "trims_add"
    TRIMS_TAKE = "trims_take"
    COOLANT_HOT = "coolant_hot"
    OIL_HOT = "oil_hot"
    EXHAUST_HOT = "exhaust_hot"
    OIL_PRESSURE_LOW = "oil_pressure_low"
    MISFIRES = "misfires"
    ROLLER_LAGS = "roller_lags"  # the roller falls behind the wheels
    WHEELS_LAG = "wheels_lag"  # the wheels fall behind the engine
    SPEEDS_PART = "speeds_part"  # the roller falls behind the engine, wheels unknown
    CHANNEL_STUCK = "channel_stuck"
    CHANNEL_CLIPPED = "channel_clipped"
    CHANNEL_GAPS = "channel_gaps"
    CHANNEL_IMPOSSIBLE = "channel_impossible"
    CHANNELS_DISAGREE = "channels_disagree"
    CLOCKS_APART = "clocks_apart"


@dataclass(frozen=True, slots=True)
class Observation:
    """What a check saw of one thing.

    symptom: what was looked for, None for a statement that is no evidence. present: 0 to 1, how
    sure it is there (0.5 at the limit; well below it evidence against). finding: what to say of
    it, None where there is nothing to say. distrust: channels that no other check may judge by.
    points: a note that names its likeliest cause, though it judges nothing.
    """

    symptom: Symptom | None = None
    present: float = 0.0
    finding: Finding | None = None
    distrust: tuple[str, ...] = ()
    points: bool = False
