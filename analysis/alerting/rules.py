"""What is watched live: which quantity, against which limits, for how long, and what it is for.

The practice is that of alarm management (ANSI/ISA-18.2, IEC 62682). An alert has a consequence and
an action that the person at the pedal or beside the car can take in time, or it is none: what is
merely worth knowing waits for the verdict. The limits are the verdicts' own
(analysis.model.shared_limits): what is a stop here inside a pull is a stop in its verdict.

Why a rule waits and when it lets go, once for all:

- *Dwell.* Beyond the limit without a break for dwell_s, at least two samples: one sample alone may
  be noise or a broken frame. It is longer than in a verdict, which has the whole pull before it;
  nobody lifts faster than in half a second, so little is lost. Retard needs none beside the second
  over which it is averaged.
- *Lag.* A probe or a pump comes behind its target. For late_s after a change of the target the
  kinder of its values counts, and nothing is judged before full load has lasted so long.
- *Hysteresis.* An alert is over when the value is back inside by a share of the limit, and has been
  for half a second: it does not chatter at its limit.
- *Latching.* A stop stays until somebody has seen it, whatever the value does; so does what leaves
  its mark (knock, lean mixture, pressure). The rest is over when the value is.
"""

from dataclasses import dataclass
from enum import Enum
from typing import Final

from analysis.model.events import AlertKind
from analysis.model.limits import COMMON_PRACTICE, Engines, Limit
from analysis.model.shared_limits import (
    COOLANT,
    COOLANT_STOP,
    DIESEL_EXHAUST,
    DIESEL_EXHAUST_STOP,
    DROOP_STOP,
    EXHAUST,
    EXHAUST_STOP,
    KNOCK_STOP,
    KNOCK_SUSTAINED,
    KNOCK_SUSTAINED_STOP,
    LEAN,
    LEAN_NO_TARGET,
    LEAN_NO_TARGET_STOP,
    LEAN_STOP,
    LOW_PRESSURE_DROOP,
    OIL,
    OIL_PRESSURE_ENOUGH,
    OIL_STOP,
    OVER_BOOST,
    OVER_BOOST_STOP,
    RAIL_DROOP,
)
from decode.quantities import TARGET_OF, Quantity


class Excess(Enum):
    """How far beyond: what is compared with the limits."""

    VALUE = "value"  # the value itself
    MEAN = "mean"  # over the time before, the limit ignition.knock_for says which
    ABOVE_TARGET = "above target"  # value minus target
    PERCENT_ABOVE_TARGET = "per cent above target"
    PERCENT_SHORT_OF_TARGET = "per cent short of target"
    SHORT_OF_LEAST = "short of the least"  # that oil pressure must have at this engine speed


class When(Enum):
    """In which state of the car a rule speaks."""

    ALWAYS = "always"
    FULL_LOAD = "full load"  # held or sweeping at full demand


@dataclass(frozen=True, slots=True)
class Rule:
    """what: the key of the phrase that names what is watched. watch, alarm: at the first "look
    closer", at the second "stop"; the same limit twice where there is nothing before a stop.

    dwell_s: beyond the limit for so long. late_s: so long may the value come behind its target.
    clear_share: over when the excess is below this share of the watch limit. latches: stays until
    acknowledged, though no stop. boost: a danger under boost only; `stop` alone is, or all of it.
    consequence: of what is watched, if nobody acts. action: what is to be done at a stop.
    """

    kind: AlertKind
    quantity: Quantity
    what: str
    excess: Excess
    watch: Limit
    alarm: Limit
    dwell_s: float
    when: When
    latches: bool
    consequence: str
    action: str
    late_s: float = 0.0
    clear_share: float = 0.9
    engines: Engines = Engines.ANY
    stop_under_boost: bool = False
    under_boost: bool = False

    @property
    def target(self) -> Quantity | None:
        """What the quantity is compared with; None where no target is."""
        return TARGET_OF[self.quantity] if self.excess in _OF_TARGET else None


