"""How far another source's clock is from the engine's, from a speed that both see.

In one gear the wheels turn in proportion to the engine, but for the slip of the tyre, which grows
with the force it passes on. With n the engine's speed, v the other source's, d the offset:

    ln n(t) - ln v(t + d) = constant + slip(t),    slip = a x brake torque + b x acceleration

The force at the tyre is what the brake absorbs plus what accelerates the roller, so both stand in
the fit. An error e of d adds e x d(ln n)/dt, which is the acceleration over the speed: as speed
varies threefold over a sweep, and as the knees (leaving the hold, the lift) are sharp, it can be
told from slip. Least squares, linearised and repeated (Gauss-Newton), samples that fit badly left
out; uncertainty by Newey and West's covariance (Econometrica 55, 1987), as neighbouring residuals
are alike.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.model.pull import Pull, finite
from decode.cadence import silences
from decode.quantities import Quantity
from decode.samples import FloatArray, Samples

WIDEST_S: Final = 1.0  # more than this and the operator sees it himself
GRID_S: Final = 0.02  # of the common time base: the rate of a usual roller
COARSE_S: Final = 0.05
BEFORE_S: Final = 2.0  # of the hold, so that the knee of its end is seen
EDGE_S: Final = 0.5  # the lift is kept this long, while the clutch is still closed
HALF_SLOPE_S: Final = 0.12  # over twice this the slope of a speed is taken
ALIKE_S: Final = 0.5  # residuals further apart than this are independent
SHORTEST_S: Final = 1.0
SLOWEST_KM_H: Final = 5.0  # below this a roller does not turn
OUTLIERS: Final = 4.0  # robust standard deviations
ROUNDS: Final = 5  # of Gauss-Newton at most; it has settled to 0.1 ms after three
SETTLED_S: Final = 1e-5  # a hundredth of the least uncertainty
WORST_CONDITION: Final = 1e12  # of normal equations in doubles: beyond it columns are alike
# A fit beyond these is of something else: a slipping clutch, a change of gear, a clipped sensor.
# Sound simulated pulls, spinning wheels among them, stay below 0.2 % and 17 %, and keep 94 %.
LARGEST_SPREAD: Final = 0.01  # of the residual, relative to speed
LARGEST_SLIP: Final = 0.2
LEAST_KEPT: Final = 0.85  # of the samples
WORST_S: Final = 0.3  # an uncertainty larger than this says nothing

# What remains of tyre slip, one standard deviation, by what is known of the force. Simulated cars
# scatter by 1, 2 and 6 ms (tests/benchmarks/clock_offsets.py); real tyres are less simple.
BIAS_FORCE_S: Final = 0.003  # the brake's torque is measured
BIAS_TORQUE_S: Final = 0.005  # only the ECU's own torque
BIAS_UNKNOWN_S: Final = 0.012  # neither
BIAS_NONE_S: Final = 0.001  # both sources measure the same speed: no tyre between

_LOADS: Final = (
    (Quantity.ROLLER_TORQUE, BIAS_FORCE_S),
    (Quantity.WHEEL_TORQUE, BIAS_FORCE_S),
    (Quantity.ENGINE_TORQUE, BIAS_TORQUE_S),
)
_SPEEDS: Final = (Quantity.ENGINE_SPEED, Quantity.ROLLER_SPEED, Quantity.VEHICLE_SPEED)


@dataclass(frozen=True, slots=True)
class Offset:
    """offset_s: positive where the source's times are late against the engine's.

    scatter_s: standard uncertainty by the noise of this pull. bias_s: by what is not known of the
    tyre, the same in every pull.
    """

    source: str
    offset_s: float
    scatter_s: float
    bias_s: float

    @property
    def uncertainty_s(self) -> float:
        """One standard deviation."""
        return float(np.hypot(self.scatter_s, self.bias_s))


@dataclass(frozen=True, slots=True)
class Load:
    """samples: what grows with the force at the tyre. moves: its clock is the other source's."""

    samples: Samples
    moves: bool


def offsets_of(pull: Pull) -> list[Offset]:
    """Of every source beside the engine's that carries a speed, where it can be told."""
    engine_name = next(iter(pull.named(Quantity.ENGINE_SPEED)), None)
    engine = pull.first(Quantity.ENGINE_SPEED)
    if engine_name is None or engine is None:
        return []
    home = pull.channels[engine_name].source
    found = (_of_source(pull, engine, home, other) for other in _speeds_elsewhere(pull, home))
    return [offset for offset in found if offset is not None]


