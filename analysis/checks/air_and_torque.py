"""Torque against air: an engine cannot make more of its air than fuel burnt in it gives.

Full load burns what the air allows, so power goes with air mass flow whatever the engine: 0.96 kW
for each g/s of a petrol engine at lambda 0.85 and 300 g/kWh, 0.94 at lambda 1 and 260 g/kWh; a
diesel burns 1/lambda of what its air would allow, at about 220 g/kWh. Far beside that, one of the
two figures has a wrong scale: air meter, controller torque, or the roller's inertia.

What is not known exactly is carried as a range, and only a range that lies wholly outside the
limits is spoken of.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.causes.symptoms import Observation
from analysis.checks.against_limit import beyond, place_phrase
from analysis.checks.boost_pressure import manifold_kpa
from analysis.checks.charge_heat import charge_temperature
from analysis.checks.check import Check, Context, healthy, note, stated
from analysis.checks.stretches import at, place, smoothed
from analysis.checks.torque_shortfall import PERCENT_PER_DEG, mean_retard_deg, misfire_percent
from analysis.model.findings import Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.model.setup import Ignition
from analysis.phrases.say import amount, say
from analysis.phrases.statement import Amount, Statement
from analysis.physics.thermodynamics import speed_density_g_s
from analysis.power.rollers import RAD_S_PER_RPM, W_PER_KW, wheel_power
from analysis.power.sweep import SETTLE_S, smoothing_window_s
from analysis.stages.comparability import ENGINE_INERTIA_KG_M2, engine_inertia_torque_nm
from decode.quantities import Quantity
from decode.samples import FloatArray

HIGH = Limit(
    "air_and_torque.high", 1.15, "1", COMMON_PRACTICE, "more power than this much air can make"
)
LOW = Limit(
    "air_and_torque.low", 0.75, "1", COMMON_PRACTICE, "far less power than this much air makes"
)

SPARK_KW_PER_G_S: Final = ((0.85, 0.96), (1.0, 0.94))  # (lambda, 3600 / (14.6 lambda g/kWh))
SPARK_UNKNOWN_MIXTURE: Final = 0.95  # between the two: they hardly differ
DIESEL_KW_PER_G_S: Final = 3600 / (14.5 * 220)  # at lambda 1; 220 g/kWh of 200 to 240
FILLING: Final = (0.75, 1.05)  # of cylinders at manifold state, where no meter measures the air
LOSSES: Final = (0.08, 0.35)  # of engine power on the way to the roller: from stiff gears and cool
# tyres to a small engine that drags a large car's running gear (common practice)
EXACT: Final = 0.02  # a range this narrow is one figure
POINTS: Final = 12  # at which the upper half of the sweep is read; their mean is all that is used
SHORTEST_S: Final = 0.5  # of that half: below it the engine has not settled


@dataclass(frozen=True, slots=True)
class Between:
    """A figure that is known to lie between two values; both the same where it is measured.

    source: who gives it, as part of a sentence.
    """

    least: float
    most: float
    source: Statement


def expected_kw_per_g_s(ignition: Ignition | None, lambda_: float | None) -> float | None:
    """Engine power for each g/s of air at full load; None for a diesel of unknown mixture, whose
    air does not say how much fuel it burns."""
    if ignition is Ignition.COMPRESSION:
        return None if lambda_ is None else DIESEL_KW_PER_G_S / max(lambda_, 1.0)
    if lambda_ is None:
        return SPARK_UNKNOWN_MIXTURE
    mixtures, powers = zip(*SPARK_KW_PER_G_S, strict=True)
    return float(np.interp(lambda_, mixtures, powers)) / max(lambda_, 1.0)


def _upper_half_s(pull: Pull) -> FloatArray:
    """POINTS times over the second half of the sweep, where boost has settled; or none."""
    first_s = (pull.bounds.start_s + pull.bounds.end_s) / 2
    last_s = pull.bounds.end_s - SETTLE_S
    return np.linspace(first_s, last_s, POINTS) if last_s - first_s >= SHORTEST_S else np.empty(0)


def air_g_s(pull: Pull, context: Context, time_s: FloatArray) -> Between | None:
    """Mean air flow: by the meter, or by speed density from what cylinders can take."""
    flow = pull.first(Quantity.AIR_MASS_FLOW)
    if flow is not None:
        mean = float(at(smoothed(flow, 0.2), time_s).mean())
        return Between(mean, mean, say("air-and-torque-air-measured"))
    manifold, charge = manifold_kpa(pull, context.setup), charge_temperature(pull)
    displacement_l = context.setup.car.displacement_l
    if manifold is None or charge is None or displacement_l is None:
        return None
    full = speed_density_g_s(
        np.ones(len(time_s)),
        displacement_l,
        pull.engine_speed_at(time_s),
        at(smoothed(manifold, 0.2), time_s),
        at(charge, time_s),
    ).mean()
    least, most = (float(share * full) for share in FILLING)
    return Between(least, most, say("air-and-torque-air-taken"))


def powers_kw(pull: Pull, context: Context, time_s: FloatArray) -> Iterator[Between]:
    """Mean engine power by everyone who gives one: the engine's controller, the dyno."""
    speed_rpm = pull.engine_speed_at(time_s)
    torque = pull.first(Quantity.ENGINE_TORQUE)
    if torque is not None:
        power_w = at(smoothed(torque, 0.2), time_s) * speed_rpm * RAD_S_PER_RPM
        mean = float(power_w.mean()) / W_PER_KW
        yield Between(mean, mean, say("air-and-torque-by-controller"))
    wheel = wheel_power(pull, context.setup.dyno, time_s, smoothing_window_s(pull))
    if wheel is not None:
        mean, kept = float(wheel.power_kw.mean()), _kept_by_engine_kw(speed_rpm, time_s)
        least_kw, most_kw = mean / (1 - LOSSES[0]), mean / (1 - LOSSES[1]) + kept
        yield Between(least_kw, most_kw, say("air-and-torque-by-dyno"))


