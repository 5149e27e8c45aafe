"""What the overlay draws: for each quantity its lines, pull by pull, in house units."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.model.pull import Pull, finite
from analysis.power.curve import PowerCurve
from analysis.power.sweep import Sweep, sweep_of
from analysis.publish.wording.display import label
from decode.quantities import HOUSE_UNIT, TARGET_OF, Quantity
from decode.samples import FloatArray, Samples

# Shown first where the pulls have them; every other quantity is one pick away.
FIRST_SHOWN: Final = (
    Quantity.BOOST_PRESSURE,
    Quantity.KNOCK_RETARD,
    Quantity.LAMBDA,
    Quantity.CHARGE_AIR_TEMPERATURE,
)
# A curve has at most two points for each pixel of a wide screen: the lowest and the highest there.
WIDEST_PX: Final = 1200
# Where to look for what a check says.
CHART_OF_CHECK: Final = {
    "throttle": Quantity.THROTTLE_POSITION,
    "ignition": Quantity.KNOCK_RETARD,
    "boost": Quantity.BOOST_PRESSURE,
    "turbo": Quantity.COMPRESSOR_OUTLET_TEMPERATURE,
    "air_and_torque": Quantity.AIR_MASS_FLOW,
    "air_temperatures": Quantity.CHARGE_AIR_TEMPERATURE,
    "fuel_supply": Quantity.FUEL_PRESSURE_HIGH,
    "mixture": Quantity.LAMBDA,
    "engine_temperatures": Quantity.COOLANT_TEMPERATURE,
    "drive": Quantity.ROLLER_SPEED,
}


Window = tuple[float, float]  # the part of the axis that is looked at


class Axis(StrEnum):
    """What the overlay is drawn over."""

    ENGINE_SPEED = "engine_speed"
    TIME = "time"


@dataclass(frozen=True, slots=True)
class Line:
    """One curve of one pull: x in rpm or seconds since the sweep began, y in the house unit."""

    name: str
    x: FloatArray
    y: FloatArray
    faint: bool = False  # a target, or a figure that only stands beside the measured one
    thinned: bool = False  # there are more samples than are shown


@dataclass(frozen=True, slots=True)
class Chart:
    """The lines of one quantity, for each pull of the overlay in its order."""

    key: str
    title: str
    house_unit: str
    quantity: Quantity | None
    lines: tuple[tuple[Line, ...], ...]


def charts(
    pulls: list[Pull],
    powers: list[PowerCurve | None],
    axis: Axis,
    wanted: list[Quantity] | None,
    resampled: bool = False,
    window: Window | None = None,
) -> list[Chart]:
    """Power and torque where a dyno was there, then the wanted quantities (default FIRST_SHOWN).

    resampled: over engine speed, on the grid that comparisons use, instead of every sample.
    window: only what lies in it, and so more of the samples there.
    """
    chosen = FIRST_SHOWN if wanted is None else wanted
    present = [quantity for quantity in chosen if quantity in quantities_in(pulls)]
    gridded = resampled and axis is Axis.ENGINE_SPEED
    places = [_Place(pull, axis, sweep_of(pull) if gridded else None, window) for pull in pulls]
    return [
        *_power_charts(pulls, powers, axis),
        *(_quantity_chart(quantity, places) for quantity in present),
    ]


def quantities_in(pulls: list[Pull]) -> list[Quantity]:
    """What can be picked: in any of the pulls, in the order of the closed list."""
    found = {channel.quantity for pull in pulls for channel in pull.channels.values()}
    targets = set(TARGET_OF.values())  # drawn with what they are the target of
    return [quantity for quantity in Quantity if quantity in found and quantity not in targets]


def _power_charts(
    pulls: list[Pull], powers: list[PowerCurve | None], axis: Axis
) -> Iterator[Chart]:
    if not any(powers):
        return
    for what, unit in (("power", "kW"), ("torque", "Nm")):
        lines = tuple(
            tuple(_power_lines(pull, power, axis, what)) if power else ()
            for pull, power in zip(pulls, powers, strict=True)
        )
        yield Chart(what, what.capitalize(), unit, None, lines)


def _power_lines(pull: Pull, power: PowerCurve, axis: Axis, what: str) -> Iterator[Line]:
    """Uncorrected at the wheel first; an engine or corrected figure never stands alone."""
    rpm = power.engine_speed_rpm
    x = rpm if axis is Axis.ENGINE_SPEED else _time_at(pull, rpm)
    wheel, engine = (
        (power.wheel_power_kw, power.engine_power_kw)
        if what == "power"
        else (power.wheel_torque_nm, power.engine_torque_nm)
    )
    yield Line("wheel, uncorrected", x, wheel)
    if engine is not None:
        yield Line(f"engine, uncorrected: {power.loss}", x, engine, faint=True)
    if power.correction.factor != 1.0:
        yield Line(
            f"wheel, {power.correction.standard}",
            x,
            wheel * power.correction.factor,
            faint=True,
        )


def _time_at(pull: Pull, engine_speed_rpm: FloatArray) -> FloatArray:
    """When the sweep passed each speed, in seconds since it began."""
    speed = pull.first(Quantity.ENGINE_SPEED)
    assert speed is not None, "the segmenter makes no pull without engine speed"
    sweep = pull.sweep(speed)
    rising = np.maximum.accumulate(sweep.value)
    return np.interp(engine_speed_rpm, rising, sweep.time_s) - pull.bounds.start_s


@dataclass(frozen=True, slots=True)
class _Place:
    """What a pull is drawn over. sweep: the grid, None where every sample is shown."""

    pull: Pull
    axis: Axis
    sweep: Sweep | None
    window: Window | None

    def line(self, name: str, samples: Samples, faint: bool = False) -> Line:
        """Over engine speed only the sweep is a curve; over time all that was kept is shown."""
        pull = self.pull
        if self.sweep is not None:
            return Line(name, self.sweep.engine_speed_rpm, self.sweep.resample(samples), faint)
        if self.axis is Axis.TIME:
            x, y = samples.time_s - pull.bounds.start_s, samples.value
        else:
            sweep = pull.sweep(samples)
            x, y = pull.engine_speed_at(sweep.time_s), sweep.value
        if self.window is not None:
            inside = _around(x, self.window)
            x, y = x[inside], y[inside]
        kept = thinned(y)
        return Line(name, x[kept], y[kept], faint, len(kept) < len(y))


def _around(x: FloatArray, window: Window) -> slice:
    """The samples from the last before the window to the first after it. A noisy engine speed
    does not quite ascend."""
    inside = np.flatnonzero((x >= window[0]) & (x <= window[1]))
    if not len(inside):
        return slice(0, 0)
    return slice(max(int(inside[0]) - 1, 0), int(inside[-1]) + 2)


def thinned(value: FloatArray) -> NDArray[np.intp]:
    """Indices of what can be seen, ascending: of each of WIDEST_PX stretches of equally many
    samples the lowest and the highest; all where there are no more."""
    if len(value) <= 2 * WIDEST_PX:
        return np.arange(len(value))
    edges = np.linspace(0, len(value), WIDEST_PX + 1).astype(np.intp)
    extremes = [
        low + np.array([np.argmin(part), np.argmax(part)])
        for low, high in pairwise(edges)
        if len(part := value[low:high])
    ]
    return np.unique(np.concatenate(extremes))


def _quantity_chart(quantity: Quantity, places: list[_Place]) -> Chart:
    alone = len(places) == 1
    lines = tuple(tuple(_quantity_lines(place, quantity, alone)) for place in places)
    return Chart(quantity.value, label(quantity), HOUSE_UNIT[quantity], quantity, lines)


def _quantity_lines(place: _Place, quantity: Quantity, alone: bool) -> Iterator[Line]:
    pull = place.pull
    cylinders = pull.per_cylinder(quantity)
    if cylinders and alone:
        for cylinder, samples in cylinders.items():
            yield place.line(f"cylinder {cylinder}", samples)
    elif cylinders:
        yield place.line("worst cylinder", _worst(list(cylinders.values())))
    else:
        for name in pull.named(quantity)[:1]:
            yield place.line("measured", finite(pull.samples[name]))
    if quantity in TARGET_OF and (target := pull.first(TARGET_OF[quantity])) is not None:
        yield place.line("target", target, faint=True)


def _worst(cylinders: list[Samples]) -> Samples:
    """The highest of all cylinders at the times of the first."""
    time_s = cylinders[0].time_s
    held = [np.interp(time_s, one.time_s, one.value) for one in cylinders if len(one)]
    return Samples(time_s, np.max(held, axis=0))
