"""What a serial device is told is written in the station file: it must be no frame to a vehicle."""

import pytest
from pydantic import ValidationError

from capture.sources.k_line_frames import TESTER, Addressing, KLineFrame
from capture.sources.settings import FrameSettings, LineSettings


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
