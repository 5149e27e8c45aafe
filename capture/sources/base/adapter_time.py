"""An adapter's own time stamps, laid on the session's clock and unrolled where they start again."""

from typing import Final

NEAR_NS: Final = 500_000_000  # no host is late by more


class AdapterClock:
    """Turns the stamps of one adapter into nanoseconds that go on for ever.

    period_ns: after how long the adapter's counter starts again at 0, or None where it does not.
    The first stamp is laid on its arrival, so the result is near the session's clock. A silence
    longer than the period is bridged by the arrival times, which only have to be right within
    half a period.
    """

    def __init__(self, period_ns: int | None) -> None:
        self.period_ns = period_ns
        self._stamp_ns = 0
        self._adapter_ns = 0
        self._arrived_ns: int | None = None

    def is_near(self, stamp_ns: int, arrived_ns: int) -> bool:
        """Whether a stamp went on from the one before about as time did: then it is no damage."""
        if self._arrived_ns is None:
            return True
        step_ns, passed_ns = stamp_ns - self._stamp_ns, arrived_ns - self._arrived_ns
        return abs(step_ns - passed_ns) < NEAR_NS

    def unroll(self, stamp_ns: int, arrived_ns: int) -> int:
        """The adapter's time of one record, given what it stamped and when it arrived."""
        if self._arrived_ns is None:
            self._adapter_ns = arrived_ns
        else:
            step_ns = stamp_ns - self._stamp_ns
            if self.period_ns is not None:
                missing_ns = arrived_ns - self._arrived_ns - step_ns
                step_ns += self.period_ns * round(missing_ns / self.period_ns)
            self._adapter_ns += step_ns
        self._stamp_ns, self._arrived_ns = stamp_ns, arrived_ns
        return self._adapter_ns
