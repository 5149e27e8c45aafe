"""The checks, in the order a calibrator would read them, and how they are run together."""

from typing import Final

from analysis.causes.explain import explain
from analysis.causes.symptoms import Observation
from analysis.checks import (
    air_temperatures,
    boost,
    data_quality,
    drive,
    engine_temperatures,
    fuel_supply,
    ignition,
    mixture,
    throttle,
    turbo,
)
from analysis.checks.check import Check, Context, note
from analysis.findings import Finding
from analysis.limits import Limit, Limits
from analysis.pull import Pull

CHECKS: Final[tuple[Check, ...]] = (
    throttle.CHECK,
    ignition.CHECK,
    boost.CHECK,
    turbo.CHECK,
    air_temperatures.CHECK,
    fuel_supply.CHECK,
    mixture.CHECK,
    engine_temperatures.CHECK,
    drive.CHECK,
    data_quality.CHECK,
)
DEFAULT_LIMITS: Final[tuple[Limit, ...]] = tuple(limit for c in CHECKS for limit in c.limits)


def observe(check: Check, pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """What one check saw, or one note that it could not judge and what it needs for that."""
    missing = [
        " or ".join(group)
        for group in check.needs
        if not any(pull.first(quantity) is not None for quantity in group)
    ]
    if missing:
        return [note(check.name, f"Not judged: needs {' and '.join(missing)}.")]
    return check.judge(pull, limits, context)


def run_checks(pull: Pull, limits: Limits, context: Context) -> tuple[Finding, ...]:
    """Every check over one pull, its findings with their causes; most telling first."""
    seen = [o for check in CHECKS for o in observe(check, pull, limits, context)]
    return explain(seen)
