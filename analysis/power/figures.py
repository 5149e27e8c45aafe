"""The figures of a pull that people quote, each with its expanded uncertainty at 95 %.

Computed where they are shown, from the stored curve, the samples and the set-up of the pull: a
tolerance that somebody learns later changes no document that was signed.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

import numpy as np

from analysis.model.plain_arrays import PlainArray
from analysis.model.pull import Pull
from analysis.model.setup import Air, Dyno, LossConvention, Setup
from analysis.phrases.statement import Statement
from analysis.power.air import aspiration_of
from analysis.power.correction import correction
from analysis.power.credible import doubt_of
from analysis.power.curve import PowerCurve
from analysis.power.peaks import Peak, peak_of
from analysis.power.rollers import WheelPower, wheel_power
from analysis.power.sweep import smoothing_window_s, sweep_of
from analysis.power.tolerances import Influence, Origin, tolerance
from analysis.power.uncertainty import Contribution, Uncertainty, combined, expanded, of_tolerance
from decode.samples import FloatArray


class Measure(StrEnum):
    """What a figure is of."""

    WHEEL_POWER = "wheel_power"
    WHEEL_TORQUE = "wheel_torque"
    ENGINE_POWER = "engine_power"
    ENGINE_TORQUE = "engine_torque"
    CORRECTED_POWER = "corrected_power"  # at the wheel, by the station's standard


TORQUES: Final = (Measure.WHEEL_TORQUE, Measure.ENGINE_TORQUE)
ENGINE: Final = (Measure.ENGINE_POWER, Measure.ENGINE_TORQUE)


@dataclass(frozen=True, slots=True)
class Figure:
    """A peak. half_width: expanded uncertainty at 95 %, in the unit; None where nothing is known of
    how the figure was measured. uncertainty: the same in per cent, with its budget."""

    measure: Measure
    value: float
    unit: str
    engine_speed_rpm: float
    half_width: float | None
    uncertainty: Uncertainty | None


@dataclass(frozen=True, slots=True)
class UncertainCurve:
    """Wheel power with the half-width of each point by itself, float64[n]."""

    engine_speed_rpm: PlainArray
    wheel_power_kw: PlainArray
    half_width_kw: PlainArray


@dataclass(frozen=True, slots=True)
class PowerFigures:
    """The peaks of one pull. doubt: why no engine makes this, None where one does."""

    peaks: tuple[Figure, ...]
    doubt: Statement | None

    def of(self, measure: Measure) -> Figure | None:
        """One of them; None where the pull has none."""
        return next((figure for figure in self.peaks if figure.measure is measure), None)


def power_figures(pull: Pull, curve: PowerCurve, setup: Setup) -> PowerFigures:
    """Every peak of the curve. setup: by which the pull was judged."""
    figures = tuple(_figures(pull, curve, setup))
    return PowerFigures(figures, doubt_of(pull, setup.car, *_peak_power(figures)))


def _peak_power(figures: Sequence[Figure]) -> tuple[float, float]:
    wheel = figures[0]
    return wheel.value, wheel.engine_speed_rpm


def _figures(pull: Pull, curve: PowerCurve, setup: Setup) -> Iterator[Figure]:
    measured = _measured(pull, setup.dyno)
    noise = 0.0 if measured is None else measured.noise
    for measure, values in _curves(curve).items():
        if not np.isfinite(values).any():
            continue
        peak = peak_of(curve.engine_speed_rpm, values, noise)
        found = (
            None
            if measured is None
            else combined(
                [
                    *_measuring(measure, measured, curve, setup.dyno, peak),
                    *(_weather(pull, curve, setup) if measure is Measure.CORRECTED_POWER else ()),
                    Contribution(Influence.READINGS, 100 * measured.noise, Origin.MEASURED),
                ]
            )
        )
        yield _figure(measure, peak.value, peak.engine_speed_rpm, found)


def _figure(measure: Measure, value: float, rpm: float, found: Uncertainty | None) -> Figure:
    half_width = None if found is None else value * found.expanded_percent / 100
    return Figure(measure, value, "Nm" if measure in TORQUES else "kW", rpm, half_width, found)


def _curves(curve: PowerCurve) -> dict[Measure, FloatArray]:
    known = {
        Measure.WHEEL_POWER: curve.wheel_power_kw,
        Measure.WHEEL_TORQUE: curve.wheel_torque_nm,
        Measure.ENGINE_POWER: curve.engine_power_kw,
        Measure.ENGINE_TORQUE: curve.engine_torque_nm,
        Measure.CORRECTED_POWER: curve.wheel_power_kw * curve.correction.factor
        if curve.correction.factor != 1.0
        else None,
    }
    return {measure: values for measure, values in known.items() if values is not None}


def _measured(pull: Pull, dyno: Dyno) -> WheelPower | None:
    sweep = sweep_of(pull)
    if len(sweep.time_s) < 2:
        return None
    return wheel_power(pull, dyno, sweep.time_s, smoothing_window_s(pull))


def _measuring(
    measure: Measure, measured: WheelPower, curve: PowerCurve, dyno: Dyno, peak: Peak
) -> Iterator[Contribution]:
    """What the dyno contributes at the peak, and the loss that is added for an engine figure."""
    at_wheel, lost = _shares(measure, curve, peak)
    for influence, sensitivity in measured.sensitivity.items():
        here = float(sensitivity[min(peak.index, len(sensitivity) - 1)])
        if influence is Influence.ENGINE_SPEED and measure in TORQUES:
            continue  # power was made of torque with it, and torque is made of power with it again
        known = tolerance(dyno, influence)
        yield of_tolerance(influence, known.value, known.origin, here * at_wheel)
    if measure in TORQUES and Influence.ENGINE_SPEED not in measured.sensitivity:
        known = tolerance(dyno, Influence.ENGINE_SPEED)
        yield of_tolerance(Influence.ENGINE_SPEED, known.value, known.origin)
    if lost:
        known = tolerance(dyno, Influence.LOSS)
        yield of_tolerance(Influence.LOSS, known.value, known.origin, lost)
    if np.isfinite(curve.peak_shift):
        yield of_tolerance(Influence.SMOOTHING, abs(100 * curve.peak_shift), Origin.MEASURED)


def _shares(measure: Measure, curve: PowerCurve, peak: Peak) -> tuple[float, float]:
    """By how many per cent the figure changes with one per cent of wheel power, and of the loss."""
    if measure not in ENGINE or curve.engine_power_kw is None:
        return 1.0, 0.0
    ratio = float(curve.wheel_power_kw[peak.index] / curve.engine_power_kw[peak.index])
    if curve.loss is LossConvention.COAST_DOWN:
        return ratio, 1.0 - ratio
    if curve.loss is LossConvention.PERCENT_OF_ENGINE_LOST:
        return 1.0, 1.0 / ratio - 1.0
    return 1.0, 1.0 - ratio


def _weather(pull: Pull, curve: PowerCurve, setup: Setup) -> Iterator[Contribution]:
    """What the air's tolerances do to the correction: the factor's own slopes."""
    air, factor = curve.correction.air, curve.correction.factor
    rpm = float(curve.engine_speed_rpm[np.nanargmax(curve.wheel_power_kw)])
    aspiration = aspiration_of(pull, setup.car, rpm, air)
    for influence, name in (
        (Influence.PRESSURE, "barometric_kpa"),
        (Influence.TEMPERATURE, "temperature_degc"),
        (Influence.HUMIDITY, "relative_humidity_percent"),
    ):
        value, known = getattr(air, name), tolerance(setup.dyno, influence)
        if value is not None and known.value > 0:
            other: Air = replace(air, **{name: value - known.value})
            moved = correction(curve.correction.standard, other, setup.car, aspiration).factor
            yield of_tolerance(influence, 100 * abs(moved / factor - 1), known.origin)


def uncertain_curve(pull: Pull, curve: PowerCurve, setup: Setup) -> UncertainCurve | None:
    """Wheel power point by point; None where nothing is known of how it was measured."""
    measured = _measured(pull, setup.dyno)
    if measured is None or len(measured.power_kw) != len(curve.wheel_power_kw):
        return None  # a curve that another version has stored
    points = len(curve.wheel_power_kw)
    parts = [
        (
            Contribution(influence, 0.0, Origin.COMMON_PRACTICE),
            of_tolerance(
                influence, tolerance(setup.dyno, influence).value, Origin.COMMON_PRACTICE
            ).standard_percent
            * np.abs(sensitivity),
        )
        for influence, sensitivity in measured.sensitivity.items()
    ]
    noise = Contribution(Influence.READINGS, 0.0, Origin.MEASURED)
    parts.append((noise, np.full(points, 100 * measured.noise)))
    percent = expanded([part for part, _ in parts], np.array([each for _, each in parts]))
    return UncertainCurve(
        curve.engine_speed_rpm, curve.wheel_power_kw, curve.wheel_power_kw * percent / 100
    )


def of_stage(
    measure: Measure, stage: Sequence[PowerFigures], job: Sequence[Sequence[PowerFigures]]
) -> Figure | None:
    """The mean of a stage's peaks. How its pulls differ (type A) is that of all stages of the job,
    each about its own mean; with one pull a stage nothing is known of that, and the scatter of its
    readings stands for it. What all pulls share (type B) does not become less with their number."""
    mine = _known(measure, stage)
    if not mine:
        return None
    value = float(np.mean([figure.value for figure in mine]))
    rpm = float(np.mean([figure.engine_speed_rpm for figure in mine]))
    first = mine[0].uncertainty
    if first is None:
        return _figure(measure, value, rpm, None)
    shared = [part for part in first.budget if part.influence is not Influence.READINGS]
    spread, freedom = _spread([_known(measure, each) for each in job])
    if freedom:
        runs = Contribution(Influence.RUNS, spread / len(mine) ** 0.5, Origin.MEASURED, freedom)
        return _figure(measure, value, rpm, combined([*shared, runs]))
    return _figure(measure, value, rpm, first)


def _known(measure: Measure, figures: Sequence[PowerFigures]) -> list[Figure]:
    return [figure for each in figures if (figure := each.of(measure)) is not None]


def _spread(stages: Sequence[Sequence[Figure]]) -> tuple[float, int]:
    """Standard deviation of single runs in per cent, pooled, and its degrees of freedom."""
    groups = [np.array([figure.value for figure in stage]) for stage in stages if stage]
    freedom = sum(len(group) - 1 for group in groups)
    squares = sum(float(np.sum((100 * (group / group.mean() - 1)) ** 2)) for group in groups)
    return (squares / freedom) ** 0.5 if freedom else 0.0, freedom
