"""What one channel looks like right now, and what is suspicious about it. It judges no engine."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.checks.channel_faults import CLIPPABLE
from analysis.checks.plausible import ALWAYS_MOVING, POSSIBLE
from analysis.model.pull import finite
from decode.cadence import SILENT_PERIODS, period_s
from decode.naming import ATMOSPHERE_KPA, GAUGE_IN_NAME_ONLY
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, FloatArray, Samples

LOOK_BACK_S: Final = 10.0  # of samples are judged: long enough to blip the throttle
SHORTEST_SILENCE_S: Final = 1.0
FEWEST: Final = 10  # samples that can be called constant or clipped
# share of the samples at exactly the highest value of a channel that moves in fine steps
CLIPPED_SHARE: Final = 0.15
FINE_STEPS: Final = 20  # distinct values; a coarser channel rests at its top by rounding alone
WRONG_SHARE: Final = 0.5  # of the values outside what can be: not a spike, a wrong map

# never below zero by more than noise in a running engine: a negative one was mapped unsigned for
# signed, or counts the other way round
NEVER_NEGATIVE: Final = frozenset(
    {
        Quantity.ENGINE_SPEED,
        Quantity.KNOCK_RETARD,
        Quantity.PEDAL_POSITION,
        Quantity.THROTTLE_POSITION,
        Quantity.MANIFOLD_PRESSURE,
        Quantity.BAROMETRIC_PRESSURE,
        Quantity.OIL_PRESSURE,
        Quantity.FUEL_PRESSURE_LOW,
        Quantity.FUEL_PRESSURE_HIGH,
        Quantity.INJECTOR_DUTY,
        Quantity.AIR_MASS_FLOW,
        Quantity.TURBO_SPEED,
        Quantity.VEHICLE_SPEED,
        Quantity.ROLLER_SPEED,
        Quantity.ROLLER_TORQUE,
        Quantity.LAMBDA,
    }
)
NOISE_SHARE: Final = 0.05  # of the span of what can be; less below zero is noise


@dataclass(frozen=True, slots=True)
class ChannelState:
    """value: the newest known one, NaN where there is none. age_s: since it came. suspicions: in
    words, the gravest first."""

    value: float
    rate_hz: float
    age_s: float
    suspicions: tuple[str, ...]


def judge(
    channel: Channel, samples: Samples, now_s: float, look_back_s: float = LOOK_BACK_S
) -> ChannelState:
    """Judge a channel by its samples of the last look_back_s before now_s (session seconds)."""
    recent = samples.between(now_s - look_back_s, np.inf)
    known = finite(recent)
    if not len(recent):
        return ChannelState(np.nan, 0.0, np.inf, ("silent: nothing came",))
    age_s = max(now_s - float(recent.time_s[-1]), 0.0)
    rate_hz = _rate_hz(recent.time_s)
    suspicions = _silent(recent.time_s, age_s)
    if not len(known):
        return ChannelState(np.nan, rate_hz, age_s, (*suspicions, "not available: says no value"))
    for look in (_wrong_sign, _impossible, _as_if_absolute, _constant, _clipped):
        suspicions += look(channel, known.value)
    return ChannelState(float(known.value[-1]), rate_hz, age_s, tuple(suspicions))


def _rate_hz(time_s: FloatArray) -> float:
    """By the spacing of the samples, so that a channel that fell silent keeps its rate."""
    span = float(time_s[-1] - time_s[0])
    return (len(time_s) - 1) / span if span > 0.0 else 0.0


def _silent(time_s: FloatArray, age_s: float) -> list[str]:
    if age_s <= max(SHORTEST_SILENCE_S, SILENT_PERIODS * period_s(time_s)):
        return []
    return [f"silent for {age_s:.1f} s"]


def _wrong_sign(channel: Channel, value: FloatArray) -> list[str]:
    if channel.quantity not in NEVER_NEGATIVE:
        return []
    low, high = POSSIBLE.get(channel.quantity, (0.0, float(np.abs(value).max())))
    negative = value < -NOISE_SHARE * (high - max(low, 0.0))
    if not negative.any():
        return []
    return [f"wrong sign? {float(value.min()):.4g} {channel.unit} in {_share(negative)} of samples"]


def _impossible(channel: Channel, value: FloatArray) -> list[str]:
    if channel.quantity is None or channel.quantity not in POSSIBLE:
        return []
    low, high = POSSIBLE[channel.quantity]
    wrong = (value < low) | (value > high)
    if not wrong.any():
        return []
    worst = value[wrong][np.abs(value[wrong]).argmax()]
    hint = "; scale, offset or unit?" if wrong.mean() > WRONG_SHARE else ""
    unit = HOUSE_UNIT[channel.quantity]
    return [f"impossible: {worst:.4g} {unit}, {low:g} to {high:g} can be{hint}"]


def _as_if_absolute(channel: Channel, value: FloatArray) -> list[str]:
    """An engine that idles draws its manifold below the air's pressure."""
    if channel.quantity not in GAUGE_IN_NAME_ONLY or value.min() <= ATMOSPHERE_KPA:
        return []
    return [f"never below {value.min():.4g} kPa, as if absolute: is it manifold_pressure?"]


def _constant(channel: Channel, value: FloatArray) -> list[str]:
    if len(value) < FEWEST or np.ptp(value) > 0.0:
        return []
    if channel.quantity in ALWAYS_MOVING and value[0] != 0.0:
        return [f"constant at {value[0]:g}: must move while the engine runs"]
    return [f"constant at {value[0]:g}"]


def _clipped(channel: Channel, value: FloatArray) -> list[str]:
    """Of what must move alone: a pedal rests at its ends, and so may what nobody has named."""
    if channel.quantity not in CLIPPABLE or len(value) < FEWEST:
        return []
    if len(np.unique(value)) < FINE_STEPS:
        return []
    for word, end in (("top", value.max()), ("bottom", value.min())):
        at_end = value == end
        if end != 0.0 and at_end.mean() > CLIPPED_SHARE:  # a roller at rest is at zero
            return [f"clipped? at exactly {end:g}, its {word}, in {_share(at_end)} of samples"]
    return []


def _share(which: NDArray[np.bool_]) -> str:
    return f"{100.0 * float(which.mean()):.0f} %"
