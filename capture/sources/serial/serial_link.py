"""A serial port or pyserial URL, read in batches."""

import threading
import time
from collections.abc import Iterator
from types import TracebackType
from typing import Any, Final, Self

import serial

try:
    import termios
except ImportError:  # Windows: there pyserial turns the check on
    termios = None  # type: ignore[assignment]

from capture.sources.base.settings import PortSettings
from capture.sources.base.source import DRAIN_INTERVAL_S
from decode.errors import SourceError

CHUNK: Final = 65_536  # far more than a port delivers in one drain
FULL_READ: Final = 4_095  # a read this long is as much as a Linux tty gives at once: more waits
WRITE_TIMEOUT_S: Final = 1.0  # a port that takes no byte for this long has its flow control stuck

PARITY: Final = {
    "none": serial.PARITY_NONE,
    "even": serial.PARITY_EVEN,
    "odd": serial.PARITY_ODD,
    "mark": serial.PARITY_MARK,
    "space": serial.PARITY_SPACE,
}


class SerialLink:
    """An open port; every failure of it is a SourceError that names it."""

    def __init__(self, settings: PortSettings) -> None:
        self.url = settings.url
        self._baud = settings.baud
        self._received = 0
        try:
            self._port: serial.SerialBase = serial.serial_for_url(
                settings.url, **_options(settings)
            )
            if settings.parity != "none":
                _check_parity(self._port)
        except (OSError, ValueError) as error:
            raise SourceError(f"{self.url} cannot be opened: {error}") from error
        except Exception as error:  # what a driver refuses is a termios.error: no OSError
            form = (
                f"{settings.baud} baud, {settings.data_bits} data bits, parity {settings.parity}, "
                f"flow control {settings.flow_control}"
            )
            raise SourceError(f"{self.url} does not take {form}: {error}") from error

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._port.close()

    def read(self) -> bytes:
        """What has arrived since the last call; does not wait."""
        try:
            data = bytes(self._port.read(CHUNK))
        except (OSError, TypeError) as error:  # TypeError: pyserial, closed under a read
            raise SourceError(f"{self.url} has gone: {error}") from error
        self._received += len(data)
        return data

    def nothing_understood(self, what: str) -> SourceError | None:
        """Why a source has delivered nothing, though bytes came; None where none did."""
        if not self._received:
            return None
        return SourceError(
            f"{self.url}: {self._received} bytes came and no {what} among them; "
            f"is the baud rate right ({self._baud}), and is it such a device?"
        )

    def write(self, data: bytes) -> None:
        """Send to the device itself."""
        try:
            self._port.write(data)
        except OSError as error:
            raise SourceError(f"{self.url} takes no data: {error}") from error

    def chunks(self, stop: threading.Event) -> Iterator[bytes]:
        """What arrives, drain by drain, until `stop` is set; empty where nothing has arrived."""
        while not stop.is_set():
            data = self.read()
            yield data
            if len(data) < FULL_READ:
                # not stop.wait: on Windows that sleeps in steps of 15.6 ms, this does not
                time.sleep(DRAIN_INTERVAL_S)


def _check_parity(port: serial.SerialBase) -> None:
    """pyserial sends parity and leaves the check of what comes off: a damaged byte would pass as
    good. Checked, it comes as NUL, which marks its line, or breaks its frame's checksum."""
    if termios is not None and isinstance(descriptor := getattr(port, "fd", None), int):
        attributes = termios.tcgetattr(descriptor)
        attributes[0] |= termios.INPCK
        termios.tcsetattr(descriptor, termios.TCSANOW, attributes)


def _options(settings: PortSettings) -> dict[str, Any]:
    return {
        "baudrate": settings.baud,
        "bytesize": settings.data_bits,
        "parity": PARITY[settings.parity],
        "stopbits": settings.stop_bits,
        "rtscts": settings.flow_control == "rts_cts",
        "dsrdtr": settings.flow_control == "dsr_dtr",
        "xonxoff": settings.flow_control == "xon_xoff",
        "timeout": 0,
        "write_timeout": WRITE_TIMEOUT_S,
        "exclusive": True,  # two programs on one port would each get half of the bytes
    }
