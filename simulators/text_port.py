"""Text lines of devices with a clock of their own: dyno controller, wideband lambda controller."""

from collections.abc import Mapping

import numpy as np

from decode.samples import FloatArray
from simulators.channels import ChannelSpec
from simulators.sensors import Trace, read

DYNO_CHANNELS = (
    ("roller_speed", "{:.3f}"),
    ("roller_torque", "{:.2f}"),
    ("ambient_temperature", "{:.1f}"),
    ("barometric_pressure", "{:.2f}"),
    ("relative_humidity", "{:.0f}"),
)


def regular_times(start_s: float, end_s: float, rate_hz: float) -> FloatArray:
    """Whole multiples of the period in start_s <= time < end_s, to the millisecond."""
    first, last = (int(np.ceil(t * rate_hz - 1e-9)) for t in (start_s, end_s))
    return np.round(np.arange(first, last) / rate_hz, 3)


def dyno_lines(
    trace: Trace, specs: Mapping[str, ChannelSpec], time_s: FloatArray, random: np.random.Generator
) -> list[bytes]:
    """D;seconds;km/h;Nm;degC;kPa;% with decimal points."""
    columns = [read(trace, specs[name], time_s, random).tolist() for name, _ in DYNO_CHANNELS]
    form = "D;{:.3f};" + ";".join(form for _, form in DYNO_CHANNELS) + "\r\n"
    return [form.format(*row).encode() for row in zip(time_s.tolist(), *columns, strict=True)]


def lambda_lines(
    trace: Trace, spec: ChannelSpec, time_s: FloatArray, random: np.random.Generator
) -> list[bytes]:
    """seconds;lambda with decimal commas, as a device made where the comma is used."""
    values = read(trace, spec, time_s, random).tolist()
    return [
        f"{at:.3f};{value:.3f}\r\n".replace(".", ",").encode()
        for at, value in zip(time_s.tolist(), values, strict=True)
    ]
