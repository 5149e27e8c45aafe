"""What a serial device is told is written in the station file: it must be no frame to a vehicle."""

import ast
from pathlib import Path

import pytest
from pydantic import ValidationError

import capture.sources
from capture.sources.base.settings import FrameSettings, LineSettings
from capture.sources.gate.k_line_frames import TESTER, Addressing, KLineFrame


@pytest.mark.parametrize(
    "command",
    [
        "t7DF80201040000000000\r",  # J1979 0x04, clears faults, through an slcan adapter
        "S6\rO\rT18DB33F120104\r",
        "r7DF0\r",
        "d7DF20104\r",
    ],
)
def test_a_can_frame_is_no_command(command: str) -> None:
    with pytest.raises(ValidationError, match="slcan adapter; an ECU is polled by"):
        LineSettings(url="x", send=(command,))


@pytest.mark.parametrize(
    "command",
    [
        bytes.fromhex("83 11 F1 14 FF 00 98"),  # clears faults over K-line
        KLineFrame(b"\x11\x01", Addressing.PHYSICAL, 0x11, TESTER).encode(True),  # resets
        b"t7DF20104\r",
    ],
)
def test_a_k_line_frame_is_no_command(command: bytes) -> None:
    with pytest.raises(ValidationError, match="an ECU is polled by"):
        FrameSettings(url="x", sync=b"\xaa", length=9, send=(command,))


@pytest.mark.parametrize("command", ["start\r", "rate 100\r\n", "t\r", "d10\r", "R\r", "O\r"])
def test_other_commands_are_the_devices_own(command: str) -> None:
    assert LineSettings(url="x", send=(command,)).send == (command,)
    assert FrameSettings(url="x", sync=b"\xaa", length=9, send=(command.encode(),)).send


def test_no_other_bytes_are_written_to_a_port() -> None:
    """Every call in capture/sources that writes, by name."""
    folder = Path(capture.sources.__file__).parent
    found = {
        (path.name, ast.unparse(node))
        for path in folder.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Call) and ast.unparse(node.func).endswith(".write")
    }
    assert found == {
        ("read_gate.py", "self._port.write(b'\\x00')"),  # the wake-up pattern of K-line
        ("read_gate.py", "self._port.write(frame)"),  # checked, as is each byte of it
        ("read_gate.py", "self._port.write(bytes([byte]))"),
        ("serial_link.py", "self._port.write(data)"),  # by one of these:
        ("serial_port.py", "link.write(command.encode())"),  # a device's command, checked above
        ("binary_frames.py", "link.write(command)"),
        ("slcan.py", "link.write(DONE)"),
        ("slcan.py", "link.write(command.encode() + DONE)"),  # a command out of COMMANDS
        ("slcan_wire.py", "self._link.write(line.encode() + DONE)"),  # behind a GatedBus
    }
