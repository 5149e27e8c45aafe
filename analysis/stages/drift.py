"""Drift from pull to pull: seen within the stages, allowed for between them.

Stages are driven one after the other, so what drifts from pull to pull looks like a change. The
drift is read off the pulls within each stage, where nothing was changed. Whether it went on while
the car was changed nobody knows (it cooled down, or it did not), so an interval holds both: the
difference as it is, and the difference with the drift taken out.

Heat takes power away: a fade is allowed for unless the pulls say that there is none, and it only
ever makes a later stage look worse. Power that rises from pull to pull (oil still warming) is
allowed for once the pulls show it. To allow for both from the start would leave three pulls a stage
nothing to say. What an allowance costs and saves: tests/benchmarks/gains.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.stages.statistics import CONFIDENCE, Interval, pooled_difference, student
from decode.samples import FloatArray

NO_FADE: Final = 1.0  # standard errors upwards: such a slope speaks against a fade
SEEN: Final = 0.9  # one-sided confidence from which a drift is said, and a rise allowed for


@dataclass(frozen=True, slots=True)
class Driven:
    """One figure of the runs of a stage. position: of each run among all of the job."""

    position: FloatArray
    value: FloatArray


@dataclass(frozen=True, slots=True)
class Drift:
    """The common slope within the stages, per pull, with its standard error."""

    per_pull: float
    error: float
    freedom: int

    @property
    def in_errors(self) -> float:
        """The slope in standard errors; signed infinity where the runs do not scatter about it."""
        if self.error > 0:
            return self.per_pull / self.error
        return float(np.copysign(np.inf, self.per_pull)) if self.per_pull else 0.0

    @property
    def fell(self) -> bool:
        """A fall that the pulls show."""
        return self.in_errors < -student(self.freedom, SEEN)

    @property
    def rose(self) -> bool:
        """A rise that the pulls show."""
        return self.in_errors > student(self.freedom, SEEN)

    @property
    def may_fade(self) -> bool:
        """Nothing speaks against a fall."""
        return self.in_errors < NO_FADE

    def share_of(self, value: float) -> Interval:
        """Per cent of a value, per pull, with its interval."""
        half_width = student(self.freedom, (1 + CONFIDENCE) / 2) * self.error
        low, middle, high = (
            100 * (self.per_pull + half_width * side) / value for side in (-1, 0, 1)
        )
        return Interval(middle, low, high, "%")


def drift_of(stages: Sequence[Driven]) -> Drift:
    """The slope common to all stages, each about its own mean. Needs two runs in each of two."""
    position = np.concatenate([stage.position - stage.position.mean() for stage in stages])
    value = np.concatenate([stage.value - stage.value.mean() for stage in stages])
    squares = float(position @ position)
    per_pull = float(position @ value) / squares
    freedom = len(value) - len(stages) - 1
    variance = float(np.sum((value - per_pull * position) ** 2)) / freedom
    return Drift(per_pull, (variance / squares) ** 0.5, freedom)


def difference(stages: Sequence[Driven], unit: str, seen: Drift) -> Interval:
    """The second stage's mean less the first's; further stages add to what is known of the spread.

    seen: the drift that decides what is allowed for, one for all figures of a comparison.
    """
    before, after, *others = (stage.value for stage in stages)
    plain = pooled_difference(before, after, unit, others)
    out = _without_drift(stages, unit)
    return Interval(
        plain.value,
        min(plain.low, out.low) if seen.rose else plain.low,
        max(plain.high, out.high) if seen.may_fade else plain.high,
        unit,
    )


def _without_drift(stages: Sequence[Driven], unit: str) -> Interval:
    """The difference had every pull been driven at the same moment, drift going on all the time."""
    before, after = stages[:2]
    drift = drift_of(stages)
    apart = float(after.position.mean() - before.position.mean())
    value = float(after.value.mean() - before.value.mean()) - apart * drift.per_pull
    squares = sum(float(np.sum((s.position - s.position.mean()) ** 2)) for s in stages)
    runs = 1 / len(before.value) + 1 / len(after.value)
    error = drift.error * (squares * runs + apart**2) ** 0.5
    half_width = student(drift.freedom, (1 + CONFIDENCE) / 2) * error
    return Interval(value, value - half_width, value + half_width, unit)
