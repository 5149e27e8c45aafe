"""Which frame of the demo car's bus carries what; demo_map.yaml is written from this table."""

from typing import Final

from simulators.channels import ChannelSpec, default_channels
from simulators.demo.job import CAR
from simulators.frames import Frame, Signal
from simulators.text_port import DYNO_CHANNELS

BUS: Final = (
    Frame(
        0x310,
        0.010,
        0.0011,
        6,
        (
            Signal("engine_speed", 0, scale=0.25),
            Signal("manifold_pressure", 16, scale=0.05),
            Signal("boost_pressure", 32, scale=0.05, signed=True),
        ),
    ),
    Frame(
        0x312,
        0.020,
        0.0032,
        8,
        (
            Signal("pedal_position", 7, 8, scale=0.4, big_endian=True),
            Signal("throttle_position", 15, 8, scale=0.4, big_endian=True),
            Signal("boost_target", 23, scale=0.1, signed=True, big_endian=True),
            Signal("ignition_timing", 39, scale=0.1, signed=True, big_endian=True),
            Signal("ignition_target", 55, scale=0.1, signed=True, big_endian=True),
        ),
    ),
    Frame(
        0x314,
        0.020,
        0.0074,
        8,
        (
            Signal("knock_retard_1", 0, 8, scale=0.375),
            Signal("knock_retard_2", 8, 8, scale=0.375),
            Signal("knock_retard_3", 16, 8, scale=0.375),
            Signal("knock_retard_4", 24, 8, scale=0.375),
            Signal("knock_level", 32, 12, scale=0.005),
            Signal("wastegate_duty", 44, 10, scale=0.1),
            Signal("injector_duty", 54, 10, scale=0.1),
        ),
    ),
    Frame(
        0x316,
        0.020,
        0.0113,
        8,
        (
            Signal("fuel_pressure_high", 7, scale=10.0, big_endian=True),
            Signal("fuel_pressure_high_target", 23, scale=10.0, big_endian=True),
            Signal("fuel_pressure_low", 39, scale=0.5, big_endian=True),
            Signal("air_mass_flow", 55, scale=0.05, big_endian=True),
        ),
    ),
    Frame(
        0x318,
        0.050,
        0.0175,
        8,
        (
            Signal("engine_torque", 0, scale=0.5, signed=True),
            Signal("torque_request", 16, scale=0.5, signed=True),
            Signal("vehicle_speed", 32, scale=0.01),
            Signal("turbo_speed", 48, scale=10.0),
        ),
    ),
    Frame(
        0x31A,
        0.090,
        0.0211,
        7,
        (
            Signal("coolant_temperature", 8, scale=0.1, offset=-40.0),
            Signal("oil_temperature", 24, scale=0.1, offset=-40.0),
            Signal("intake_air_temperature", 40, scale=0.1, offset=-40.0),
        ),
        page=0,
    ),
    Frame(
        0x31A,
        0.090,
        0.0511,
        7,
        (
            Signal("charge_air_temperature", 8, scale=0.1, offset=-40.0),
            Signal("compressor_outlet_temperature", 24, scale=0.1, offset=-40.0),
            Signal("exhaust_gas_temperature", 40, scale=0.1, offset=-40.0),
        ),
        page=1,
    ),
    Frame(
        0x31A,
        0.090,
        0.0811,
        6,
        (
            Signal("oil_pressure", 8, scale=0.5),
            Signal("battery_voltage", 24, 8, scale=0.1),
            Signal("gear", 32, 4),
            Signal("fuel_pressure_low_target", 36, 12),
        ),
        page=2,
    ),
    Frame(
        0x18FF1200,
        0.100,
        0.0333,
        6,
        (
            Signal("fuel_trim_short", 0, 8, scale=0.25, signed=True),
            Signal("fuel_trim_long", 8, 8, scale=0.25, signed=True),
            Signal("misfire_count", 16),
            Signal("lambda_target", 32, scale=0.001),
        ),
        extended=True,
    ),
)
SPECS: Final[dict[str, ChannelSpec]] = {spec.name: spec for spec in default_channels(CAR)}
DYNO_RATE_HZ: Final = 50.0
LAMBDA_RATE_HZ: Final = 20.0
_HEAD: Final = """\
# The channel map of the demo: an invented car's bus, a dyno controller and a lambda controller
# that send text lines. Written by `python -m simulators.demo.files` from the simulator's own table.
pullwatch_map: 1

lines:
  dyno: {delimiter: ";", decimal: ".", starts_with: "D", clock: {field: 1, unit: s}}
  lambda: {delimiter: ";", decimal: ",", clock: {field: 0, unit: s}}

channels:
"""
_TAIL: Final = """\
  lambda: {quantity: lambda, source: lambda, unit: "1", line: {field: 1}}
  boost_error: {unit: kPa, formula: "boost_pressure - boost_target"}
"""


def map_text() -> str:
    """The channel map that decodes BUS and the two line sources."""
    engine = [_can_entry(frame, signal) for frame in BUS for signal in frame.signals]
    dyno = [
        _line_entry(name, field)
        for field, name in enumerate((name for name, _ in DYNO_CHANNELS), start=2)
    ]
    return _HEAD + "".join(engine + dyno) + _TAIL


def _can_entry(frame: Frame, signal: Signal) -> str:
    spec = SPECS[signal.channel]
    order = "big_endian" if signal.big_endian else "little_endian"
    width = 8 if frame.extended else 3
    can = [
        f"identifier: 0x{frame.identifier:0{width}X}",
        f"start_bit: {signal.start_bit}",
        f"bits: {signal.bits}",
        f"byte_order: {order}",
    ]
    can += ["signed: true"] if signal.signed else []
    can += [f"scale: {signal.scale:g}"] if signal.scale != 1.0 else []
    can += [f"offset: {signal.offset:g}"] if signal.offset else []
    can += ["extended: true"] if frame.extended else []
    if frame.page is not None:
        can.append(f"multiplexer: {{start_bit: 0, bits: 8, equals: {frame.page}}}")
    extra = f"    cylinder: {spec.cylinder}\n" if spec.cylinder else ""
    extra += f"    full_scale: {spec.full_scale:g}\n" if spec.full_scale else ""
    return (
        f"  {spec.name}:\n    quantity: {spec.quantity}\n    source: engine\n"
        f'    unit: "{spec.channel.unit}"\n{extra}    can: {{{", ".join(can)}}}\n'
    )


def _line_entry(name: str, field: int) -> str:
    spec = SPECS[name]
    quantity = f'quantity: {spec.quantity}, source: dyno, unit: "{spec.channel.unit}"'
    return f"  {name}: {{{quantity}, line: {{field: {field}}}}}\n"
