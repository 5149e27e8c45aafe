import random

import numpy as np
import pytest

from capture.sources.base.adapter_time import AdapterClock

MS = 1_000_000
MINUTE_NS = 60_000 * MS


@pytest.mark.parametrize("period_ns", [MINUTE_NS, 65_536 * MS, 2**32 * 1_000, None])
def test_hours_of_stamps_go_on_over_every_wrap(period_ns: int | None) -> None:
    """Real time is known; the transport adds up to 20 ms, and pauses exceed the period."""
    rng = random.Random(1)
    clock, true_ns, true, unrolled = AdapterClock(period_ns), 5_000 * MS, [], []
    for _ in range(5_000):
        true_ns += rng.choice((1, 10, 1_000, 100_000)) * MS
        stamp_ns = true_ns % period_ns if period_ns else true_ns
        true.append(true_ns)
        unrolled.append(clock.unroll(stamp_ns, true_ns + rng.randrange(20 * MS)))
    assert true[-1] > 3_600_000 * MS
    np.testing.assert_array_equal(np.diff(unrolled), np.diff(true))
    assert abs(unrolled[0] - true[0]) < 20 * MS


def test_a_stamp_a_little_older_than_the_one_before_is_no_wrap() -> None:
    clock = AdapterClock(MINUTE_NS)
    first, second = clock.unroll(500 * MS, 0), clock.unroll(499 * MS, 1 * MS)
    assert second - first == -1 * MS