_OF_TARGET: Final = frozenset(
    {Excess.ABOVE_TARGET, Excess.PERCENT_ABOVE_TARGET, Excess.PERCENT_SHORT_OF_TARGET}
)

# The alerts' own limits: of who is silent, not of the engine, so no verdict has them.
SILENT: Final = Limit(
    "alerts.silent",
    0.5,
    "s",
    COMMON_PRACTICE,
    "a source says nothing during a pull: nobody watches",
)
STALE: Final = Limit(
    "alerts.stale",
    3.0,
    "s",
    COMMON_PRACTICE,
    "a channel that alerts depend on says nothing before a pull",
)
LIMITS: Final[tuple[Limit, ...]] = (SILENT, STALE)

LEAN_S: Final = 0.5  # a gear change cuts fuel for less
PRESSURE_S: Final = 0.5  # injection pulses and a pump's strokes dip the pressure for less
OVERSHOOT_S: Final = 0.5  # a boost controller's first overshoot is shorter
HEAT_S: Final = 1.0  # temperature does not jump; a broken contact does
OIL_S: Final = 0.5  # a surge in the sump is shorter, and no bearing starves in it
PROBE_LATE_S: Final = 2.0  # a probe in the tailpipe: gas travel of 1 s and a time constant of 0.4 s
PUMP_LATE_S: Final = 1.0  # a rail follows a step of its target within half a second
BOOST_LATE_S: Final = 1.0  # a wastegate lets boost down so fast when its target falls

LIFT: Final = "lift at once"

_HEAT: Final = (
    (
        Quantity.COOLANT_TEMPERATURE,
        "alert-watched-coolant-temperature",
        COOLANT,
        COOLANT_STOP,
        Engines.ANY,
        "coolant boils, the head warps",
        "lift, let the engine idle with the fan on until it has cooled",
    ),
    (
        Quantity.OIL_TEMPERATURE,
        "alert-watched-oil-temperature",
        OIL,
        OIL_STOP,
        Engines.ANY,
        "the oil film in the bearings breaks",
        "lift, let the engine idle until the oil has cooled",
    ),
    (
        Quantity.EXHAUST_GAS_TEMPERATURE,
        "alert-watched-exhaust-temperature",
        EXHAUST,
        EXHAUST_STOP,
        Engines.SPARK,
        "turbine and exhaust valves burn",
        "lift; look at mixture and ignition before the next pull",
    ),
    (
        Quantity.EXHAUST_GAS_TEMPERATURE,
        "alert-watched-exhaust-temperature",
        DIESEL_EXHAUST,
        DIESEL_EXHAUST_STOP,
        Engines.COMPRESSION,
        "turbine, manifold and pistons melt or crack",
        "lift; take fuel out or give it air before the next pull",
    ),
)

