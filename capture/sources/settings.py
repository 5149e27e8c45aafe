"""What a station file may say of a source: one model for each kind of adapter."""

from typing import Annotated, Any, Final, Literal

from pydantic import Field

from decode.yaml_file import StrictModel

DEFAULT_BAUD: Final = 115_200

Bitrate = Annotated[int, Field(ge=1_000, le=12_000_000)]  # CAN FD data phases reach 8 Mbit/s
Baud = Annotated[int, Field(ge=50, le=12_000_000)]  # what USB serial bridges offer

FlowControl = Literal["none", "rts_cts", "dsr_dtr", "xon_xoff"]


class CanSettings(StrictModel):
    """A CAN bus that is listened to, by a python-can interface name.

    listen_only: the adapter does not even acknowledge frames, where it can be told so. options:
    whatever else the interface takes, by python-can's own names.
    """

    interface: Annotated[str, Field(min_length=1)]
    channel: str | int | None = None
    bitrate: Bitrate | None = None
    fd: bool = False
    data_bitrate: Bitrate | None = None
    listen_only: bool = True
    options: dict[str, Any] = Field(default_factory=dict)


class SlcanSettings(StrictModel):
    """A CAN bus behind a serial-line CAN (slcan) adapter.

    channel: its serial port or any pyserial URL. bitrate: what the protocol has a command for;
    absent, the adapter keeps its own. time_stamps: ask for the adapter's own.
    """

    interface: Literal["slcan"]
    channel: Annotated[str, Field(min_length=1)]
    bitrate: (
        Literal[10_000, 20_000, 50_000, 100_000, 125_000, 250_000, 500_000, 800_000, 1_000_000]
        | None
    ) = None
    data_bitrate: Literal[2_000_000, 5_000_000] | None = None
    listen_only: bool = True
    time_stamps: bool = True
    baud: Baud = DEFAULT_BAUD
    flow_control: FlowControl = "none"


class PortSettings(StrictModel):
    """A serial port, by its name or any pyserial URL (socket://host:port, rfc2217://...)."""

    url: Annotated[str, Field(min_length=1)]
    baud: Baud = DEFAULT_BAUD
    data_bits: Literal[5, 6, 7, 8] = 8
    parity: Literal["none", "even", "odd", "mark", "space"] = "none"
    stop_bits: Literal[1, 2] = 1
    flow_control: FlowControl = "none"


class LineSettings(PortSettings):
    """A device that sends text lines.

    send: what it must be told before it sends, each with its line end (for example "start\\r").
    first_line_whole: it is silent until it is told, so its first line is no fragment.
    """

    send: tuple[str, ...] = ()
    first_line_whole: bool = False
