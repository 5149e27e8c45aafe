"""Which cause shows which symptom, how often; and the probability of causes given symptoms.

A two-layer noisy-OR network (Pearl 1988; in medicine QMR-DT, Shwe et al. 1991): each cause shows
each of its symptoms independently with a stated probability, and a symptom can also appear for no
listed cause (its leak). One cause explains a symptom away from another, and two causes at once are
weighed like one. The posterior is exact over every set of at most three causes.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.causes.symptoms import ABSENT, SURE, Symptom
from analysis.model.findings import Cause
from decode.samples import FloatArray

MOST_AT_ONCE: Final = 3  # four faults in one pull are a car nobody diagnoses from one pull

# Before any symptom every cause is equally likely and rare: one pull in twenty, for a car comes to
# the dyno to be looked at. The ratio to the leaks decides: one sure symptom outweighs it.
PRIOR: Final = 0.05

# How often a cause shows a symptom. Four words, not thirty numbers: a finer scale would claim a
# knowledge nobody has. The mechanism picks the word; where it leaves it open, the word is the one
# nearest to what simulated cars show (clear and severe faults; no seed that the score is taken on).
ALWAYS: Final = 0.95  # by its mechanism; missed only by sensor or resolution
MOSTLY: Final = 0.75
OFTEN: Final = 0.5
SOMETIMES: Final = 0.1

C, S = Cause, Symptom
LINKS: Final[dict[Cause, dict[Symptom, float]]] = {
    # Too little octane: every cylinder knocks alike, beyond what the charge air explains.
    C.LOW_OCTANE_FUEL: {
        S.ALL_CYLINDERS_RETARDED: ALWAYS,
        S.EXHAUST_HOT: SOMETIMES,
        S.TORQUE_SHORT: SOMETIMES,
    },
    # One cylinder's own trouble: carbon, plug, injector, squish.
    C.SINGLE_CYLINDER_KNOCK: {S.ONE_CYLINDER_RETARDED: ALWAYS},
    # Torque taken by the spark: traction, gearbox, a torque limit, component protection.
    C.IGNITION_INTERVENTION: {
        S.TIMING_BELOW_TARGET: ALWAYS,
        S.TORQUE_SHORT: OFTEN,  # what is missing is what was taken
        S.EXHAUST_HOT: SOMETIMES,  # late combustion ends in the exhaust
    },
    # A cooler without air, or pulls too close together.
    C.HOT_CHARGE_AIR: {
        S.CHARGE_AIR_HOT: ALWAYS,
        S.COOLER_WEAK: OFTEN,  # a hot cell, or heat soak, leaves the cooler as good as it was
        S.INTAKE_HOT: OFTEN,
        S.RETARD_FROM_HEAT: SOMETIMES,  # where the calibration left no room for it
        S.HEAT_SOAK: SOMETIMES,
    },
    # Air is compressed, measured and lost before the cylinders.
    C.BOOST_LEAK: {
        S.AIR_FLOW_HIGH: ALWAYS,
        S.AIR_FLOW_GREW: ALWAYS,
        S.TURBO_FAST: SOMETIMES,
        S.BLOWER_BOOST_SHORT: OFTEN,
        S.BOOST_LOW: OFTEN,
        S.SPOOLS_LATE: OFTEN,
        S.WASTEGATE_ASKS_CLOSED: SOMETIMES,
        S.COMPRESSOR_LABOURS: SOMETIMES,  # it moves more air than it was matched to
        S.TORQUE_SHORT: MOSTLY,  # the turbine has to take more out of the exhaust
    },
    # Exhaust passes the turbine: commanded shut, boost does not come.
    C.WASTEGATE_STUCK_OPEN: {
        S.BOOST_LOW: ALWAYS,
        S.SPOOLS_LATE: OFTEN,
        S.WASTEGATE_ASKS_CLOSED: MOSTLY,
        S.BOOST_HIGH: SOMETIMES,  # a controller wound up while it was short lets go late
    },
    # All exhaust goes through the turbine: commanded open, boost runs away.
    C.WASTEGATE_STUCK_CLOSED: {
        S.BOOST_HIGH: ALWAYS,
        S.WASTEGATE_ASKS_OPEN: ALWAYS,
        S.TURBO_FAST: SOMETIMES,
        S.CHARGE_AIR_HOT: MOSTLY,
        S.HEAT_SOAK: OFTEN,
        S.COMPRESSOR_LABOURS: SOMETIMES,  # driven far past its best flow
        S.RETARD_FROM_HEAT: SOMETIMES,
        S.ALL_CYLINDERS_RETARDED: OFTEN,  # SAE 960497: 3 to 4 degrees for 10 kPa too much
        S.INJECTOR_FULL: OFTEN,  # more air than the fuel system was made for; a pump has reserve
        S.MIXTURE_LEAN: SOMETIMES,
    },
    # Driven beyond what its wheel bears, by what is asked of it or by what else ails it.
    C.TURBO_OVERSPEED: {S.TURBO_FAST: ALWAYS, S.COMPRESSOR_LABOURS: SOMETIMES},
    # The belt turns slower than the crank says: less boost for the same engine speed.
    C.BELT_SLIP: {S.BLOWER_BOOST_SHORT: ALWAYS, S.BOOST_LOW: OFTEN},
    C.BOOST_OSCILLATION: {
        S.BOOST_OSCILLATES: ALWAYS,
        S.BOOST_HIGH: OFTEN,
        S.BOOST_LOW: SOMETIMES,
        S.WASTEGATE_ASKS_CLOSED: MOSTLY,  # the command swings from stop to stop
    },
    # The compressor draws from a depression: more ratio, more heat for the same boost.
    C.RESTRICTED_INTAKE: {
        S.COMPRESSOR_LABOURS: ALWAYS,
        S.INTAKE_DROPS: ALWAYS,
        S.TURBO_FAST: SOMETIMES,
        S.BLOWER_BOOST_SHORT: SOMETIMES,
        S.TORQUE_SHORT: MOSTLY,  # the turbine has to take more out of the exhaust
        S.BOOST_LOW: SOMETIMES,
        S.SPOOLS_LATE: SOMETIMES,
        S.WASTEGATE_ASKS_CLOSED: SOMETIMES,
        S.CHARGE_AIR_HOT: SOMETIMES,
    },
    # Exhaust stays in the cylinders: less air at the same manifold pressure.
    C.RESTRICTED_EXHAUST: {
        S.TORQUE_SHORT: ALWAYS,
        S.AIR_FLOW_LOW: SOMETIMES,
        S.SPOOLS_LATE: SOMETIMES,
        S.BOOST_LOW: SOMETIMES,  # once the wastegate has no travel left to make up for it
        S.ALL_CYLINDERS_RETARDED: SOMETIMES,  # SAE 960497: one degree for 30 kPa
        S.RETARD_FROM_HEAT: SOMETIMES,  # the same retard, where warm air could explain it
        S.WASTEGATE_ASKS_CLOSED: SOMETIMES,
        S.EXHAUST_HOT: SOMETIMES,
    },
    C.WEAK_LOW_PRESSURE_FUEL_PUMP: {
        S.LOW_PRESSURE_DROOPS: ALWAYS,
        S.ALL_CYLINDERS_RETARDED: SOMETIMES,  # lean mixture knocks earlier
        S.INJECTOR_FULL: SOMETIMES,  # they stay open longer to make up for it
        S.HIGH_PRESSURE_DROOPS: SOMETIMES,
        S.MIXTURE_LEAN: SOMETIMES,  # once the injectors have no time left
        S.TRIMS_ADD: SOMETIMES,
    },
    C.WEAK_HIGH_PRESSURE_FUEL_PUMP: {
        S.HIGH_PRESSURE_DROOPS: ALWAYS,
        S.ALL_CYLINDERS_RETARDED: SOMETIMES,
        S.INJECTOR_FULL: SOMETIMES,
        S.MIXTURE_LEAN: SOMETIMES,
        S.TRIMS_ADD: SOMETIMES,
    },
    C.INJECTOR_LIMIT: {
        S.INJECTOR_FULL: ALWAYS,
        S.MIXTURE_LEAN: OFTEN,  # only what is asked for beyond their time is missing
        S.ALL_CYLINDERS_RETARDED: SOMETIMES,
        S.TRIMS_ADD: SOMETIMES,
    },
    # Fuel that does not match the air though both pressures are right: injectors that give less
    # than the map says, a wrong characteristic, an air meter that reads wrong.
    C.FUEL_QUANTITY_ERROR: {
        S.MIXTURE_LEAN: MOSTLY,
        S.MIXTURE_RICH: OFTEN,
        S.TRIMS_ADD: OFTEN,
        S.TRIMS_TAKE: OFTEN,
        S.AIR_FLOW_LOW: SOMETIMES,
        S.ALL_CYLINDERS_RETARDED: SOMETIMES,  # lean mixture knocks earlier
    },
    # Another air-fuel ratio than the controller reckons with: closed loop makes up for it.
    C.ETHANOL_CONTENT: {
        S.TRIMS_ADD: MOSTLY,
        S.TRIMS_TAKE: MOSTLY,
        S.MIXTURE_LEAN: OFTEN,  # where full load is not in closed loop
        S.MIXTURE_RICH: OFTEN,
    },
    # It cuts fuel or spark, or closes the throttle, where the speed stops.
    C.SPEED_LIMITER: {
        S.SPEED_LIMITED: ALWAYS,
        S.THROTTLE_CLOSED: SOMETIMES,
        S.MIXTURE_LEAN: SOMETIMES,  # while fuel is cut
        S.TIMING_BELOW_TARGET: SOMETIMES,
    },
    # A throttle that closes under full pedal is protection by definition; its trigger is a cause
    # of its own and stands before it.
    C.PROTECTIVE_THROTTLE_CLOSURE: {S.THROTTLE_CLOSED: ALWAYS, S.BOOST_HIGH: OFTEN},
    C.MISFIRE: {
        S.MISFIRES: ALWAYS,
        S.MIXTURE_LEAN: OFTEN,  # unburnt air reads lean
    },
    C.TYRE_SLIP: {S.ROLLER_LAGS: ALWAYS, S.SPEEDS_PART: ALWAYS},
    C.CLUTCH_SLIP: {
        S.WHEELS_LAG: ALWAYS,
        S.SPEEDS_PART: ALWAYS,
        S.BOOST_HIGH: SOMETIMES,  # engine speed runs away from the controller
    },
    C.OVERHEATING: {
        S.COOLANT_HOT: MOSTLY,
        S.OIL_HOT: OFTEN,
        S.ALL_CYLINDERS_RETARDED: SOMETIMES,
        S.RETARD_FROM_HEAT: SOMETIMES,
    },
    C.SENSOR_FAULT: {
        S.CHANNEL_STUCK: OFTEN,
        S.CHANNEL_CLIPPED: OFTEN,
        S.CHANNEL_GAPS: OFTEN,
        S.CHANNEL_IMPOSSIBLE: OFTEN,
        S.CHANNELS_DISAGREE: OFTEN,
        S.RETARD_FIXED: SOMETIMES,
    },
    C.CLOCK_OFFSET: {S.CLOCKS_APART: ALWAYS, S.ROLLER_LAGS: SOMETIMES},
}

# Causes that are named by what only they show, never by what they share with others: unburnt air
# reads lean, but what reads lean is hardly ever a misfire.
OWN_EVIDENCE: Final[dict[Cause, frozenset[Symptom]]] = {C.MISFIRE: frozenset({S.MISFIRES})}

# How often a pull without any listed cause shows a symptom beyond its limit: limits are set to be
# passed by hardly any healthy pull. The exceptions are conditions, common on their own.
LEAK: Final = 0.005
LEAKS: Final[dict[Symptom, float]] = {
    S.WASTEGATE_ASKS_CLOSED: 0.1,  # small turbos at the top of their range
    S.WASTEGATE_ASKS_OPEN: 0.02,  # a spring that alone gives more boost than is asked for
    S.HEAT_SOAK: 0.1,  # the second pull of any stage
    S.EXHAUST_HOT: 0.03,
    S.COMPRESSOR_LABOURS: 0.03,  # an estimate from efficiency nobody measured
}

CAUSES: Final = tuple(Cause)
SYMPTOMS: Final = tuple(Symptom)


def _sets() -> NDArray[np.bool_]:
    """Every set of at most MOST_AT_ONCE causes, bool[sets, causes]; the empty set first."""
    chosen = [c for k in range(MOST_AT_ONCE + 1) for c in combinations(range(len(CAUSES)), k)]
    table = np.zeros((len(chosen), len(CAUSES)), dtype=bool)
    for row, members in enumerate(chosen):
        table[row, list(members)] = True
    return table


def _shown() -> FloatArray:
    """Probability of each symptom under each set, float64[sets, symptoms]: noisy-OR with leak."""
    hidden = np.zeros((len(CAUSES), len(SYMPTOMS)))
    for cause, links in LINKS.items():
        for symptom, often in links.items():
            hidden[CAUSES.index(cause), SYMPTOMS.index(symptom)] = np.log1p(-often)
    leaks = np.array([LEAKS.get(symptom, LEAK) for symptom in SYMPTOMS])
    shown: FloatArray = 1.0 - (1.0 - leaks) * np.exp(SETS @ hidden)
    return shown


SETS: Final = _sets()
SHOWN: Final = _shown()
LOG_PRIORS: Final = SETS.sum(axis=1) * np.log(PRIOR / (1.0 - PRIOR))


@dataclass(frozen=True, slots=True)
class Posterior:
    """probability: of each cause given every symptom looked for, whatever else is there too."""

    probability: Mapping[Cause, float]


def posterior(
    present: Mapping[Symptom, float], impossible: frozenset[Cause] = frozenset()
) -> Posterior:
    """Weigh symptoms, each with how sure it is there (0 to 1); one not looked for says nothing.

    impossible: causes that this car has not the parts for; their probability is 0.
    A symptom sure to s is virtual evidence (Pearl): its likelihood is s p + (1 - s)(1 - p), so at
    0.5, on the limit, it says nothing either.
    """
    looked = [SYMPTOMS.index(symptom) for symptom in present]
    sure = np.clip(np.array(list(present.values()), dtype=np.float64), ABSENT, SURE)
    shown = SHOWN[:, looked]
    likelihood = np.log(sure * shown + (1.0 - sure) * (1.0 - shown)).sum(axis=1)
    weight = LOG_PRIORS + likelihood
    weight = np.exp(weight - weight.max())
    weight[SETS[:, [CAUSES.index(cause) for cause in impossible]].any(axis=1)] = 0.0
    marginal = weight @ SETS / weight.sum()
    return Posterior({cause: float(p) for cause, p in zip(CAUSES, marginal, strict=True)})
