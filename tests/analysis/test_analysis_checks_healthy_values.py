"""A healthy finding never prints a value beyond the limit that it prints beside it."""

import numpy as np
import pytest
from engine_pulls import HEALTHY, Shape, Sweep, engine_pull

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.model.findings import Finding, Severity
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.model.setup import Car, Setup
from decode.samples import FloatArray

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
CAR = Car(cylinders=4, displacement_l=1.6, boosted=True, max_boost_kpa=160.0)
TURBO = Context(setup=Setup(car=CAR))
AT_LEAST = {"throttle", "turbo"}  # how far open, how efficient: the others print what is at most
JUDGED = sorted(HEALTHY.keys() - {"engine_speed", "pedal", "barometric", "ambient"})


def healthy(pull: Pull) -> list[Finding]:
    return [f for f in run_checks(pull, LIMITS, TURBO) if f.severity is Severity.HEALTHY]


def is_within(finding: Finding) -> bool:
    if finding.value is None or finding.limit is None:
        return True
    if finding.check in AT_LEAST:
        return finding.value >= finding.limit
    return finding.value <= finding.limit


def moment(shape: Shape, factor: float, for_s: float) -> Shape:
    """The healthy course, but for a moment at 4,500 rpm."""
    start_s = Sweep().at_rpm(4500)

    def shaped(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        value = shape(time_s, rpm)
        there = (time_s >= start_s) & (time_s < start_s + for_s)
        return np.where(there, value * factor + (value == 0.0) * 4.0, value)

    return shaped


@pytest.mark.parametrize("name", JUDGED)
def test_a_moment_beyond_a_limit_is_not_printed_as_what_held(name: str) -> None:
    for factor in (0.5, 1.6):
        pull = engine_pull({name: moment(HEALTHY[name][1], factor, 0.12)})
        assert [f.text for f in healthy(pull) if not is_within(f)] == []
