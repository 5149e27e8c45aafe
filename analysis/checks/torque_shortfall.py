"""Torque against what the controller asks for, where everything that could excuse it is ruled out.

Boost on target, throttle open, nothing taken by knock, mixture as wanted: then the engine gives the
torque its calibration knows, or something holds it back that no pressure shows. Back-pressure in
the exhaust is the usual one: it costs filling and pumping work and asks more of the turbo.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.causes.symptoms import EVEN, Observation, Symptom
from analysis.checks.against_limit import beyond, place_phrase, sureness
from analysis.checks.boost_pressure import gauge_boost
from analysis.checks.charge_heat import charge_temperature
from analysis.checks.check import Context
from analysis.checks.ignition_target import is_as_asked
from analysis.checks.stretches import at, held_at, place, smoothed
from analysis.checks.throttle import full_open
from analysis.model.findings import Severity, Where
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull, finite
from analysis.phrases.say import amount, count, say
from analysis.physics.thermodynamics import KELVIN
from decode.cadence import period_s
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

SHORT = Limit(
    "turbo.torque_short",
    3.0,
    "%",
    COMMON_PRACTICE,
    "torque below the request with boost, throttle, ignition and mixture as wanted",
)
GREW = Limit(
    "turbo.torque_shorter",
    4.0,
    "%",
    COMMON_PRACTICE,
    "torque further below its request than in the stage's earlier pulls",
)
GREW_SPREAD: Final = 1.0  # of a healthy engine from pull to pull, heat and knock allowed for
# Both common practice, no published source: the charge temperature that full load is set at, and
# torque per degree, 15 to 20 degrees later than best timing.
REFERENCE_DEGC: Final = 45.0
ON_TARGET_KPA: Final = 6.0
MOST_RETARD_DEG: Final = 5.0  # beyond, what knock costs is no longer small against the limit
PERCENT_PER_DEG: Final = 1.5
ON_MIXTURE: Final = 0.03
OPEN_SHARE: Final = 0.95
LEAST_S: Final = 0.5  # of samples without an excuse
FEW_CYLINDERS: Final = 3
MISFIRES_OVER_S: Final = 0.5  # counters are sent a few times a second
SHORT_SPREAD: Final = 0.7  # what is left of healthy engines once heat and knock are allowed for


def _without_excuse(
    pull: Pull, time_s: FloatArray, context: Context, limits: Limits
) -> NDArray[np.bool_]:
    """bool[n]: boost on target, throttle open, ignition and mixture as wanted."""
    good = np.ones(len(time_s), dtype=bool)
    boost, target = gauge_boost(pull, context.setup), pull.first(Quantity.BOOST_TARGET)
    if boost is not None and target is not None:
        good &= at(smoothed(boost, 0.1), time_s) >= at(target, time_s) - ON_TARGET_KPA
    throttle = pull.first(Quantity.THROTTLE_POSITION)
    if throttle is not None:
        good &= at(throttle, time_s) >= OPEN_SHARE * full_open(pull, context)
    good &= mean_retard_deg(pull, time_s) <= MOST_RETARD_DEG
    good &= is_as_asked(pull, time_s, limits)
    actual, wanted = pull.first(Quantity.LAMBDA), pull.first(Quantity.LAMBDA_TARGET)
    if actual is not None and wanted is not None:
        good &= np.abs(at(actual, time_s) - at(wanted, time_s)) <= ON_MIXTURE
    return good


def mean_retard_deg(pull: Pull, time_s: FloatArray) -> FloatArray:
    """What knock control took, mean over the cylinders, deg[n]."""
    known = [finite(pull.samples[name]) for name in pull.named(Quantity.KNOCK_RETARD)]
    every = [held_at(samples, time_s) for samples in known if len(samples)]
    return np.mean(every, axis=0) if every else np.zeros(len(time_s))


def misfire_counters(pull: Pull) -> list[Samples]:
    """The counters that a misfire moves once: those of the cylinders or that of the whole engine,
    whichever counted more where both are logged, so that none counts twice."""
    named = {name: finite(pull.samples[name]) for name in pull.named(Quantity.MISFIRE_COUNT)}
    groups: dict[bool, list[Samples]] = {False: [], True: []}
    for name, counter in named.items():
        if len(counter):
            groups[pull.channels[name].cylinder is None].append(counter)
    return max(groups.values(), key=lambda each: (sum(_rises(c).sum() for c in each), len(each)))


def _rises(counter: Samples) -> FloatArray:
    return np.maximum(np.diff(counter.value, prepend=counter.value[:1]), 0.0)


def misfire_percent(pull: Pull, time_s: FloatArray, cylinders: int | None) -> FloatArray:
    """Share of the firings around each time that the counters call missed, per cent, float64[n]: as
    much of the torque is missing. Four-stroke; of an unknown number of cylinders few are taken, so
    that more is allowed for."""
    missed = np.zeros(len(time_s))
    for counter in misfire_counters(pull):
        # runs on where the counter starts anew
        total = Samples(counter.time_s, np.cumsum(_rises(counter)))
        half_s = MISFIRES_OVER_S / 2
        missed += held_at(total, time_s + half_s) - held_at(total, time_s - half_s)
    firings_per_s = pull.engine_speed_at(time_s) / 120.0 * (cylinders or FEW_CYLINDERS)
    share: FloatArray = 100.0 * missed / np.maximum(firings_per_s * MISFIRES_OVER_S, 1.0)
    return share


def _shortfall(pull: Pull, time_s: FloatArray, context: Context, limits: Limits) -> float | None:
    """How far torque is below its request, per cent, the median over the times, less what is
    accounted for: charge air hotter than REFERENCE_DEGC by the gas law and by the spark it costs,
    what knock control took, and cycles that misfired. None without both channels."""
    torque, request = pull.first(Quantity.ENGINE_TORQUE), pull.first(Quantity.TORQUE_REQUEST)
    if torque is None or request is None:
        return None
    ratio = at(smoothed(torque, 0.1), time_s) / np.maximum(at(request, time_s), 1.0)
    late_deg, charge = mean_retard_deg(pull, time_s), charge_temperature(pull)
    if charge is not None:
        degc = at(charge, time_s)
        ratio = ratio * (degc + KELVIN) / (REFERENCE_DEGC + KELVIN)
        per_degree_k = limits["ignition.heat_per_degree"].value
        late_deg = late_deg + np.maximum(degc - REFERENCE_DEGC, 0.0) / per_degree_k
    missed = misfire_percent(pull, time_s, context.setup.car.cylinders)
    return float(np.median(100.0 * (1.0 - ratio) - PERCENT_PER_DEG * late_deg - missed))


def shortfall(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Below the request, and against the stage's earlier pulls.

    A controller computes torque from air and spark and knows it to some per cent; a calibration may
    ask for more than the engine gives. So what is short of the request is told, with what it could
    be, and judged only where it was less in earlier pulls.
    """
    found = _short_of_request(pull, limits, context)
    if found is None:
        return []
    value, where = found
    earlier = [_short_of_request(each, limits, context) for each in context.earlier]
    before = [each[0] for each in earlier if each is not None]
    limit, grew = limits[SHORT.name], limits[GREW.name]
    more = value - min(before, default=value)
    present = max(
        sureness(value, limit.value, SHORT_SPREAD), sureness(more, grew.value, GREW_SPREAD)
    )
    if present < EVEN:
        return [Observation(Symptom.TORQUE_SHORT, present)]
    short, place_of = amount(value, "%"), place_phrase(where)
    if more > grew.value:
        statement = say(
            "turbo-torque-shorter",
            short=short,
            where=place_of,
            more=amount(more, "%"),
            pulls=count(len(before)),
        )
        finding = beyond(grew, Severity.LOOK_CLOSER, statement, more, where)
        return [Observation(Symptom.TORQUE_SHORT, present, finding)]
    statement = say("turbo-torque-short", short=short, where=place_of)
    finding = beyond(limit, Severity.NOTE, (statement, say("turbo-torque-short-why")), value, where)
    return [Observation(Symptom.TORQUE_SHORT, present, finding, points=True)]


def _short_of_request(pull: Pull, limits: Limits, context: Context) -> tuple[float, Where] | None:
    """How far below its request, per cent, the median over the upper half of the pull where there
    is no excuse for it; and where that is."""
    torque = pull.first(Quantity.ENGINE_TORQUE)
    if torque is None or context.kind.is_diesel:
        return None  # a diesel's torque is set by fuel, not by the air that back-pressure costs
    inside = pull.sweep(torque)
    upper = pull.engine_speed_at(inside.time_s) >= (pull.bounds.start_rpm + pull.bounds.end_rpm) / 2
    time_s = inside.time_s[upper]
    time_s = time_s[_without_excuse(pull, time_s, context, limits)]
    if len(time_s) * period_s(time_s) < LEAST_S:
        return None
    value = _shortfall(pull, time_s, context, limits)
    return None if value is None else (value, place(pull, float(time_s[0]), float(time_s[-1])))
