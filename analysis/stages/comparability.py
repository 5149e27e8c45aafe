"""What else differed between two stages: reasons to doubt that the change did it."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np

from analysis.model.pull import Pull
from analysis.model.setup import Standard
from analysis.phrases.say import amount, count, in_line, say
from analysis.phrases.statement import Amount, Joint, Statement
from analysis.power.smoothing import local_polynomial
from analysis.stages.curves import Run
from decode.quantities import Quantity
from decode.samples import Samples

GEAR_SHARE: Final = 0.05  # engine to roller speed: gears are further apart, slip is nearer
SLIP_IN_PULL: Final = 0.05  # of ratio, risen within a pull: more than a tyre creeps under load
SLIP_WINDOW_S: Final = 0.4  # over which the ratio is taken
ROLLING_KMH: Final = 20.0  # below this one step of a speed is several per cent
SLIP_SHARE: Final = 0.01  # 1 % of ratio is 1 % of torque read from roller speed
TEMPERATURE_K: Final = 5.0  # of intake air: about 1 % of power (ISO 1585: 0.2 % a kelvin)
FACTOR_SHARE: Final = 0.005  # half a percent of corrected power
RAMP_SHARE: Final = 0.2  # of rpm/s
ENGINE_INERTIA_KG_M2: Final = 0.15  # a typical four-cylinder with flywheel; common practice
START_WINDOW_S: Final = 1.0  # the state the pull starts in is read over this long

TEMPERATURES: Final = {
    Quantity.INTAKE_AIR_TEMPERATURE: "differed-intake-air-at-start",
    Quantity.CHARGE_AIR_TEMPERATURE: "differed-charge-air-at-start",
    Quantity.COOLANT_TEMPERATURE: "differed-coolant-at-start",
    Quantity.OIL_TEMPERATURE: "differed-oil-at-start",
}


@dataclass(frozen=True, slots=True)
class Means:
    """One number of each stage."""

    baseline: float
    changed: float

    @property
    def share(self) -> float:
        """How much larger the changed stage's is, as a share."""
        return self.changed / self.baseline - 1


def gear_ratio(pull: Pull) -> float | None:
    """Engine rpm per km/h of the roller (of the car where no roller is seen), median of the pull.

    Constant within a gear; None where neither speed is measured.
    """
    ratio = _ratios(pull, 1.0)  # km/h; a standing roller has no ratio
    return None if ratio is None else float(np.median(ratio.value))


def _ratios(pull: Pull, faster_than_kmh: float) -> Samples | None:
    """The ratio through the sweep, where the wheels turn; None where they never do."""
    speed = pull.first(Quantity.ROLLER_SPEED) or pull.first(Quantity.VEHICLE_SPEED)
    if speed is None:
        return None
    inside = pull.sweep(speed)
    turning = inside.value > faster_than_kmh
    if not turning.any():
        return None
    time_s = inside.time_s[turning]
    return Samples(time_s, pull.engine_speed_at(time_s) / inside.value[turning])


def slip_in_pull(pull: Pull) -> float:
    """How far the ratio rises over the lowest before it, as a share: slip of tyre or clutch. A
    converter that locks lowers it. 0 where it cannot be told."""
    ratio = _ratios(pull, ROLLING_KMH)
    if ratio is None:
        return 0.0
    smooth, _ = local_polynomial(ratio, ratio.time_s, SLIP_WINDOW_S, 1)
    return float(np.nan_to_num(smooth / np.minimum.accumulate(smooth) - 1.0).max())


def ramp_rpm_s(run: Run) -> float | None:
    """Mean rate at which the pull climbs; None for a sweep without two grid points."""
    time_s, rpm = run.sweep.time_s, run.sweep.engine_speed_rpm
    if len(time_s) < 2:
        return None
    return float((rpm[-1] - rpm[0]) / (time_s[-1] - time_s[0]))


def engine_inertia_torque_nm(inertia_kg_m2: float, ramp_rpm_s: float) -> float:
    """What the engine keeps to turn itself up: J alpha."""
    return inertia_kg_m2 * ramp_rpm_s * float(np.pi) / 30


def doubts(baseline: Sequence[Run], changed: Sequence[Run]) -> tuple[Statement, ...]:
    """One statement for every condition that differed enough to matter."""
    found = [
        _ratio(_means(baseline, changed, lambda run: gear_ratio(run.pull))),
        _ramp(_means(baseline, changed, ramp_rpm_s)),
        _air(baseline, changed),
        _method([*baseline, *changed]),
        *_slips(baseline, changed),
        *_temperatures(baseline, changed),
    ]
    return tuple(statement for statement in found if statement is not None)


