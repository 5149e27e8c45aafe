"""A lamp or display beside the operator: one text line on a serial port for every alert.

`STOP knock_retard cylinder 3` when it is raised, gets more serious, or comes back in a new pull;
`CLEAR knock_retard cylinder 3` when it is over.
No safety device: a line may be lost with the cable.
"""

import asyncio
import logging
import queue
import threading
from typing import Final, Self

import serial

from analysis.model.events import Alert, AlertState
from analysis.model.findings import Severity

log = logging.getLogger(__name__)

WAITING_LINES: Final = 50  # an operator reads a line a second at best; older ones are dropped
REOPEN_S: Final = 1.0
WRITE_TIMEOUT_S: Final = 1.0
LOOK_UP_S: Final = 0.2  # how soon the end is noticed


def lamp_line(alert: Alert) -> str:
    """The line for a change of an alert."""
    word = "CLEAR" if alert.state is AlertState.CLEARED else alert.severity.value.upper()
    where = alert.channel if alert.cylinder is None else f"cylinder {alert.cylinder}"
    return f"{word} {alert.kind.value} {where}".rstrip()


class Lamp:
    """Async context. Writes on a thread of its own, so that a stuck cable holds nobody up.

    failure: why nothing can be written now, None while all is well. dropped: lines never written.
    """

    def __init__(self, url: str, baud: int = 9600) -> None:
        """url: a pyserial port name or URL."""
        self.failure: str | None = None
        self.dropped = 0
        self._url, self._baud = url, baud
        self._shown: dict[str, tuple[Severity, float]] = {}
        self._lines: queue.Queue[str] = queue.Queue(WAITING_LINES)
        self._ending = threading.Event()
        self._thread = threading.Thread(target=self._work, name="lamp")

    async def __aenter__(self) -> Self:
        self._thread.start()
        return self

    async def __aexit__(self, *_error: object) -> None:
        """Lines that wait are still written, if the port takes them."""
        self._ending.set()
        await asyncio.to_thread(self._thread.join)

    def show(self, alert: Alert) -> None:
        """Write the alert's line as soon as can be, where it would be another one. Never blocks."""
        now = (alert.severity, alert.since_s)
        if alert.state is AlertState.UPDATED and self._shown.get(alert.key) == now:
            return
        self._shown[alert.key] = now
        try:
            self._lines.put_nowait(lamp_line(alert))
        except queue.Full:
            self.dropped += 1

    def _work(self) -> None:
        while not self._ending.is_set():
            try:
                with serial.serial_for_url(
                    self._url, self._baud, write_timeout=WRITE_TIMEOUT_S
                ) as port:
                    self._write_lines(port)
            except (serial.SerialException, OSError, ValueError) as error:
                if self.failure is None:
                    log.warning("lamp %s: %s", self._url, error)
                self.failure = f"lamp {self._url}: {error}"
                self._ending.wait(REOPEN_S)

    def _write_lines(self, port: serial.Serial) -> None:
        self.failure = None
        while True:
            try:
                line = self._lines.get(timeout=LOOK_UP_S)
            except queue.Empty:
                if self._ending.is_set():
                    return
                continue
            port.write(f"{line}\n".encode("ascii", "replace"))
            port.flush()
