"""What this machine has to capture with, and a commented station file to start from."""

import json
import logging
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import can
from serial.tools import list_ports

# These need no hardware, or cannot tell what is there: a serial port is listed as a serial port.
NOT_HARDWARE: Final = frozenset({"virtual", "udp_multicast", "serial", "slcan", "socketcand"})
DETECTION_TIMEOUT_S: Final = 5.0

PLACEHOLDER_CAN_PORT: Final = "/dev/ttyACM0"  # on Windows a name like COM3
PLACEHOLDER_LINE_PORT: Final = "/dev/ttyUSB0"


@dataclass(frozen=True, slots=True)
class SerialPort:
    """A serial port of this machine. description: what its driver says, or ""."""

    name: str
    description: str


@dataclass(frozen=True, slots=True)
class CanInterface:
    """A CAN channel that python-can found, by the words a station file uses."""

    interface: str
    channel: str


def serial_ports() -> list[SerialPort]:
    """Every serial port, USB adapters first: they are what is plugged in for the job."""
    found = sorted(list_ports.comports(), key=lambda port: (port.vid is None, port.device))
    return [
        SerialPort(port.device, "" if port.description in (None, "n/a") else port.description)
        for port in found
    ]


def can_interfaces() -> list[CanInterface]:
    """Every CAN channel whose driver is installed; takes a few seconds."""
    log = logging.getLogger("can")  # each absent driver would say so
    level = log.level
    log.setLevel(logging.CRITICAL)
    try:
        interfaces = sorted(can.VALID_INTERFACES - NOT_HARDWARE)
        found = can.detect_available_configs(interfaces, timeout=DETECTION_TIMEOUT_S)
    finally:
        log.setLevel(level)
    return [CanInterface(str(each["interface"]), str(each.get("channel", ""))) for each in found]


def starting_station(
    map_file: str,
    ports: Sequence[SerialPort],
    interfaces: Sequence[CanInterface],
    checklist: Sequence[str],
) -> str:
    """A station file for this machine, to be mended by its user; `load_station` accepts it.
    checklist: what the operator looks at before a pull."""
    names = [port.name for port in ports]
    can_port, line_port = [*names, *[PLACEHOLDER_CAN_PORT, PLACEHOLDER_LINE_PORT][len(names) :]][:2]
    if interfaces:
        engine = f"interface: {interfaces[0].interface}, channel: {_quoted(interfaces[0].channel)}"
        line_port = names[0] if names else PLACEHOLDER_LINE_PORT
    else:
        engine = f"interface: slcan, channel: {_quoted(can_port)}"
    return TEMPLATE.format(
        map_file=_quoted(map_file),
        found=_found(ports, interfaces),
        engine=engine,
        line_port=_quoted(line_port),
        checklist="\n".join(f"  - {_quoted(point)}" for point in checklist),
    )


def _found(ports: Sequence[SerialPort], interfaces: Sequence[CanInterface]) -> str:
    lines = [f"{p.name} {p.description}".strip() for p in ports]
    lines += [f"CAN interface {i.interface}, channel {i.channel}" for i in interfaces]
    return "\n".join(f"  #   {line}" for line in lines or ["nothing; the names below are examples"])


def _quoted(text: str) -> str:
    return json.dumps(text)  # a JSON string is a YAML string


TEMPLATE: Final = """\
# A pullwatch station: what is captured in this bay, and what is known of the car and the dyno.
pullwatch_station: 1
name: bay-1                   # letters, digits, - and _; part of the MQTT topics
map: {map_file}               # which bytes become which channels; paths are beside this file
# limits: limits.yaml         # only where yours differ from the defaults: `pullwatch limits`
store: store                  # recordings, pulls and jobs

# Every adapter, under a name of your own that the map uses. Found on this machine:
{found}
sources:
  # A CAN bus. slcan is the serial-line CAN protocol of simple USB adapters; any other interface of
  # python-can goes by its name, with `options:` for what it needs besides. pullwatch never sends
  # on the bus; listen_only keeps the adapter from even acknowledging.
  engine: {{can: {{{engine}, bitrate: 500000, listen_only: true}}}}

  # A device that sends text lines: a port, or a pyserial URL like socket://192.168.0.5:4001.
  # Beside baud there are data_bits, parity, stop_bits, flow_control, and send: ["start\\r\\n"].
  dyno: {{lines: {{url: {line_port}, baud: 115200}}}}

# MQTT: embedded (on this machine, for a first try), none, or a broker of your own:
# broker: {{host: 127.0.0.1, port: 1883, root: pullwatch, username: bay, password_file: secret.txt}}
broker: embedded

# The page, on this machine only; 0.0.0.0 opens it to the workshop's network, without a login.
page: {{host: 127.0.0.1, port: 8710}}

# What no channel says. Leave out what you do not know: nothing is guessed, and what then cannot
# be judged is said. What kind of engine it is, is taken from the pull where it is not stated:
# ignition (spark, compression), induction (naturally aspirated, turbocharger, blower), full_load
# (enriched, stoichiometric, lean), vehicle (car, motorcycle). With altitude_m a weather service's
# sea-level pressure is caught. On the road (leave dyno out) mass_kg and the car's speed give an
# estimate of power.
# car: {{name: "blue hatchback", ignition: spark, cylinders: 4, displacement_l: 2.0,
#       induction: turbocharger, closed_loop_boost: true, full_load: enriched, vehicle: car,
#       max_boost_kpa: 150, max_engine_speed_rpm: 6800, thermostat_degc: 90, fuel: "98 RON",
#       turbo_max_speed_rpm: 220000, compressor_wheel_mm: 51, mass_kg: 1400}}
# dyno: {{inertia_kg_m2: 20, roller_radius_m: 0.25, loss: percent of wheel power added,
#        loss_percent: 15, correction: uncorrected,
#        inertia_tolerance_percent: 2, roller_radius_tolerance_percent: 0.5}}
# How far off the dyno may be makes the ± of power: to either side, beside these two of
# brake_torque_, sent_power_, engine_speed_ and loss_tolerance_percent (of the loss itself),
# pressure_tolerance_kpa, temperature_tolerance_k, humidity_tolerance_percent.
# The air is better a channel (a weather station on a port) or typed on the job's page that day:
# air: {{barometric_kpa: 98.5, temperature_degc: 21, relative_humidity_percent: 45,
#       altitude_m: 210, origin: "barometer on the wall"}}
# job: {{name: "job 12", stage: baseline}}
# lamp: {{url: /dev/ttyUSB1, baud: 9600}}          # a text line for each alert, for a lamp

# What the operator looks at before a pull: ticked on the live page or on the job's, kept with the
# pull, reported. [] for no list.
checklist:
{checklist}

# shop: {{name: "your shop", text: "what stands below it in the report"}}
# language: de          # of findings and report: en or de
"""
