"""Channels read so seldom that they show neither that something is well nor that it is not.

Nothing bad was seen in them, so they are only noted; but where they are what a verdict rests on,
the pull is not called healthy (coverage.py).
"""

from typing import Final

from analysis.causes.symptoms import Observation
from analysis.checks.against_limit import beyond
from analysis.checks.plausible import SLOW
from analysis.checks.silent_channels import spoke
from analysis.model.findings import Finding, Severity
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull, finite
from analysis.phrases.say import amount, as_given, count, listed, say
from analysis.phrases.statement import Statement
from decode.quantities import Quantity

RATE = Limit(
    "data_quality.rate",
    4.0,
    "samples per 1000 rpm",
    COMMON_PRACTICE,
    "fewer and a knock event or a closure falls between two samples",
)
READINGS = Limit(
    "data_quality.readings",
    8.0,
    "readings",
    COMMON_PRACTICE,
    "of a channel in a sweep at least; a value written again is no reading",
)
VERDICT_RESTS_ON: Final = frozenset(
    {
        Quantity.ENGINE_SPEED,
        Quantity.PEDAL_POSITION,
        Quantity.THROTTLE_POSITION,
        Quantity.BOOST_PRESSURE,
        Quantity.MANIFOLD_PRESSURE,
        Quantity.KNOCK_RETARD,
        Quantity.LAMBDA,
        Quantity.FUEL_PRESSURE_HIGH,
    }
)
TOO_LITTLE: Final = "data-too-little"  # the key of what keeps a pull from being called healthy


def is_too_little(finding: Finding) -> bool:
    """Whether it says that too little was read of what the verdict rests on."""
    return any(statement.key == TOO_LITTLE for statement in finding.statements)


def few_readings(pull: Pull, limits: Limits) -> list[Observation]:
    """A note on every channel that was read too seldom for this sweep. pull: as read."""
    swept = max(pull.bounds.end_rpm - pull.bounds.start_rpm, 1.0) / 1000
    rate, least = limits[RATE.name], limits[READINGS.name]
    read = {
        name: len(pull.sweep(finite(pull.samples[name])))
        for name, channel in pull.channels.items()
        if channel.quantity is not None and channel.quantity not in SLOW and spoke(pull, name)
    }
    slow = {name: n / swept for name, n in read.items() if n / swept < rate.value}
    few = {name: n for name, n in read.items() if n < least.value and name not in slow}
    seen = []
    if slow:
        rates = [say("data-rate", channel=n, rate=amount(v, "1", 1)) for n, v in slow.items()]
        said = say("data-too-slow", rates=listed(rates), limit=as_given(rate.value, "1"))
        seen.append(_noted(pull, rate, said, slow))
    if few:
        reads = [say("data-read", channel=n, readings=count(v)) for n, v in few.items()]
        said = say("data-too-few", channels=listed(reads), limit=as_given(least.value, "1"))
        seen.append(_noted(pull, least, said, few))
    return seen


def _noted(
    pull: Pull, limit: Limit, said: Statement, values: dict[str, float] | dict[str, int]
) -> Observation:
    rests = any(pull.channels[name].quantity in VERDICT_RESTS_ON for name in values)
    statements = (said, say(TOO_LITTLE)) if rests else (said,)
    return Observation(finding=beyond(limit, Severity.NOTE, statements, min(values.values())))
