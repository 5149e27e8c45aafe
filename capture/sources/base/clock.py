"""The one clock of a session: every source stamps its records with it."""

import time
from typing import Final

MAX_SPEED: Final = 1_000.0  # beyond it one drain of an adapter would span seconds of a session


class Clock:
    """Nanoseconds that only go forward, shared by all sources of a session.

    speed: session seconds per real second; 1 beside a car, more only where a simulated car runs
    faster than real time.
    """

    def __init__(self, speed: float = 1.0) -> None:
        if not 0.0 < speed <= MAX_SPEED:
            raise ValueError(f"clock speed must be above 0 and at most {MAX_SPEED:g}, not {speed}")
        self.speed = speed
        self._origin_ns = _steady_ns()

    def now_ns(self) -> int:
        """The present instant."""
        elapsed_ns = _steady_ns() - self._origin_ns
        if self.speed == 1.0:  # no rounding through a float beside a real car
            return self._origin_ns + elapsed_ns
        return self._origin_ns + round(elapsed_ns * self.speed)


def _steady_ns() -> int:
    # CLOCK_BOOTTIME counts on while the computer is suspended, which Linux's other steady clocks do
    # not: what was missed would be no gap. Elsewhere perf_counter does; time.monotonic_ns steps by
    # 15.6 ms on Windows before Python 3.13.
    boot_time: int | None = getattr(time, "CLOCK_BOOTTIME", None)
    return time.perf_counter_ns() if boot_time is None else time.clock_gettime_ns(boot_time)