def _ratio(ratio: Means | None) -> Statement | None:
    if ratio is None or abs(ratio.share) < SLIP_SHARE:
        return None
    key = "differed-gear" if abs(ratio.share) > GEAR_SHARE else "differed-slip"
    return say(key, change=_percent(ratio.share))


def _slips(baseline: Sequence[Run], changed: Sequence[Run]) -> Iterator[Statement]:
    keys = ("differed-slip-in-pull-of-first", "differed-slip-in-pull-of-second")
    for key, runs in zip(keys, (baseline, changed), strict=True):
        for run in runs:
            if (slip := slip_in_pull(run.pull)) > SLIP_IN_PULL:
                yield say(key, slip=amount(100 * slip, "%"), pull=count(run.pull.number))


def _method(runs: Sequence[Run]) -> Statement | None:
    methods = {run.curve.method.text: run.curve.method for run in runs if run.curve is not None}
    if len(methods) < 2:
        return None
    every = in_line([methods[text] for text in sorted(methods)], Joint.SEMICOLON)
    return say("differed-method", methods=every)


def _ramp(ramp: Means | None) -> Statement | None:
    if ramp is None or abs(ramp.share) < RAMP_SHARE:
        return None
    kept_nm = engine_inertia_torque_nm(ENGINE_INERTIA_KG_M2, ramp.changed - ramp.baseline)
    return say(
        "differed-ramp",
        before=amount(ramp.baseline, "rpm/s"),
        after=amount(ramp.changed, "rpm/s"),
        inertia=amount(ENGINE_INERTIA_KG_M2, "kg m2", 2),
        kept=amount(kept_nm, "Nm", 1, signed=True),
    )


def _air(baseline: Sequence[Run], changed: Sequence[Run]) -> Statement | None:
    """By ISO 1585, whatever the station chose: it says how far apart the air was. By DIN 70020
    where humidity is not known, for it asks for none. Nothing where no power is compared."""
    runs = (*baseline, *changed)
    if any(run.curve is None for run in runs):
        return None
    for standard in (Standard.ISO_1585, Standard.DIN_70020):
        if all(_factor(standard, run) is not None for run in runs):
            return _factors(standard, _means(baseline, changed, partial(_factor, standard)))
    return say("differed-air-unknown")


def _factors(standard: Standard, factor: Means | None) -> Statement | None:
    if factor is None or abs(factor.share) < FACTOR_SHARE:
        return None
    return say(
        "differed-air",
        standard=str(standard),
        change=_percent(factor.share),
        before=amount(factor.baseline, "1", 3),
        after=amount(factor.changed, "1", 3),
    )


def _percent(share: float) -> Amount:
    return amount(100 * share, "%", 1, signed=True)


def _factor(standard: Standard, run: Run) -> float | None:
    others = () if run.curve is None else run.curve.other_corrections
    return next((o.factor for o in others if o.standard is standard and o.has_factor), None)


def _temperatures(baseline: Sequence[Run], changed: Sequence[Run]) -> Iterator[Statement]:
    """Stage against stage where each pull starts, and heat soak from pull to pull in a stage."""
    for quantity, key in TEMPERATURES.items():
        start = _means(baseline, changed, partial(_at_start, quantity))
        if start is not None and abs(start.changed - start.baseline) >= TEMPERATURE_K:
            before, after = amount(start.baseline, "degC"), amount(start.changed, "degC")
            yield say(key, before=before, after=after)
    keys = ("differed-heat-soak-in-first", "differed-heat-soak-in-second")
    for key, runs in zip(keys, (baseline, changed), strict=True):
        soak = _soak_k(runs)
        if soak >= TEMPERATURE_K:
            yield say(key, hotter=amount(soak, "K"))


def _soak_k(runs: Sequence[Run]) -> float:
    first = _at_start(Quantity.INTAKE_AIR_TEMPERATURE, runs[0])
    last = _at_start(Quantity.INTAKE_AIR_TEMPERATURE, runs[-1])
    return 0.0 if first is None or last is None else last - first


def _at_start(quantity: Quantity, run: Run) -> float | None:
    samples = run.pull.first(quantity)
    if samples is None:
        return None
    start_s = run.pull.bounds.start_s
    window = samples.between(start_s - START_WINDOW_S, start_s + START_WINDOW_S)
    return float(np.median(window.value)) if len(window) else None


def _means(
    baseline: Sequence[Run], changed: Sequence[Run], of: Callable[[Run], float | None]
) -> Means | None:
    """The stages' means of one number; None where a stage has none of it."""
    before = [value for run in baseline if (value := of(run)) is not None]
    after = [value for run in changed if (value := of(run)) is not None]
    if not before or not after:
        return None
    return Means(float(np.mean(before)), float(np.mean(after)))