def _speeds_elsewhere(pull: Pull, home: str) -> list[str]:
    """One channel of a speed for each other source, the likest to the engine's first."""
    names: dict[str, str] = {}
    for quantity in _SPEEDS:
        for name in pull.named(quantity):
            if (source := pull.channels[name].source) and source != home:
                names.setdefault(source, name)
    return list(names.values())


def _of_source(pull: Pull, engine: Samples, home: str, name: str) -> Offset | None:
    channel, other = pull.channels[name], finite(pull.samples[name])
    load, bias_s = _load_of(pull, channel.source, home)
    if channel.quantity is Quantity.ENGINE_SPEED:
        load, bias_s = None, BIAS_NONE_S
    start_s, end_s = pull.bounds.start_s - BEFORE_S, pull.bounds.end_s + EDGE_S
    fitted = estimate(engine, other, load, start_s, end_s)
    return None if fitted is None else Offset(channel.source, *fitted, bias_s)


def _load_of(pull: Pull, source: str, home: str) -> tuple[Load | None, float]:
    for quantity, bias_s in _LOADS:
        for name in pull.named(quantity):
            samples, clock = finite(pull.samples[name]), pull.channels[name].source
            if clock in (source, home) and len(samples) > 1:
                return Load(samples, clock == source), bias_s
    return None, BIAS_UNKNOWN_S


def estimate(
    engine: Samples, other: Samples, load: Load | None, start_s: float, end_s: float
) -> tuple[float, float] | None:
    """Offset and scatter (s) from the stretch between two times of the engine's clock.

    None where there is too little of either speed, where nothing sharp enough happens, or where the
    two do not turn in proportion.
    """
    if len(engine) < 2 or len(other) < 2:
        return None
    fit = _Fit(engine, other, load, start_s, end_s)
    if (near_s := fit.coarse()) is None or (solved := _settled(fit, near_s)) is None:
        return None
    variance = _first_variance(solved.columns, solved.residual)
    if variance is None or variance >= WORST_S**2 or abs(solved.offset_s) >= WIDEST_S:
        return None
    return solved.offset_s, float(np.sqrt(variance))


@dataclass(frozen=True, slots=True)
class _Solved:
    """What one round found, and what it fitted by what, outliers left out."""

    offset_s: float
    columns: FloatArray
    residual: FloatArray


def _settled(fit: "_Fit", offset_s: float) -> _Solved | None:
    for _ in range(ROUNDS):
        solved = fit.solve(offset_s)
        if solved is None or abs(solved.offset_s - offset_s) < SETTLED_S:
            break
        offset_s = solved.offset_s
    return solved