RULES: Final[tuple[Rule, ...]] = (
    Rule(
        AlertKind.KNOCK_RETARD,
        Quantity.KNOCK_RETARD,
        "alert-watched-lasting-knock-retard",
        Excess.MEAN,
        KNOCK_SUSTAINED,
        KNOCK_SUSTAINED_STOP,
        dwell_s=0.0,
        when=When.ALWAYS,
        latches=True,
        clear_share=0.5,  # a step of a usual knock control below the limit
        engines=Engines.SPARK,
        consequence="knock control cannot give back what it takes: pistons and ring lands break",
        action=f"{LIFT}; find out whether fuel, heat or one cylinder does it",
    ),
    Rule(
        AlertKind.KNOCK_RETARD,
        Quantity.KNOCK_RETARD,
        "alert-watched-knock-retard",
        Excess.VALUE,
        KNOCK_STOP,
        KNOCK_STOP,
        dwell_s=0.0,
        when=When.ALWAYS,
        latches=True,
        clear_share=0.5,
        engines=Engines.SPARK,
        consequence="knock control is running out of authority: the next knock goes unanswered",
        action=f"{LIFT}; take boost or timing out before the next pull",
    ),
    Rule(
        AlertKind.LEAN_UNDER_BOOST,
        Quantity.LAMBDA,
        "alert-watched-lambda-above-target",
        Excess.ABOVE_TARGET,
        LEAN,
        LEAN_STOP,
        dwell_s=LEAN_S,
        late_s=PROBE_LATE_S,
        when=When.FULL_LOAD,
        latches=True,
        engines=Engines.SPARK,
        stop_under_boost=True,
        consequence="a lean engine under boost knocks and overheats within seconds",
        action=f"{LIFT}; look at fuel pressure and injectors",
    ),
    Rule(
        AlertKind.LEAN_UNDER_BOOST,
        Quantity.LAMBDA,
        "alert-watched-lambda",
        Excess.VALUE,
        LEAN_NO_TARGET,
        LEAN_NO_TARGET_STOP,
        dwell_s=LEAN_S,
        late_s=PROBE_LATE_S,
        when=When.FULL_LOAD,
        latches=True,
        clear_share=0.98,
        engines=Engines.SPARK,
        under_boost=True,
        consequence="a lean engine under boost knocks and overheats within seconds",
        action=f"{LIFT}; look at fuel pressure and injectors",
    ),
    Rule(
        AlertKind.OVER_BOOST,
        Quantity.BOOST_PRESSURE,
        "alert-watched-boost-above-target",
        Excess.PERCENT_ABOVE_TARGET,
        OVER_BOOST,
        OVER_BOOST_STOP,
        dwell_s=OVERSHOOT_S,
        late_s=BOOST_LATE_S,
        when=When.FULL_LOAD,
        latches=False,
        engines=Engines.BOOSTED,
        consequence="the turbo overspeeds, the engine knocks or bends a rod",
        action=f"{LIFT}; look at the wastegate and what opens it",
    ),
    Rule(
        AlertKind.LOW_FUEL_PRESSURE,
        Quantity.FUEL_PRESSURE_LOW,
        "alert-watched-low-fuel-pressure-short",
        Excess.PERCENT_SHORT_OF_TARGET,
        LOW_PRESSURE_DROOP,
        DROOP_STOP,
        dwell_s=PRESSURE_S,
        late_s=PUMP_LATE_S,
        when=When.FULL_LOAD,
        latches=True,
        consequence="the engine runs lean at full load, or the high-pressure pump runs dry",
        action=f"{LIFT}; look at pump, filter, supply voltage and tank",
    ),
    Rule(
        AlertKind.LOW_FUEL_PRESSURE,
        Quantity.FUEL_PRESSURE_HIGH,
        "alert-watched-high-fuel-pressure-short",
        Excess.PERCENT_SHORT_OF_TARGET,
        RAIL_DROOP,
        DROOP_STOP,
        dwell_s=PRESSURE_S,
        late_s=PUMP_LATE_S,
        when=When.FULL_LOAD,
        latches=True,
        consequence="the engine runs lean at full load",
        action=f"{LIFT}; ask for less fuel, or give it a larger pump",
    ),
    *(
        Rule(
            AlertKind.OVERHEATING,
            quantity,
            watched,
            Excess.VALUE,
            watch,
            alarm,
            dwell_s=HEAT_S,
            when=When.ALWAYS,
            latches=False,
            clear_share=0.98,
            engines=engines,
            consequence=consequence,
            action=action,
        )
        for quantity, watched, watch, alarm, engines, consequence, action in _HEAT
    ),
    Rule(
        AlertKind.LOW_OIL_PRESSURE,
        Quantity.OIL_PRESSURE,
        "alert-watched-oil-pressure",
        Excess.SHORT_OF_LEAST,
        OIL_PRESSURE_ENOUGH,
        OIL_PRESSURE_ENOUGH,
        dwell_s=OIL_S,
        when=When.FULL_LOAD,
        latches=True,
        consequence="bearings seize within seconds",
        action="lift and switch the engine off",
    ),
)
