"""From the physics to what a bus delivers: rate, lag, noise, rounding, and faults of sensing."""

import math
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from scipy.signal import lfilter

from analysis.model.findings import Cause
from decode.samples import FloatArray, Samples
from simulators.channels import ChannelSpec
from simulators.faults import Fault

Trace = Mapping[str, FloatArray]
STEPPED: Final = ("gear", "misfire_count", "knock_retard", "ignition")  # held, never between values
LARGEST_CLOCK_OFFSET_S: Final = 0.6


def measure(
    trace: Trace, spec: ChannelSpec, faults: Sequence[Fault], random: np.random.Generator
) -> Samples:
    """One channel as delivered, in order of time."""
    time_s = sample_times(trace["time"], spec, random)
    value = rounded(spec, read(trace, spec, time_s, random))
    samples = Samples(time_s, value)
    for fault in faults:
        if fault.kind is Cause.SENSOR_FAULT and fault.extra.get("channel") == spec.name:
            samples = _broken(samples, fault, random)
        if fault.kind is Cause.CLOCK_OFFSET and spec.source == "dyno":
            offset = fault.number("offset_s", LARGEST_CLOCK_OFFSET_S * fault.severity)
            samples = Samples(samples.time_s + offset, samples.value)
    return samples


def sample_times(clock_s: FloatArray, spec: ChannelSpec, random: np.random.Generator) -> FloatArray:
    """Regular, with a phase of its own and the jitter of a busy sender; ascending."""
    period = 1.0 / spec.rate_hz
    start = clock_s[0] + random.uniform(0.0, period)
    regular = np.arange(start, clock_s[-1], period)
    jitter = np.clip(random.normal(0.0, spec.jitter_s, len(regular)), -0.4 * period, 0.4 * period)
    return np.sort(regular + jitter)


def read(
    trace: Trace, spec: ChannelSpec, time_s: FloatArray, random: np.random.Generator
) -> FloatArray:
    """What the sensor sees at these times: its lag and its noise, not yet rounded."""
    clock_s, signal = trace["time"], trace[spec.signal or spec.name]
    if spec.lag_s > 0.0 and len(clock_s) > 1:
        share = 1.0 - math.exp(-(clock_s[1] - clock_s[0]) / spec.lag_s)
        signal = _lagged(signal, share)
    if spec.name.startswith(STEPPED):
        index = np.searchsorted(clock_s, time_s, side="right") - 1
        value = signal[np.maximum(index, 0)]
    else:
        value = np.interp(time_s, clock_s, signal)
    if spec.noise > 0.0:
        value = value + random.normal(0.0, spec.noise, len(value))
    return np.asarray(value, dtype=np.float64)


def _lagged(signal: FloatArray, share: float) -> FloatArray:
    """First-order lag, settled at the first value; share: of the way gone in one step."""
    settled = [signal[0] * (1.0 - share)]
    return np.asarray(lfilter([share], [1.0, share - 1.0], signal, zi=settled)[0])


def rounded(spec: ChannelSpec, value: FloatArray) -> FloatArray:
    """To the channel's resolution."""
    if spec.resolution <= 0.0:
        return value
    return np.asarray(np.round(value / spec.resolution) * spec.resolution, dtype=np.float64)


def _broken(samples: Samples, fault: Fault, random: np.random.Generator) -> Samples:
    """stuck: at one value from early on. clipped: never above a share of its range. offset: by a
    share of its range. dropout: stretches missing."""
    value = samples.value
    if len(value) == 0:
        return samples
    low, high = float(np.nanmin(value)), float(np.nanmax(value))
    span = max(high - low, 1e-6)
    match fault.extra.get("mode", "stuck"):
        case "stuck":
            from_s = fault.number("from_s", float(samples.time_s[0]))
            stuck = samples.time_s >= from_s
            first = int(np.argmax(stuck)) if stuck.any() else 0
            return Samples(
                samples.time_s, np.where(stuck, fault.number("value", float(value[first])), value)
            )
        case "clipped":
            top = fault.number("value", high - span * 0.5 * fault.severity)
            return Samples(samples.time_s, np.minimum(value, top))
        case "offset":
            return Samples(
                samples.time_s, value + fault.number("value", span * 0.4 * fault.severity)
            )
        case "dropout":
            return _dropped(samples, fault.severity, random)
        case unknown:
            raise ValueError(f"sensor fault of mode {unknown!r}: stuck, clipped, offset or dropout")


def _dropped(samples: Samples, severity: float, random: np.random.Generator) -> Samples:
    """About one stretch in three seconds of 0.2 to 1.2 s, longer when severe."""
    keep = np.ones(len(samples), dtype=bool)
    start, end = float(samples.time_s[0]), float(samples.time_s[-1])
    for at in np.arange(start, end, 3.0) + random.uniform(0.0, 2.0):
        length = 0.2 + 1.0 * severity * random.random()
        keep &= ~((samples.time_s >= at) & (samples.time_s < at + length))
    return Samples(samples.time_s[keep], samples.value[keep])
