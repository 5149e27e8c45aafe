"""What few repeated runs can say: intervals of a difference, a band for a curve, runs to settle it.

At 95 % where nothing else is asked for. The spread is pooled over both sides: the same car on the
same dyno with the same operator repeats as well before a change as after it (ISO 5725 repeatability
conditions), and three runs a side then give four degrees of freedom instead of two. Further stages
of the job add theirs.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from decode.on_first_use import on_first_use
from decode.samples import FloatArray

optimize = on_first_use("scipy.optimize")  # a comparison needs them, a list of pulls does not
special = on_first_use("scipy.special")

CONFIDENCE: Final = 0.95
LARGEST_MULTIPLIER: Final = 1e4  # beyond any that two degrees of freedom ask for
MOST_RUNS: Final = 20  # a side; nobody drives more

Runs = Sequence[float] | FloatArray


@dataclass(frozen=True, slots=True)
class Interval:
    """A value with its 95 % interval, all in the unit."""

    value: float
    low: float
    high: float
    unit: str

    @property
    def excludes_zero(self) -> bool:
        """The difference is larger than the spread of the runs explains."""
        return self.low > 0 or self.high < 0


def pooled_spread(*sides: Runs) -> float:
    """Standard deviation of single runs, pooled over every side. ValueError below two a side."""
    groups = _groups(*sides)
    freedom = sum(len(group) - 1 for group in groups)
    return float(np.sqrt(sum(_squares(group) for group in groups) / freedom))


def pooled_difference(
    before: Runs, after: Runs, unit: str, others: Sequence[Runs] = ()
) -> Interval:
    """Difference of means with Student's interval, spread pooled over both sides and the others.

    others: runs of further stages of the same job, which repeat as well and only add to what is
    known of the spread. Needs two runs a side; raises ValueError for fewer.
    """
    groups = _groups(before, after, *others)
    first, second = groups[:2]
    error = pooled_spread(*groups) * (1 / len(first) + 1 / len(second)) ** 0.5
    half_width = _student(sum(len(group) - 1 for group in groups)) * error
    return _around(float(second.mean() - first.mean()), half_width, unit)


def runs_to_settle(difference: float, spread: float, chance: float = 0.5) -> int | None:
    """Runs a side until a true difference of this size would leave the interval with that chance
    (an even one where the interval is as wide as the difference); None beyond MOST_RUNS.

    spread: the pooled standard deviation of single runs.
    """
    for runs in range(2, MOST_RUNS + 1):
        freedom, error = 2 * runs - 2, spread * (2 / runs) ** 0.5
        if (_student(freedom) + student(freedom, chance)) * error < abs(difference):
            return runs
    return None


def simultaneous_half_width(
    before: FloatArray,
    after: FloatArray,
    scale: FloatArray,
    others: Sequence[FloatArray] = (),
    confidence: float = CONFIDENCE,
) -> FloatArray:
    """Half-width of the band that holds the whole difference curve with that probability.

    Rows are runs, columns grid points; the rest as in band_of_one_run. others: further stages, as
    in pooled_difference.
    """
    one_run = band_of_one_run((before, after, *others), scale, confidence)
    half_width: FloatArray = one_run * (1 / len(before) + 1 / len(after)) ** 0.5
    return half_width


def band_of_one_run(
    sides: Sequence[FloatArray], scale: FloatArray, confidence: float = CONFIDENCE
) -> FloatArray:
    """Half-width of the simultaneous band of a curve that is as uncertain as a single run:
    divided by the root of n it is that of a mean of n runs.

    sides: of each stage, float64[runs, n]. scale: how the spread goes along the columns, up to a
    factor. The factor is pooled over the columns (a pointwise spread of three runs would need a
    multiplier of about 41), and the multiplier allows for the highest of all columns. Raises
    ValueError for fewer than two runs a side; needs two degrees of freedom.
    """
    residuals, freedom = _residuals(*(side / scale for side in sides))
    variance = float(np.sum(residuals**2)) / freedom / residuals.shape[1]
    if variance == 0:
        return np.zeros(len(scale))
    effective = effective_freedom(residuals, freedom)
    multiplier = band_multiplier(effective, roughness(residuals), confidence)
    half_width: FloatArray = multiplier * variance**0.5 * scale
    return half_width


def effective_freedom(residuals: FloatArray, freedom: int) -> float:
    """Degrees of freedom of a variance pooled over correlated columns (Satterthwaite 1946).

    f (tr C)^2 / tr(C^2), with C the covariance of the columns: f where runs differ by one common
    factor, f times the columns where every column errs on its own. Both traces are estimated
    without the bias that few runs give them (Srivastava, J. Japan Stat. Soc. 35 (2005) 251), which
    for the first takes 2 off the ratio.
    """
    between_runs = residuals @ residuals.T / freedom  # shares its trace and squares with C
    trace = float(np.trace(between_runs))
    squares = float(np.sum(between_runs**2)) - trace**2 / freedom
    squares *= freedom**2 / ((freedom - 1) * (freedom + 2))
    most = freedom * residuals.shape[1]
    ratio = freedom * trace**2 / max(squares, trace**2 / residuals.shape[1])
    return float(min(max(ratio - 2, freedom), most))


def roughness(residuals: FloatArray) -> float:
    """Length of the standardised error curve, in standard deviations: how often it can turn."""
    steps = np.sum(np.diff(residuals, axis=1) ** 2) / np.sum(residuals**2)
    columns = residuals.shape[1]
    return float(np.sqrt(steps * columns / (columns - 1)) * (columns - 1))


def band_multiplier(freedom: float, length: float, confidence: float = CONFIDENCE) -> float:
    """Multiplier u of the standard error with P(sup |t| <= u) = confidence over the curve.

    The Gaussian kinematic formula for a t field on a line (Taylor and Worsley 2007; for curves of
    few runs: Telschow and Schwartzman, arXiv 1901.06386): twice the upper tail of t plus
    length / (2 pi) (1 + u^2/f)^(-(f-1)/2). length: see roughness; 0 gives Student's own quantile.
    """

    def excess(multiplier: float) -> float:
        crossings = (1 + multiplier**2 / freedom) ** (-(freedom - 1) / 2) * length / (2 * np.pi)
        return float(2 * (special.stdtr(freedom, -multiplier) + crossings) - (1 - confidence))

    root = optimize.brentq(excess, 0.0, LARGEST_MULTIPLIER)
    return float(root)


def _residuals(*sides: FloatArray) -> tuple[FloatArray, int]:
    """Runs about their side's mean, and the degrees of freedom they hold."""
    groups = _groups(*sides)
    rows = np.vstack([group - group.mean(axis=0) for group in groups])
    return rows, len(rows) - len(groups)


def _groups(*sides: Runs) -> list[FloatArray]:
    groups = [np.asarray(side, dtype=np.float64) for side in sides]
    if any(len(group) < 2 for group in groups):
        raise ValueError("a single run on a side has no spread")
    return groups


def _squares(runs: FloatArray) -> float:
    """Sum of squares about the runs' mean."""
    return float(np.sum((runs - runs.mean()) ** 2))


def student(freedom: float, probability: float) -> float:
    """Student's quantile."""
    return float(special.stdtrit(freedom, probability))


def _student(freedom: float) -> float:
    return student(freedom, (1 + CONFIDENCE) / 2)


def _around(value: float, half_width: float, unit: str) -> Interval:
    return Interval(value, value - half_width, value + half_width, unit)
