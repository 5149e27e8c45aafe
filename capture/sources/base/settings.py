"""What a station file may say of a source: one model for each kind of adapter."""

from typing import Annotated, Any, Final, Literal, Self, TypeVar

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from capture.sources.base.checksums import checksum
from capture.sources.gate.read_requests import NotAReadError, check_device_command
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

    @model_validator(mode="after")
    def _data_phase_of_fd_only(self) -> Self:
        if self.data_bitrate is not None and not self.fd:
            raise ValueError('"data_bitrate" is that of CAN FD and needs "fd: true" beside it')
        return self


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


Command = TypeVar("Command", str, bytes)


def _no_frame_to_a_vehicle(command: Command) -> Command:
    try:
        check_device_command(command.encode() if isinstance(command, str) else command)
    except NotAReadError as error:
        raise ValueError(f"{error}; an ECU is polled by `diagnostics:` or `k_line:`") from error
    return command


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

    send: what it must be told before it sends, each with its line end (for example "start\\r"). It
    goes out as it stands: the port must be the device's, never that of an adapter on a vehicle.
    first_line_whole: it is silent until it is told, so its first line is no fragment (unless bytes
    come before it has been told).
    """

    send: tuple[Annotated[str, AfterValidator(_no_frame_to_a_vehicle)], ...] = ()
    first_line_whole: bool = False


def _bytes_of(value: object) -> object:
    """The bytes of hex digits. YAML reads 55 as fifty-five, so it must be quoted."""
    if isinstance(value, bytes):
        return value
    try:
        return bytes.fromhex(value) if isinstance(value, str) else _refuse(value)
    except ValueError:
        return _refuse(value)


def _refuse(value: object) -> object:
    raise ValueError(f'must be hex digits in quotes, like "AA 55", not {value!r}')


def _known_checksum(name: str) -> str:
    checksum(name)  # says what is near
    return name


HexBytes = Annotated[bytes, BeforeValidator(_bytes_of)]
Byte = Annotated[int, Field(ge=0, le=255)]
ByteOrderWord = Literal["little_endian", "big_endian"]


class LengthSettings(StrictModel):
    """A length that the frame carries, at byte `at`; the whole frame is `adds` longer."""

    at: Annotated[int, Field(ge=0, le=64)]
    bytes: Literal[1, 2] = 1
    byte_order: ByteOrderWord = "big_endian"
    adds: Annotated[int, Field(ge=-64, le=64)] = 0


class ChecksumSettings(StrictModel):
    """The last bytes of a frame. covers_from: the first byte that it is computed over."""

    kind: Annotated[str, AfterValidator(_known_checksum)]
    covers_from: Annotated[int, Field(ge=0, le=64)] = 0
    byte_order: ByteOrderWord = "little_endian"


class EscapeSettings(StrictModel):
    """`byte` changes the next one: by `replaces`, else by exclusive or with `xor`."""

    byte: Byte
    xor: Byte = 0
    replaces: dict[Byte, Byte] = Field(default_factory=dict)


class FrameSettings(PortSettings):
    """A device that sends binary frames: sync, content, checksum, end.

    length: of the whole frame from sync to checksum, or where it is carried; absent where `end`
    closes the frame. longest: a carried length beyond it is damage.
    """

    sync: Annotated[HexBytes, Field(min_length=1, max_length=16)]
    length: Annotated[int, Field(ge=2, le=4096)] | LengthSettings | None = None
    end: HexBytes = b""
    checksum: ChecksumSettings | None = None
    escape: EscapeSettings | None = None
    longest: Annotated[int, Field(ge=2, le=4096)] = 4096
    send: tuple[Annotated[HexBytes, AfterValidator(_no_frame_to_a_vehicle)], ...] = ()

    @model_validator(mode="after")
    def _has_an_end(self) -> Self:
        if self.length is None and not self.end:
            raise ValueError("must have a length or an end")
        return self

    @model_validator(mode="after")
    def _has_room(self) -> Self:
        """A form that no frame fits would leave the source silent, without a word why."""
        start, length = len(self.sync), self.length
        summed = checksum(self.checksum.kind).size if self.checksum else 0
        if isinstance(length, LengthSettings):
            if length.at < start:
                raise ValueError(f'"length" at byte {length.at} lies in "sync", {start} bytes long')
            return self
        longest = self.longest if length is None else length
        if longest <= start + summed:
            raise ValueError(
                f"a frame of {longest} bytes has no room for content beside {start} bytes of sync "
                f"and {summed} of checksum"
            )
        if longest > self.longest:
            raise ValueError(f'"length" {longest} is more than "longest", {self.longest}')
        if self.checksum is not None and self.checksum.covers_from >= longest - summed:
            raise ValueError(
                f'"covers_from" {self.checksum.covers_from} lies behind the content, which ends '
                f"with byte {longest - summed - 1}"
            )
        return self
