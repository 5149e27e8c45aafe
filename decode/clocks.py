"""When a record happened, in the session's seconds.

A device that stamps its records knows their spacing; only the host knows what time it is. A record
needs some time from the device to the host, now more, now less: the record that travelled fastest
tells best how far the two clocks are apart. So the time of a record is the device's stamp plus the
running minimum of (arrived - stamp), and the jitter of transport vanishes.

Clocks drift: the minimum is let rise again as fast as two crystals may drift apart. A record that
travels faster than all before it must not bend time in the middle of a pull: once the offset has
settled it is followed slowly.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

NS_PER_S: Final = 1_000_000_000
# two crystals of +-100 parts per million each, the usual tolerance of cheap oscillators
LARGEST_DRIFT_PPM: Final = 200
_DRIFT_DIVISOR: Final = 1_000_000 // LARGEST_DRIFT_PPM
# the first seconds find the fastest record of an idle machine; nobody pulls so soon
SETTLE_NS: Final = 5 * NS_PER_S
# 500 ppm follow any drift and move a 10 s pull's far end by 5 ms at most, its speed by 0.05 %
_SLEW_DIVISOR: Final = 2_000
# while it is followed, a record may seem to have happened this much after it came; what is more
# than that is no jitter of transport but another clock
LARGEST_LEAD_NS: Final = NS_PER_S // 20
# a stamp further back than this is a device that started again, or the first right stamp behind a
# damaged one that lay ahead: followed like a fast record, it would put all after it too early
RESTART_NS: Final = LARGEST_LEAD_NS
# A device whose clock stood still, or started anew, is as late ever after. No transport is so late
# for so long while records come as quickly as they were stamped: a backlog shrinks.
STOOD_STILL_NS: Final = 3 * NS_PER_S
STARTED_ANEW_NS: Final = NS_PER_S  # once it was away: it may have been switched off meanwhile
STOOD_SURELY_NS: Final = 6 * NS_PER_S
_AS_QUICKLY: Final = 0.8  # of the time stamped

Nanoseconds = NDArray[np.int64]


def session_seconds(time_ns: Nanoseconds, started_ns: int) -> NDArray[np.float64]:
    """Seconds since the session started."""
    seconds = (time_ns - started_ns).astype(np.float64)
    seconds /= NS_PER_S
    return seconds


class SourceClock:
    """The times of one source's records; its state makes cutting into batches irrelevant."""

    def __init__(self) -> None:
        self._lowest: int | None = None  # running minimum of (arrived - stamp), drift taken out
        self._settled_from = 0  # stamp
        self._slewed = 0  # the offset followed, plus what it may fall until its stamp
        self._newest_stamp = 0
        self._newest_time = np.iinfo(np.int64).min
        self._reopened = False
        self._late_ns = STOOD_STILL_NS  # more is another clock
        self._late_from: tuple[int, int] | None = None  # arrival and stamp of the first so late

    def reopened(self) -> None:
        """The source was away: what is known of its clock holds unless its next stamp is ahead.
        One that is late may have waited: the device counted on while nobody listened."""
        self._reopened = True
        self._late_ns = STARTED_ANEW_NS

    def times(self, arrived_ns: Nanoseconds, stamp_ns: Nanoseconds) -> Nanoseconds:
        """The time of each record on the session's clock: int64[n], never falling.

        stamp_ns: the device's own stamps, negative where a record has none.
        """
        if not len(arrived_ns):
            return arrived_ns
        time_ns = arrived_ns.copy()
        stamped = np.flatnonzero(stamp_ns >= 0)
        if len(stamped):
            time_ns[stamped] = self._aligned(arrived_ns[stamped], stamp_ns[stamped])
        if time_ns[0] < self._newest_time or (time_ns[1:] < time_ns[:-1]).any():
            np.maximum.accumulate(time_ns, out=time_ns)
            np.maximum(time_ns, self._newest_time, out=time_ns)
        self._newest_time = int(time_ns[-1])
        return time_ns

    def _aligned(self, arrived_ns: Nanoseconds, stamp_ns: Nanoseconds) -> Nanoseconds:
        """Both int64[n], every record stamped."""
        before = np.concatenate(([self._newest_stamp], stamp_ns[:-1]))
        restarts = np.flatnonzero(stamp_ns < before - RESTART_NS).tolist()
        aligned = np.empty_like(stamp_ns)
        for begin, end in zip([0, *restarts], [*restarts, len(stamp_ns)], strict=True):
            if begin in restarts:
                self._lowest = None
            if end > begin:
                part = slice(begin, end)
                aligned[part] = self._one_run(arrived_ns[part], stamp_ns[part])
        self._newest_stamp = int(stamp_ns[-1])
        return aligned

    def _one_run(self, arrived_ns: Nanoseconds, stamp_ns: Nanoseconds) -> Nanoseconds:
        offset = arrived_ns - stamp_ns - stamp_ns // _DRIFT_DIVISOR
        known = self._lowest
        if self._reopened and known is not None and int(offset[0]) < known - LARGEST_LEAD_NS:
            self._lowest, self._late_from = None, None  # ahead: another clock, or set anew
        self._reopened = False
        stood = self._stood_still(arrived_ns, stamp_ns, offset)
        if stood is None:
            return self._followed(arrived_ns, stamp_ns)
        before = self._followed(arrived_ns[:stood], stamp_ns[:stood]) if stood else arrived_ns[:0]
        self._lowest, self._late_from, self._late_ns = None, None, STOOD_STILL_NS
        return np.concatenate((before, self._one_run(arrived_ns[stood:], stamp_ns[stood:])))

    def _stood_still(
        self, arrived_ns: Nanoseconds, stamp_ns: Nanoseconds, offset: Nanoseconds
    ) -> int | None:
        """The record at which it is sure that the device's clock had stood still."""
        lowest = np.minimum.accumulate(offset)
        if self._lowest is not None:
            lowest = np.minimum(lowest, self._lowest)
        late = offset > lowest + self._late_ns
        if not late.any():
            self._late_from = None
            return None
        for index, is_late in enumerate(late.tolist()):
            if not is_late:
                self._late_from = None
                continue
            arrived, stamp = int(arrived_ns[index]), int(stamp_ns[index])
            if self._late_from is None:
                self._late_from = arrived, stamp
            came, passed = arrived - self._late_from[0], stamp - self._late_from[1]
            if passed > STOOD_SURELY_NS and came > _AS_QUICKLY * passed:
                return index
        return None

    def _followed(self, arrived_ns: Nanoseconds, stamp_ns: Nanoseconds) -> Nanoseconds:
        drift = stamp_ns // _DRIFT_DIVISOR
        offset = arrived_ns - stamp_ns - drift
        lowest = np.minimum.accumulate(offset)
        if self._lowest is None:
            self._settled_from = int(stamp_ns[0]) + SETTLE_NS
        else:
            lowest = np.minimum(lowest, self._lowest)
        self._lowest = int(lowest[-1])
        return stamp_ns + self._slowly(lowest + drift, stamp_ns)

    def _slowly(self, offset_ns: Nanoseconds, stamp_ns: Nanoseconds) -> Nanoseconds:
        """The offset, falling no faster than the slew allows once it has settled.

        offset[k] = max over j <= k of wanted[j] - slew * (stamp[k] - stamp[j]), as one running
        maximum of wanted[j] + slew * stamp[j].
        """
        fallen = stamp_ns // _SLEW_DIVISOR
        reach = offset_ns + fallen
        late = np.flatnonzero(stamp_ns >= self._settled_from)
        begin = int(late[0]) if len(late) else len(stamp_ns)
        if begin:
            self._slewed = int(reach[begin - 1])
        if begin == len(stamp_ns):
            return offset_ns
        self._settled_from = 0  # for good, whatever order the next stamps come in
        running = np.maximum.accumulate(np.maximum(reach[begin:], self._slewed))
        self._slewed = int(running[-1])
        followed = np.minimum(running - fallen[begin:], offset_ns[begin:] + LARGEST_LEAD_NS)
        return np.concatenate((offset_ns[:begin], followed))
