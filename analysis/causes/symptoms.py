"""The closed list of symptoms: what a check can see, in the words that evidence is given in.

A symptom is not a cause. Checks say how sure they are that each of theirs is there; explain.py
weighs them together. The two texts complete "For it: ..." and "Against it: ...".
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from analysis.model.findings import Finding

EVEN: Final = 0.5  # how sure a symptom is there whose value is on its limit: it says nothing
# ... that was looked for and is not there: a sensor may err. Chosen, no published source.
NOT_SEEN: Final = 0.02


class Symptom(StrEnum):
    """What a check can see in one pull."""

    THROTTLE_CLOSED = "throttle_closed"
    ONE_CYLINDER_RETARDED = "one_cylinder_retarded"
    ALL_CYLINDERS_RETARDED = "all_cylinders_retarded"  # more than hot charge air explains
    RETARD_FROM_HEAT = "retard_from_heat"  # what hot charge air explains
    RETARD_FIXED = "retard_fixed"  # the same on every cylinder, all the time
    BOOST_LOW = "boost_low"
    BOOST_HIGH = "boost_high"
    BOOST_OSCILLATES = "boost_oscillates"
    WASTEGATE_ASKS_CLOSED = "wastegate_asks_closed"  # its duty stands at the closing stop
    WASTEGATE_ASKS_OPEN = "wastegate_asks_open"
    AIR_FLOW_HIGH = "air_flow_high"  # more air goes in than the cylinders can take
    AIR_FLOW_LOW = "air_flow_low"  # the cylinders take less than their pressure should give
    TORQUE_SHORT = "torque_short"  # of its request, with nothing to excuse it
    COMPRESSOR_LABOURS = "compressor_labours"  # hotter or faster than the boost needs
    CHARGE_AIR_HOT = "charge_air_hot"
    HEAT_SOAK = "heat_soak"
    COOLER_WEAK = "cooler_weak"  # the charge cooler takes too little heat out
    INTAKE_HOT = "intake_hot"  # air is hot before the compressor already
    LOW_PRESSURE_DROOPS = "low_pressure_droops"
    HIGH_PRESSURE_DROOPS = "high_pressure_droops"
    INJECTOR_FULL = "injector_full"
    MIXTURE_LEAN = "mixture_lean"
    MIXTURE_RICH = "mixture_rich"
    TRIMS_ADD = "trims_add"
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
    """

    symptom: Symptom | None = None
    present: float = 0.0
    finding: Finding | None = None
    distrust: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SymptomWords:
    """The symptom as evidence: when it was seen, and when it was looked for and not seen."""

    seen: str
    not_seen: str