def _kept_by_engine_kw(speed_rpm: FloatArray, time_s: FloatArray) -> float:
    """What an engine of ordinary inertia takes to turn itself up, mean."""
    ramp_rpm_s = max((speed_rpm[-1] - speed_rpm[0]) / (time_s[-1] - time_s[0]), 0.0)
    torque_nm = engine_inertia_torque_nm(ENGINE_INERTIA_KG_M2, float(ramp_rpm_s))
    return torque_nm * float(speed_rpm.mean()) * RAD_S_PER_RPM / W_PER_KW


def _lambda(pull: Pull, time_s: FloatArray) -> float | None:
    mixture = pull.first(Quantity.LAMBDA)
    return None if mixture is None or not len(time_s) else float(at(mixture, time_s).mean())


def judge(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Each power that is given against the air, over the upper half of the sweep."""
    time_s = _upper_half_s(pull)
    air = air_g_s(pull, context, time_s) if len(time_s) else None
    powers = list(powers_kw(pull, context, time_s)) if air is not None else []
    each = expected_kw_per_g_s(context.kind.ignition, _lambda(pull, time_s))
    if air is None or air.least <= 0 or not powers or each is None:
        return [note(CHECK.name, _not_judged(len(time_s) > 0, air, each))]
    kept = 1.0 - _spent_percent(pull, time_s, context) / 100.0
    allowed = Between(kept * each * air.least, each * air.most, air.source)
    return [power_against_air(pull, power, allowed, limits, time_s) for power in powers]


def _spent_percent(pull: Pull, time_s: FloatArray, context: Context) -> float:
    """Of the power, what knock control and misfires took: the engine may make this much less."""
    missed = misfire_percent(pull, time_s, context.setup.car.cylinders)
    return float(np.mean(PERCENT_PER_DEG * mean_retard_deg(pull, time_s) + missed))


def power_against_air(
    pull: Pull, power: Between, allowed: Between, limits: Limits, time_s: FloatArray
) -> Observation:
    """One power against what the air allows, both in kW."""
    where = place(pull, float(time_s[0]), float(time_s[-1]))
    least, most = power.least / allowed.most, power.most / allowed.least
    high, low = limits[HIGH.name], limits[LOW.name]
    sources = {"power": power.source, "air": allowed.source}
    if least > high.value:
        share, place_of = _percent(least), place_phrase(where)
        statements = (
            say("air-and-torque-high", share=share, where=place_of, **sources),
            say("air-and-torque-high-why"),
        )
        return stated(beyond(high, Severity.LOOK_CLOSER, statements, least, where, SETTLED_BY))
    if most < low.value:
        share, place_of = _percent(most), place_phrase(where)
        statements = (
            say("air-and-torque-low", share=share, where=place_of, **sources),
            say("air-and-torque-low-why"),
        )
        return stated(beyond(low, Severity.LOOK_CLOSER, statements, most, where, SETTLED_BY))
    if most - least > EXACT:
        between = {"least": _percent(least), "most": _percent(most)}
        return healthy(CHECK.name, say("air-and-torque-fits-between", **between, **sources))
    return healthy(CHECK.name, say("air-and-torque-fits", share=_percent(least), **sources))


SETTLED_BY: Final = say("air-and-torque-settled-by")


def _percent(share: float) -> Amount:
    return amount(100 * share, "%")


def _not_judged(long_enough: bool, air: Between | None, each: float | None) -> Statement:
    if not long_enough:
        return say("air-and-torque-too-short")
    if air is None:
        return say("air-and-torque-needs-air")
    if each is None:
        return say("air-and-torque-needs-lambda")
    if air.least <= 0:
        return say("air-and-torque-no-flow")
    return say("air-and-torque-needs-power")


CHECK: Final = Check(
    name="air_and_torque",
    needs=(
        (Quantity.AIR_MASS_FLOW, Quantity.MANIFOLD_PRESSURE, Quantity.BOOST_PRESSURE),
        (
            Quantity.ENGINE_TORQUE,
            Quantity.ROLLER_SPEED,
            Quantity.WHEEL_POWER,
            Quantity.WHEEL_TORQUE,
        ),
    ),
    limits=(HIGH, LOW),
    judge=judge,
)
