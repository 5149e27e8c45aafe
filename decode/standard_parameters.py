"""The parameters of SAE J1979 (ISO 15031-5) service 0x01 that matter in a pull.

Layout and scale from the published tables of the standard. From parameter 0x64 on most begin with a
byte of support bits: a value whose bit is not set is not there, whatever its bytes say. Parameters
0x4F and 0x50 may rescale others (see `FullScale`).
"""

from dataclasses import dataclass
from enum import Enum
from typing import Final

from decode.bit_fields import BitField
from decode.field_groups import Selector


class FullScale(Enum):
    """A value whose full scale the ECU may set: (parameter, byte, unit of the byte, default)."""

    EQUIVALENCE_RATIO = (0x4F, 0, 1.0, 2.0)
    OXYGEN_VOLTAGE = (0x4F, 1, 1.0, 8.0)
    OXYGEN_CURRENT = (0x4F, 2, 1.0, 128.0)
    MANIFOLD_PRESSURE = (0x4F, 3, 10.0, 255.0)
    AIR_MASS_FLOW = (0x50, 0, 10.0, 655.35)


@dataclass(frozen=True, slots=True)
class Value:
    """One value of a parameter: value = scale x the big endian number + offset.

    first_byte: the standard's byte A is 0. support: the bit of byte A that must be set; 0 where
    the parameter has no support bits.
    """

    unit: str
    first_byte: int = 0
    size: int = 1
    scale: float = 1.0
    offset: float = 0.0
    support: int = 0
    full_scale: FullScale | None = None

    def field(self, factor: float = 1.0, offset: float = 0.0) -> BitField:
        """Where it lies among the parameter's bytes; factor and offset convert its unit."""
        return BitField(
            start_bit=8 * self.first_byte + 7,
            bits=8 * self.size,
            big_endian=True,
            scale=self.scale * factor,
            offset=self.offset * factor + offset,
        )

    def selectors(self) -> tuple[Selector, ...]:
        """The support bit as a condition."""
        if not self.support:
            return ()
        return (Selector(BitField(self.support.bit_length() - 1, 1), (1,)),)


@dataclass(frozen=True, slots=True)
class Parameter:
    """name: in the words of the standard. size: bytes in the response. values: by name, "" where
    there is only one."""

    name: str
    size: int
    values: dict[str, Value]


def _one(
    name: str,
    unit: str,
    size: int = 1,
    scale: float = 1.0,
    offset: float = 0.0,
    full_scale: FullScale | None = None,
) -> Parameter:
    return Parameter(name, size, {"": Value(unit, 0, size, scale, offset, 0, full_scale)})


def _row(
    name: str, unit: str, values: str, size: int = 1, scale: float = 1.0, offset: float = 0.0
) -> Parameter:
    """Values of one size in a row behind a byte of support bits, one bit each."""
    names = values.split()
    return Parameter(
        name,
        1 + size * len(names),
        {
            value: Value(unit, 1 + size * i, size, scale, offset, support=1 << i)
            for i, value in enumerate(names)
        },
    )


_PERCENT: Final = 100 / 255  # one byte, 0 to 100 %
_TRIM: Final = 100 / 128  # one byte, -100 to 99.2 %
_RATIO: Final = 2 / 65536  # two bytes, 0 to 2
_THIRTY_SECOND: Final = 1 / 32


def _oxygen_voltage(sensor: int) -> Parameter:
    return Parameter(
        f"oxygen sensor {sensor}, wide range",
        4,
        {
            "lambda": Value("1", 0, 2, _RATIO, full_scale=FullScale.EQUIVALENCE_RATIO),
            "voltage": Value("V", 2, 2, 8 / 65536, full_scale=FullScale.OXYGEN_VOLTAGE),
        },
    )


def _oxygen_current(sensor: int) -> Parameter:
    return Parameter(
        f"oxygen sensor {sensor}, wide range",
        4,
        {
            "lambda": Value("1", 0, 2, _RATIO, full_scale=FullScale.EQUIVALENCE_RATIO),
            "current": Value("mA", 2, 2, 1 / 256, -128.0, full_scale=FullScale.OXYGEN_CURRENT),
        },
    )


