"""Turbo: how hard the compressor works for the boost it makes, and where the air goes.

Three figures that boost alone does not show. The compressor's efficiency from its temperature rise:
a restricted intake makes it work from a depression, which looks like poor efficiency over the
pressure ratio that can be measured. The engine's volumetric efficiency from measured air flow:
over what cylinders can swallow, air is lost between the meter and them. And the turbo's speed.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.causes.symptoms import EVEN, Observation, Symptom
from analysis.checks.against_earlier import Curve, change
from analysis.checks.against_limit import beyond, sureness
from analysis.checks.boost_pressure import barometric_kpa, manifold_kpa
from analysis.checks.charge_heat import charge_temperature
from analysis.checks.check import Check, Context, healthy, note
from analysis.checks.compressor_margins import SPEED, SURGE, margins
from analysis.checks.operating_line import inlet_degc
from analysis.checks.stretches import at, place, smoothed
from analysis.checks.throttle import throttle_open
from analysis.checks.torque_shortfall import GREW, SHORT, shortfall
from analysis.checks.turbo_speed import STATED, TIP, turbo_speed
from analysis.model.engine_kind import FORCED
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.setup import Induction
from analysis.phrases.say import amount, count, rpm, say
from analysis.physics.thermodynamics import compressor_efficiency, volumetric_efficiency
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

EFFICIENCY = Limit(
    "turbo.efficiency",
    0.54,
    "1",
    "compressor maps end near 0.60 to 0.65, of which a healthy filter and cooler (3 kPa and 8 kPa "
    "at a ratio of 2.1) hide a tenth; threshold: " + COMMON_PRACTICE,
    "less over the measured pressure ratio and the compressor works against something unseen",
)
EFFICIENCY_BLOWER = Limit(
    "turbo.blower_efficiency",
    0.40,
    "1",
    "blowers of the Roots type reach 0.45 to 0.65; threshold: " + COMMON_PRACTICE,
    "the same of a blower, or of a compressor of which nobody says what drives it",
)
FILLING_HIGH = Limit(
    "turbo.filling_high",
    1.07,
    "1",
    "engines fill to 0.85 to 1.05 at manifold state; threshold: " + COMMON_PRACTICE,
    "more air is measured than the cylinders can take",
)
FILLING_LOW = Limit(
    "turbo.filling_low", 0.65, "1", COMMON_PRACTICE, "the cylinders fill worse than any healthy one"
)
FILLING_GREW = Limit(
    "turbo.filling_grew",
    5.0,
    "%",
    "air meters repeat within 2 %; threshold: " + COMMON_PRACTICE,
    "so much more air for the same pressure than in the stage's earlier pulls is lost air",
)

ANY_DISPLACEMENT_L: Final = 1.0  # it cancels where the same engine is compared with itself
FILLING_REPEATS: Final = 0.015  # from pull to pull: the meter, and a charge sensor that lags
WORKING_KPA: Final = 40.0  # of boost: below it the temperature rise is too small to divide by
BEST_EFFICIENCY: Final = 0.82  # what maps of good compressors reach at their very best point
LEAST_SAMPLES: Final = 5
LEAST_RISE_K: Final = 5.0  # over the inlet: an outlet no hotter would divide by nothing
MOST_QUANTILE: Final = 0.75  # of the filling: a leak shows where boost is highest, not all the way
EFFICIENCY_SPREAD: Final = 0.015  # 3 K of 100 K rise
FILLING_SPREAD: Final = 0.02  # air meters of production repeat within 2 %


@dataclass(frozen=True, slots=True)
class Charge:
    """The boosted part of the pull on one time base: float64[n] each, kPa absolute and degC."""

    time_s: FloatArray
    speed_rpm: FloatArray
    manifold_kpa: FloatArray
    barometric_kpa: float


def charge_of(pull: Pull, limits: Limits, context: Context) -> Charge | None:
    """None where pressures are not known or there is too little boost to judge by."""
    manifold, ambient_kpa = manifold_kpa(pull, context.setup), barometric_kpa(pull, context.setup)
    if manifold is None or ambient_kpa is None:
        return None
    inside = throttle_open(pull, pull.sweep(smoothed(manifold, 0.1)), limits, context)
    working: NDArray[np.bool_] = inside.value - ambient_kpa >= WORKING_KPA
    if np.count_nonzero(working) < LEAST_SAMPLES:
        return None
    time_s = inside.time_s[working]
    return Charge(time_s, pull.engine_speed_at(time_s), inside.value[working], ambient_kpa)


def _efficiency(pull: Pull, charge: Charge, limits: Limits, context: Context) -> list[Observation]:
    """The compressor's efficiency over the last third of the boosted pull, where the outlet
    sensor has caught up."""
    outlet = pull.first(Quantity.COMPRESSOR_OUTLET_TEMPERATURE)
    before_degc = inlet_degc(pull, context)
    if outlet is None or before_degc is None:
        return []
    late = slice(2 * len(charge.time_s) // 3, None)
    ratio = charge.manifold_kpa[late] / charge.barometric_kpa
    outlet_degc = np.maximum(at(outlet, charge.time_s[late]), before_degc + LEAST_RISE_K)
    inlet = np.full(len(ratio), before_degc)
    value = float(np.median(compressor_efficiency(inlet, outlet_degc, ratio)))
    is_turbo = context.kind.induction is Induction.TURBOCHARGER
    limit = limits[(EFFICIENCY if is_turbo else EFFICIENCY_BLOWER).name]
    present = sureness(limit.value - value, 0.0, EFFICIENCY_SPREAD)
    hot, pr = float(np.median(outlet_degc)), float(np.median(ratio))
    if value > BEST_EFFICIENCY:  # the outlet's sensor had no time to follow: nothing to say
        return []
    if present < EVEN:
        top = float(charge.manifold_kpa.max()) / charge.barometric_kpa
        statement = say(
            "turbo-efficiency",
            top=amount(top, "1", 2),
            ratio=amount(pr, "1", 2),
            outlet=amount(hot, "degC"),
            efficiency=amount(value, "1", 2),
        )
        return [
            Observation(Symptom.COMPRESSOR_LABOURS, present),
            healthy("turbo", statement, round(value, 3), limit),
        ]
    where = place(pull, float(charge.time_s[late][0]), float(charge.time_s[-1]))
    statements = (
        say(
            "turbo-efficiency-low",
            outlet=amount(hot, "degC"),
            ratio=amount(pr, "1", 2),
            efficiency=amount(value, "1", 2),
            limit=amount(limit.value, "1", 2),
        ),
        say("turbo-efficiency-low-why"),
    )
    finding = beyond(limit, Severity.LOOK_CLOSER, statements, value, where)
    return [Observation(Symptom.COMPRESSOR_LABOURS, present, finding)]


def filling(pull: Pull, charge: Charge, displacement_l: float) -> Samples | None:
    """Volumetric efficiency from measured air flow, over time; None without flow or charge
    temperature."""
    flow, temperature = pull.first(Quantity.AIR_MASS_FLOW), charge_temperature(pull)
    if flow is None or temperature is None:
        return None
    measured = at(smoothed(flow, 0.2), charge.time_s)
    degc = at(temperature, charge.time_s)
    value = volumetric_efficiency(
        measured, displacement_l, charge.speed_rpm, charge.manifold_kpa, degc
    )
    return Samples(charge.time_s, value)


def _against_earlier(pull: Pull, limits: Limits, context: Context) -> Observation:
    """Filling against the car's own: a leak shows here long before any engine's limit is passed."""

    def curve_of(each: Pull) -> Curve | None:
        charge = charge_of(each, limits, context)
        found = None if charge is None else filling(each, charge, ANY_DISPLACEMENT_L)
        return None if charge is None or found is None else Curve(charge.speed_rpm, found.value)

    limit = limits[FILLING_GREW.name]
    found = change(pull, context, curve_of, lambda share: 100 * share > limit.value)
    if found is None:
        return Observation()
    spread = max(FILLING_REPEATS, found.spread)
    present = sureness(100 * found.share, limit.value, 100 * spread)
    if present < EVEN:
        return Observation(Symptom.AIR_FLOW_GREW, present)
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    statements = (
        say(
            "turbo-air-flow-grew",
            more=amount(100 * found.share, "%"),
            start=rpm(found.start_rpm),
            end=rpm(found.end_rpm),
            pulls=count(found.pulls),
        ),
        say("turbo-air-flow-grew-why"),
    )
    finding = beyond(limit, Severity.LOOK_CLOSER, statements, 100 * found.share, where)
    return Observation(Symptom.AIR_FLOW_GREW, present, finding)


def _filling(pull: Pull, charge: Charge, limits: Limits, context: Context) -> list[Observation]:
    displacement_l = context.setup.car.displacement_l
    found = None if displacement_l is None else filling(pull, charge, displacement_l)
    if found is None:
        return []
    high, low = limits[FILLING_HIGH.name], limits[FILLING_LOW.name]
    value = float(np.median(found.value))
    most = float(np.quantile(found.value, MOST_QUANTILE))
    present_high = sureness(most, high.value, FILLING_SPREAD)
    present_low = sureness(low.value - value, 0.0, FILLING_SPREAD)
    where = place(pull, float(charge.time_s[0]), float(charge.time_s[-1]))
    seen_high = Observation(Symptom.AIR_FLOW_HIGH, present_high)
    seen_low = Observation(Symptom.AIR_FLOW_LOW, present_low)
    if present_high >= EVEN:
        statements = (
            say(
                "turbo-air-flow-high",
                filling=amount(100 * most, "%"),
                limit=amount(100 * high.value, "%"),
            ),
            say("turbo-air-flow-high-why"),
        )
        seen_high = Observation(
            Symptom.AIR_FLOW_HIGH,
            present_high,
            beyond(high, Severity.LOOK_CLOSER, statements, most, where),
        )
    if present_low >= EVEN:
        statement = say(
            "turbo-air-flow-low",
            filling=amount(100 * value, "%"),
            limit=amount(100 * low.value, "%"),
        )
        seen_low = Observation(
            Symptom.AIR_FLOW_LOW,
            present_low,
            beyond(low, Severity.LOOK_CLOSER, statement, value, where),
        )
    return [seen_high, seen_low]


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Compressor efficiency and where the air goes, under boost."""
    charge, fast = charge_of(pull, limits, context), turbo_speed(pull, limits, context)
    if charge is None:
        return fast or [note("turbo", say("turbo-too-little-boost"))]
    seen = [
        *fast,
        *_efficiency(pull, charge, limits, context),
        *_filling(pull, charge, limits, context),
        _against_earlier(pull, limits, context),
        *shortfall(pull, limits, context),
        *margins(pull, limits, context),
    ]
    if not any(o.symptom or o.finding for o in seen):
        return [note("turbo", say("turbo-needs"))]
    told = any(o.finding and o.finding.severity is not Severity.NOTE for o in seen)
    if any(o.symptom is Symptom.AIR_FLOW_HIGH for o in seen) and not told:
        top = float(charge.manifold_kpa.max()) / charge.barometric_kpa
        first = rpm(float(charge.speed_rpm[0]))
        statement = say("turbo-air-flow-matches", top=amount(top, "1", 2), speed=first)
        seen.append(healthy("turbo", statement))
    return seen


CHECK: Final = Check(
    name="turbo",
    needs=((Quantity.BOOST_PRESSURE, Quantity.MANIFOLD_PRESSURE),),
    limits=(
        EFFICIENCY,
        EFFICIENCY_BLOWER,
        FILLING_HIGH,
        FILLING_LOW,
        FILLING_GREW,
        SHORT,
        SURGE,
        SPEED,
        GREW,
        STATED,
        TIP,
    ),
    judge=judge,
    induction=FORCED,
)