@dataclass(frozen=True)
class _Fit:
    engine: Samples
    other: Samples
    load: Load | None
    start_s: float
    end_s: float

    def _base(self, earliest_s: float, latest_s: float) -> FloatArray:
        """The times at which both are known for every shift between the two: float64[n]."""
        first = max(self.start_s, self.engine.time_s[0], self.other.time_s[0] - earliest_s)
        last = min(self.end_s, self.engine.time_s[-1], self.other.time_s[-1] - latest_s)
        return np.arange(first, last, GRID_S)

    def coarse(self) -> float | None:
        """The shift of a coarse grid that leaves the least misfit."""
        base = self._base(-WIDEST_S, WIDEST_S)
        if len(base) * GRID_S < SHORTEST_S:
            return None
        if np.interp(base, self.other.time_s, self.other.value).mean() < SLOWEST_KM_H:
            return None
        shifts = np.arange(-WIDEST_S, WIDEST_S + COARSE_S / 2, COARSE_S)
        columns, difference = self._model(base, shifts[:, np.newaxis])
        misfits = np.median(np.abs(_residual(columns, difference)), axis=-1)
        return float(shifts[int(misfits.argmin())])

    def _model(self, base: FloatArray, shift: float | FloatArray) -> tuple[FloatArray, FloatArray]:
        """The columns of the fit (offset error first) and ln n - ln v: float64[..., m, k] and
        float64[..., m], at one shift or, each in a row of its own, at several."""
        n = np.log(np.maximum(np.interp(base, self.engine.time_s, self.engine.value), 1.0))
        speed = np.interp(base + shift, self.other.time_s, self.other.value)
        inner = slice(_HALF, -_HALF)
        causes = [_slope(speed)]
        if self.load is not None:
            moved = base + shift if self.load.moves else base
            force = np.interp(moved, self.load.samples.time_s, self.load.samples.value)
            causes.append(force[..., inner])
        columns = [_slope(n), np.ones(len(n) - 2 * _HALF), *map(_scaled, causes)]
        difference = n - np.log(np.maximum(speed, 0.1))
        return np.stack(np.broadcast_arrays(*columns), axis=-1), difference[..., inner]

    def _seen(self, base: FloatArray, shift: float) -> NDArray[np.bool_]:
        """Where neither speed was interpolated over a silence, within reach of the slope:
        bool[m], as the rows of _model."""
        seen = ~_in_silence(self.engine, base) & ~_in_silence(self.other, base + shift)
        around = np.lib.stride_tricks.sliding_window_view(seen, len(_KERNEL))
        return np.asarray(around.all(axis=-1))

    def solve(self, shift: float) -> _Solved | None:
        """One round at a shift; None where the two do not turn together."""
        base = self._base(shift, shift)
        if len(base) * GRID_S < SHORTEST_S:
            return None
        columns, difference = self._model(base, shift)
        seen = self._seen(base, shift)
        columns, difference = columns[seen], difference[seen]
        if len(difference) * GRID_S < SHORTEST_S:
            return None
        kept = np.ones(len(difference), dtype=bool)
        for _ in range(3):
            solution = np.linalg.lstsq(columns[kept], difference[kept], rcond=None)[0]
            residual = difference - columns @ solution
            spread = 1.4826 * float(np.median(np.abs(residual[kept])))  # of a normal distribution
            kept = np.abs(residual) <= OUTLIERS * max(spread, 1e-9)
        slip = float(np.ptp(columns[:, 2:] @ solution[2:]))
        if spread > LARGEST_SPREAD or slip > LARGEST_SLIP or kept.mean() < LEAST_KEPT:
            return None
        offset_s = float(np.clip(shift + solution[0], -WIDEST_S, WIDEST_S))
        return _Solved(offset_s, columns[kept], residual[kept])


def _in_silence(samples: Samples, time_s: FloatArray) -> NDArray[np.bool_]:
    """Whether each time lies between two samples that are far apart."""
    last = silences(samples.time_s)
    after = np.searchsorted(samples.time_s, time_s, side="right") - 1
    return np.isin(after, last)


def _residual(columns: FloatArray, value: FloatArray) -> FloatArray:
    """What least squares leaves of each row, float64[..., m]. By the normal equations, a hundred
    fits at once: good enough to see which is best."""
    across = np.swapaxes(columns, -1, -2)
    inverse = np.linalg.pinv(across @ columns, rcond=1 / WORST_CONDITION, hermitian=True)
    solution = inverse @ across @ value[..., np.newaxis]
    left: FloatArray = value - (columns @ solution)[..., 0]
    return left


def _scaled(cause: FloatArray) -> FloatArray:
    """Over its own span, which is left as it is where it is nothing."""
    span = np.ptp(cause, axis=-1, keepdims=True)
    return cause / np.where(span > 0.0, span, 1.0)


_HALF: Final = round(HALF_SLOPE_S / GRID_S)
_KERNEL: Final = np.arange(-_HALF, _HALF + 1) / (
    GRID_S * 2.0 * sum(i * i for i in range(_HALF + 1))
)


def _slope(value: FloatArray) -> FloatArray:
    """Of the straight line through the values around each that has them on both sides:
    float64[..., n - 2 x _HALF]."""
    return np.lib.stride_tricks.sliding_window_view(value, len(_KERNEL), axis=-1) @ _KERNEL


def _first_variance(columns: FloatArray, residual: FloatArray) -> float | None:
    """Of the first coefficient; None where the columns do not tell it."""
    normal = columns.T @ columns
    if np.linalg.cond(normal) > WORST_CONDITION:
        return None
    inverse = np.linalg.inv(normal)
    scored: NDArray[np.float64] = columns * residual[:, np.newaxis]
    middle = scored.T @ scored
    lags = round(ALIKE_S / GRID_S)
    for lag in range(1, lags + 1):
        together = scored[lag:].T @ scored[:-lag]
        middle += (1.0 - lag / (lags + 1)) * (together + together.T)
    return max(float((inverse @ middle @ inverse)[0, 0]), 0.0)