def _turbo_temperatures(turbo: str) -> Parameter:
    return Parameter(
        f"turbocharger {turbo} temperature",
        7,
        {
            "compressor_inlet": Value("degC", 1, 1, 1.0, -40.0, 0x01),
            "compressor_outlet": Value("degC", 2, 1, 1.0, -40.0, 0x02),
            "turbine_inlet": Value("degC", 3, 2, 0.1, -40.0, 0x04),
            "turbine_outlet": Value("degC", 5, 2, 0.1, -40.0, 0x08),
        },
    )


ENGINE_SPEED: Final = 0x0C  # what tells the engine's ECU from those of gearbox and brakes

PARAMETERS: Final[dict[int, Parameter]] = {
    0x04: _one("calculated load", "%", 1, _PERCENT),
    0x05: _one("engine coolant temperature", "degC", 1, 1.0, -40.0),
    0x06: _one("short term fuel trim, bank 1", "%", 1, _TRIM, -100.0),
    0x07: _one("long term fuel trim, bank 1", "%", 1, _TRIM, -100.0),
    0x08: _one("short term fuel trim, bank 2", "%", 1, _TRIM, -100.0),
    0x09: _one("long term fuel trim, bank 2", "%", 1, _TRIM, -100.0),
    0x0A: _one("fuel pressure (gauge)", "kPa", 1, 3.0),
    0x0B: _one("intake manifold absolute pressure", "kPa", full_scale=FullScale.MANIFOLD_PRESSURE),
    ENGINE_SPEED: _one("engine speed", "rpm", 2, 0.25),
    0x0D: _one("vehicle speed", "km/h"),
    0x0E: _one("ignition timing advance, cylinder 1", "deg", 1, 0.5, -64.0),
    0x0F: _one("intake air temperature", "degC", 1, 1.0, -40.0),
    0x10: _one("mass air flow", "g/s", 2, 0.01, full_scale=FullScale.AIR_MASS_FLOW),
    0x11: _one("absolute throttle position", "%", 1, _PERCENT),
    0x1F: _one("time since engine start", "s", 2),
    0x22: _one("fuel rail pressure relative to manifold", "kPa", 2, 0.079),
    0x23: _one("fuel rail pressure (gauge)", "kPa", 2, 10.0),
    **{0x24 + i: _oxygen_voltage(i + 1) for i in range(8)},
    0x33: _one("barometric pressure", "kPa"),
    **{0x34 + i: _oxygen_current(i + 1) for i in range(8)},
    0x42: _one("control module voltage", "V", 2, 0.001),
    0x43: _one("absolute load", "%", 2, _PERCENT),
    0x44: _one(
        "commanded equivalence ratio", "1", 2, _RATIO, full_scale=FullScale.EQUIVALENCE_RATIO
    ),
    0x45: _one("relative throttle position", "%", 1, _PERCENT),
    0x46: _one("ambient air temperature", "degC", 1, 1.0, -40.0),
    0x47: _one("absolute throttle position B", "%", 1, _PERCENT),
    0x48: _one("absolute throttle position C", "%", 1, _PERCENT),
    0x49: _one("accelerator pedal position D", "%", 1, _PERCENT),
    0x4A: _one("accelerator pedal position E", "%", 1, _PERCENT),
    0x4B: _one("accelerator pedal position F", "%", 1, _PERCENT),
    0x4C: _one("commanded throttle actuator", "%", 1, _PERCENT),
    0x4F: Parameter(
        "maximum values",
        4,
        {
            "lambda": Value("1", 0),
            "voltage": Value("V", 1),
            "current": Value("mA", 2),
            "manifold_pressure": Value("kPa", 3, 1, 10.0),
        },
    ),
    0x50: Parameter("maximum mass air flow", 4, {"": Value("g/s", 0, 1, 10.0)}),
    0x52: _one("ethanol in the fuel", "%", 1, _PERCENT),
    0x59: _one("fuel rail absolute pressure", "kPa", 2, 10.0),
    0x5C: _one("engine oil temperature", "degC", 1, 1.0, -40.0),
    0x5D: _one("fuel injection timing", "deg", 2, 1 / 128, -210.0),
    0x5E: _one("engine fuel rate", "l/h", 2, 0.05),
    0x61: _one("driver's demand engine torque", "%", 1, 1.0, -125.0),
    0x62: _one("actual engine torque", "%", 1, 1.0, -125.0),
    0x63: _one("engine reference torque", "Nm", 2),
    0x64: Parameter(
        "engine torque data",
        5,
        {
            name: Value("%", i, 1, 1.0, -125.0)
            for i, name in enumerate(("idle", "point_1", "point_2", "point_3", "point_4"))
        },
    ),
    0x66: _row("mass air flow sensors", "g/s", "a b", 2, _THIRTY_SECOND),
    0x67: _row("engine coolant temperatures", "degC", "sensor_1 sensor_2", 1, 1.0, -40.0),
    0x68: _row(
        "intake air temperatures",
        "degC",
        "bank_1_1 bank_1_2 bank_1_3 bank_2_1 bank_2_2 bank_2_3",
        1,
        1.0,
        -40.0,
    ),
    0x6C: _row(
        "throttle control", "%", "commanded_a relative_a commanded_b relative_b", 1, _PERCENT
    ),
    0x6D: Parameter(
        "fuel pressure control",
        11,
        {
            "commanded_a": Value("kPa", 1, 2, 10.0, 0.0, 0x01),
            "actual_a": Value("kPa", 3, 2, 10.0, 0.0, 0x02),
            "temperature_a": Value("degC", 5, 1, 1.0, -40.0, 0x04),
            "commanded_b": Value("kPa", 6, 2, 10.0, 0.0, 0x08),
            "actual_b": Value("kPa", 8, 2, 10.0, 0.0, 0x10),
            "temperature_b": Value("degC", 10, 1, 1.0, -40.0, 0x20),
        },
    ),
    0x6F: Parameter(
        "compressor inlet pressure",
        3,
        {
            "a": Value("kPa", 1, 1, 1.0, 0.0, 0x01),
            "b": Value("kPa", 2, 1, 1.0, 0.0, 0x02),
            "a_wide": Value("kPa", 1, 1, 8.0, 0.0, 0x04),  # the same bytes, coarser
            "b_wide": Value("kPa", 2, 1, 8.0, 0.0, 0x08),
        },
    ),
    0x70: Parameter(
        "boost pressure control (absolute)",
        10,
        {
            "commanded_a": Value("kPa", 1, 2, _THIRTY_SECOND, 0.0, 0x01),
            "actual_a": Value("kPa", 3, 2, _THIRTY_SECOND, 0.0, 0x02),
            "commanded_b": Value("kPa", 5, 2, _THIRTY_SECOND, 0.0, 0x08),
            "actual_b": Value("kPa", 7, 2, _THIRTY_SECOND, 0.0, 0x10),
        },
    ),
    0x71: Parameter(
        "variable geometry turbo control",
        6,
        {
            "commanded_a": Value("%", 1, 1, _PERCENT, 0.0, 0x01),
            "actual_a": Value("%", 2, 1, _PERCENT, 0.0, 0x02),
            "commanded_b": Value("%", 3, 1, _PERCENT, 0.0, 0x08),
            "actual_b": Value("%", 4, 1, _PERCENT, 0.0, 0x10),
        },
    ),
    0x72: _row("wastegate control", "%", "commanded_a actual_a commanded_b actual_b", 1, _PERCENT),
    0x73: _row("exhaust pressure", "kPa", "bank_1 bank_2", 2, 0.01),
    0x74: _row("turbocharger speed", "rpm", "a b", 2, 10.0),
    0x75: _turbo_temperatures("A"),
    0x76: _turbo_temperatures("B"),
    0x77: _row(
        "charge air cooler temperature",
        "degC",
        "bank_1_1 bank_1_2 bank_2_1 bank_2_2",
        1,
        1.0,
        -40.0,
    ),
    0x78: _row(
        "exhaust gas temperature, bank 1",
        "degC",
        "sensor_1 sensor_2 sensor_3 sensor_4",
        2,
        0.1,
        -40.0,
    ),
    0x79: _row(
        "exhaust gas temperature, bank 2",
        "degC",
        "sensor_1 sensor_2 sensor_3 sensor_4",
        2,
        0.1,
        -40.0,
    ),
    0x7F: _row("engine run time", "s", "total idle pto", 4),
    0x87: _row("intake manifold absolute pressure, wide", "kPa", "a b", 2, _THIRTY_SECOND),
    0x8E: _one("engine friction torque", "%", 1, 1.0, -125.0),
}
