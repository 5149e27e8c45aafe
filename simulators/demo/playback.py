"""Simulated time at a multiple of the wall's: what is due goes out, every few milliseconds.

A reader that falls behind on a busy machine holds simulated time back: otherwise what one wire
still holds would be seconds older, in simulated time, than what another has delivered. Afterwards
it catches up: a device's clock does not stop for its reader.
"""

import bisect
import time
from collections.abc import Callable, Iterable
from typing import Final

from simulators.demo.wire import Stretch
from simulators.ports import Port
from simulators.slcan_adapter import SlcanAdapter, frame_lines

TICK_S: Final = 0.006  # of the wall clock
# Of simulated time: all wires get so much before any gets more, however late this process is;
# where two ticks are more than that, two ticks.
LONGEST_STEP_S: Final = 0.1


class _Queue:
    """Lines of one stretch in order of time, sent up to a moment."""

    def __init__(
        self, time_s: list[float], lines: list[bytes], send: Callable[[bytes], None]
    ) -> None:
        self._time_s = time_s
        self._lines = lines
        self._send = send
        self._next = 0

    def send_until(self, now_s: float) -> None:
        """Everything due before now_s."""
        end = bisect.bisect_left(self._time_s, now_s, self._next)
        if end > self._next:
            self._send(b"".join(self._lines[self._next : end]))
            self._next = end


class Player:
    """The three wires. The device's clock stands still until the first stretch is played."""

    def __init__(self, adapter: SlcanAdapter, dyno: Port, lambda_: Port, speed: float) -> None:
        self.adapter = adapter
        self.dyno = dyno
        self.lambda_ = lambda_
        self._speed = speed
        self._longest_step_s = max(LONGEST_STEP_S, 2.0 * TICK_S * speed)
        self._now_s = 0.0  # of the device's clock
        self._started: float | None = None  # of the wall's, when the device's was zero

    @property
    def ready(self) -> bool:
        """Whether every port is being read."""
        self.adapter.poll()
        readers = (self.adapter.port, self.dyno, self.lambda_)
        return self.adapter.open and all(port.connected for port in readers)

    def play(self, stretches: Iterable[Stretch], told: Callable[[float], None]) -> None:
        """Send every stretch in its time; told hears the device's time at each tick."""
        for stretch in stretches:
            self._play_one(stretch, told)

    def _held_back(self) -> bool:
        """Whether a reader has still not taken what was sent to it."""
        ports = (self.adapter.port, self.dyno, self.lambda_)
        for port in ports:
            port.write(b"")  # another try with what waits
        return any(port.has_unread for port in ports)

    def _play_one(self, stretch: Stretch, told: Callable[[float], None]) -> None:
        frames = frame_lines(stretch.engine, self.adapter.stamps)
        queues = (
            _Queue(stretch.engine.time_s.tolist(), frames, self.adapter.send),
            _Queue(stretch.dyno.time_s.tolist(), stretch.dyno.lines, self.dyno.write),
            _Queue(stretch.lambda_.time_s.tolist(), stretch.lambda_.lines, self.lambda_.write),
        )
        self._started = self._started or time.monotonic()
        while True:
            self.adapter.poll()
            for queue in queues:
                queue.send_until(min(self._now_s, stretch.end_s))
            told(min(self._now_s, stretch.end_s))
            if self._now_s >= stretch.end_s:
                return
            time.sleep(TICK_S)
            if not self._held_back():
                due_s = (time.monotonic() - self._started) * self._speed
                self._now_s = min(due_s, self._now_s + self._longest_step_s)