WORDS: Final[dict[Symptom, SymptomWords]] = {
    Symptom.THROTTLE_CLOSED: SymptomWords(
        "the throttle closed under full pedal", "the throttle stayed open"
    ),
    Symptom.ONE_CYLINDER_RETARDED: SymptomWords(
        "one cylinder was retarded far more than the others", "no cylinder stands out"
    ),
    Symptom.ALL_CYLINDERS_RETARDED: SymptomWords(
        "all cylinders were retarded more than the charge air explains",
        "the cylinders together were not retarded beyond what the charge air explains",
    ),
    Symptom.RETARD_FROM_HEAT: SymptomWords(
        "the retard is what charge air this hot costs", "hot charge air explains no retard"
    ),
    Symptom.RETARD_FIXED: SymptomWords(
        "the same retard stood on every cylinder all the way", "the retard came and went in steps"
    ),
    Symptom.BOOST_LOW: SymptomWords("boost stayed below its target", "boost reached its target"),
    Symptom.BOOST_HIGH: SymptomWords("boost went over its target", "boost never went over"),
    Symptom.BOOST_OSCILLATES: SymptomWords("boost swung around its target", "boost was steady"),
    Symptom.WASTEGATE_ASKS_CLOSED: SymptomWords(
        "the wastegate was commanded fully shut while boost was short",
        "the wastegate had travel left to close",
    ),
    Symptom.WASTEGATE_ASKS_OPEN: SymptomWords(
        "the wastegate was commanded fully open while boost was over",
        "the wastegate had travel left to open",
    ),
    Symptom.AIR_FLOW_HIGH: SymptomWords(
        "more air was measured than the cylinders can take", "air flow matches the cylinders"
    ),
    Symptom.AIR_FLOW_LOW: SymptomWords(
        "the cylinders took less air than their pressure should give",
        "the cylinders filled as they should",
    ),
    Symptom.TORQUE_SHORT: SymptomWords(
        "torque stayed below its request with boost on target", "torque was what was asked for"
    ),
    Symptom.COMPRESSOR_LABOURS: SymptomWords(
        "the compressor worked harder than this boost needs",
        "the compressor worked no harder than this boost needs",
    ),
    Symptom.CHARGE_AIR_HOT: SymptomWords("the charge air was hot", "the charge air was cool"),
    Symptom.HEAT_SOAK: SymptomWords(
        "the charge air started hotter than in the pulls before",
        "the charge air started no hotter than before",
    ),
    Symptom.COOLER_WEAK: SymptomWords(
        "the charge cooler took too little heat out", "the charge cooler did its work"
    ),
    Symptom.INTAKE_HOT: SymptomWords(
        "the air was hot before the compressor already", "the air before the compressor was cool"
    ),
    Symptom.LOW_PRESSURE_DROOPS: SymptomWords(
        "low-side fuel pressure drooped", "low-side fuel pressure held"
    ),
    Symptom.HIGH_PRESSURE_DROOPS: SymptomWords("rail pressure drooped", "rail pressure held"),
    Symptom.INJECTOR_FULL: SymptomWords(
        "the injectors had no time left", "the injectors had time to spare"
    ),
    Symptom.MIXTURE_LEAN: SymptomWords("the mixture ran lean", "the mixture held its target"),
    Symptom.MIXTURE_RICH: SymptomWords("the mixture ran rich", "the mixture was not rich"),
    Symptom.TRIMS_ADD: SymptomWords("the trims were adding fuel", "the trims were small"),
    Symptom.COOLANT_HOT: SymptomWords("the coolant was hot", "the coolant was in its range"),
    Symptom.OIL_HOT: SymptomWords("the oil was hot", "the oil was in its range"),
    Symptom.EXHAUST_HOT: SymptomWords("the exhaust gas was hot", "the exhaust gas was not hot"),
    Symptom.OIL_PRESSURE_LOW: SymptomWords("oil pressure was low", "oil pressure was good"),
    Symptom.MISFIRES: SymptomWords("misfires were counted", "no misfire was counted"),
    Symptom.ROLLER_LAGS: SymptomWords(
        "the roller fell behind the wheels", "the tyres held the roller"
    ),
    Symptom.WHEELS_LAG: SymptomWords(
        "the wheels fell behind the engine", "the wheels followed the engine"
    ),
    Symptom.SPEEDS_PART: SymptomWords(
        "the roller fell behind the engine", "engine and roller turned in proportion"
    ),
    Symptom.CHANNEL_STUCK: SymptomWords("a channel stood still", "no channel stood still"),
    Symptom.CHANNEL_CLIPPED: SymptomWords(
        "a channel sat at the end of its range", "no channel sat at the end of its range"
    ),
    Symptom.CHANNEL_GAPS: SymptomWords("a channel dropped out", "no channel dropped out"),
    Symptom.CHANNEL_IMPOSSIBLE: SymptomWords(
        "a channel showed values that cannot be", "every value is possible"
    ),
    Symptom.CHANNELS_DISAGREE: SymptomWords(
        "two channels of the same thing disagree", "the channels agree with each other"
    ),
    Symptom.CLOCKS_APART: SymptomWords(
        "the dyno's clock and the engine's are apart", "the clocks agree"
    ),
}
