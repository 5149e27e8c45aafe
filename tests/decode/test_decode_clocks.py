import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from decode.clocks import LARGEST_LEAD_NS, NS_PER_S, SourceClock, session_seconds


def test_without_stamps_the_arrival_counts() -> None:
    arrived = np.array([5, 6, 6, 9], dtype=np.int64)
    assert SourceClock().times(arrived, np.full(4, -1)).tolist() == [5, 6, 6, 9]


def test_the_jitter_of_transport_vanishes() -> None:
    rng = np.random.default_rng(7)
    stamp = np.arange(1, 2001, dtype=np.int64) * 10_000_000
    delay = (rng.exponential(3e-3, 2000) * NS_PER_S).astype(np.int64) + 200_000
    offset = 77 * NS_PER_S
    times = SourceClock().times(stamp + offset + delay, stamp)
    error_ms = (times - stamp - offset - 200_000)[300:] / 1e6
    assert delay[300:].std() > 2_000_000
    assert np.abs(error_ms).max() < 0.5


@pytest.mark.parametrize("drift_ppm", [-100, 100])
def test_a_drifting_device_is_followed(drift_ppm: int) -> None:
    rng = np.random.default_rng(8)
    true_ns = np.arange(1, 60_001, dtype=np.int64) * 50_000_000  # 50 minutes
    stamp = true_ns + true_ns * drift_ppm // 1_000_000
    delay = (rng.exponential(2e-3, len(true_ns)) * NS_PER_S).astype(np.int64)
    times = SourceClock().times(true_ns + delay, stamp)
    assert np.abs(times - true_ns)[1000:].max() < 3_000_000  # of 300 ms that it drifted


def test_a_device_that_starts_again_is_aligned_anew() -> None:
    stamp = np.array([10, 11, 12, 0, 1, 2], dtype=np.int64) * NS_PER_S
    arrived = np.array([100, 101, 102, 105, 106, 107], dtype=np.int64) * NS_PER_S
    assert SourceClock().times(arrived, stamp).tolist() == arrived.tolist()


@pytest.mark.parametrize("jump_ms", [100, 900, 1_500, -100, -900, 10_000])
def test_one_damaged_stamp_moves_no_other_record(jump_ms: int) -> None:
    true_ns = np.arange(0, 60 * NS_PER_S, 10_000_000, dtype=np.int64)
    stamp = true_ns + 5 * NS_PER_S
    stamp[2_000] += jump_ms * 1_000_000
    error_ns = SourceClock().times(true_ns + 2_000_000, stamp) - true_ns - 2_000_000
    assert np.abs(np.delete(error_ns, range(1_999, 2_010))).max() < 10_000_000
    assert np.abs(error_ns).max() <= LARGEST_LEAD_NS


@pytest.mark.parametrize("back_ms", [100, 500, 900])
def test_a_device_that_sets_its_clock_back_is_aligned_anew(back_ms: int) -> None:
    true_ns = np.arange(0, 60 * NS_PER_S, 10_000_000, dtype=np.int64)
    stamp = true_ns + 5 * NS_PER_S
    stamp[2_000:] -= back_ms * 1_000_000
    assert np.abs(SourceClock().times(true_ns, stamp) - true_ns).max() < 1_000_000


def test_session_seconds() -> None:
    assert session_seconds(np.array([1_500_000_000]), 1_000_000_000).tolist() == [0.5]


RECORDS = st.lists(
    st.tuples(st.integers(0, 10**9), st.integers(-1, 10**10)), min_size=1, max_size=30
)


@given(RECORDS, st.data())
def test_cutting_into_batches_changes_nothing_and_time_never_falls(
    records: list[tuple[int, int]], data: st.DataObject
) -> None:
    arrived = np.cumsum([step for step, _ in records])
    stamp = np.array([stamp for _, stamp in records], dtype=np.int64)
    whole = SourceClock().times(arrived, stamp)
    cuts = sorted(data.draw(st.lists(st.integers(0, len(records)), max_size=5)))
    clock = SourceClock()
    parts = [
        clock.times(arrived[a:b], stamp[a:b])
        for a, b in zip([0, *cuts], [*cuts, len(records)], strict=True)
    ]
    assert np.concatenate(parts).tolist() == whole.tolist()
    assert (np.diff(whole) >= 0).all()
    assert (whole <= arrived + LARGEST_LEAD_NS).all()


def test_a_lucky_record_in_the_middle_of_a_pull_does_not_bend_time() -> None:
    stamp_ns = np.arange(0, 20 * NS_PER_S, 20_000_000, dtype=np.int64)
    arrived_ns = stamp_ns + 30_000_000
    arrived_ns[700:] -= 9_000_000  # from 14 s on records travel 9 ms faster
    time_ns = SourceClock().times(arrived_ns, stamp_ns)
    spacing_ns = np.diff(time_ns)
    assert np.abs(spacing_ns[300:] - 20_000_000).max() <= 20_000_000 // 2_000 + 1
    early = SourceClock()
    arrived_ns = stamp_ns + 30_000_000
    arrived_ns[100:] -= 9_000_000  # within the first seconds the better offset is taken at once
    assert (early.times(arrived_ns, stamp_ns)[100:] == stamp_ns[100:] + 21_000_000).all()


@pytest.mark.parametrize("late_ms", [0, 40, 150])
def test_a_device_that_counted_on_while_nobody_listened_keeps_its_clock(late_ms: int) -> None:
    """The first record behind an outage came late: all after it would stand as late."""
    clock, fastest_ns = SourceClock(), 3_000_000
    before = np.arange(0, 10 * NS_PER_S, 10_000_000, dtype=np.int64)
    clock.times(before + fastest_ns, before + 5 * NS_PER_S)
    clock.reopened()
    after = np.arange(20 * NS_PER_S, 21 * NS_PER_S, 10_000_000, dtype=np.int64)
    arrived = after + fastest_ns + late_ms * 1_000_000
    times = clock.times(arrived, after + 5 * NS_PER_S)
    assert np.abs(times - after - fastest_ns).max() < 5_000_000


@pytest.mark.parametrize("ahead_ms", [-30_000, -2_000, 1_000, 30_000])
def test_a_device_that_started_anew_while_it_was_away_is_aligned_anew(ahead_ms: int) -> None:
    clock = SourceClock()
    before = np.arange(0, 10 * NS_PER_S, 10_000_000, dtype=np.int64)
    clock.times(before, before + 50 * NS_PER_S)
    clock.reopened()
    after = np.arange(20 * NS_PER_S, 35 * NS_PER_S, 10_000_000, dtype=np.int64)
    times = clock.times(after, after + 50 * NS_PER_S + ahead_ms * 1_000_000)
    assert np.abs(times - after)[610:].max() < 1_000_000  # surely behind 6 s


def test_what_waited_while_nobody_listened_keeps_its_own_time() -> None:
    """A simulated car was suspended for 20 s and catches up: aligned by its first late record, it
    was up to 50 ms off long after it had."""
    clock = SourceClock()
    before = np.arange(0, 20 * NS_PER_S, 10_000_000, dtype=np.int64)
    clock.times(before + 1_000_000, before)
    clock.reopened()
    stamp = np.arange(20 * NS_PER_S, 70 * NS_PER_S, 10_000_000, dtype=np.int64)
    arrived = np.maximum(stamp, 40 * NS_PER_S + (stamp - 20 * NS_PER_S) // 10) + 1_000_000
    assert np.abs(clock.times(arrived, stamp) - stamp).max() < 10_000_000


def test_a_device_whose_clock_stood_still_is_aligned_anew() -> None:
    """A suspended computer: 20 s pass that it knows nothing of."""
    true_ns = np.arange(0, 60 * NS_PER_S, 10_000_000, dtype=np.int64)
    stamp = true_ns + 5 * NS_PER_S
    true_ns[2_000:] += 20 * NS_PER_S
    for parts in (1, 400):
        clock = SourceClock()
        times = np.concatenate(
            [
                clock.times(arrived, stamped)
                for arrived, stamped in zip(
                    np.array_split(true_ns, parts), np.array_split(stamp, parts), strict=True
                )
            ]
        )
        assert np.abs(times - true_ns)[2_610:].max() < 1_000_000
        assert np.abs(times - true_ns)[:2_000].max() < 1_000_000


def test_a_backlog_is_late_and_no_clock_that_stood_still() -> None:
    """The reader stood still for 20 s and reads what waited ten times as quickly."""
    stamp = np.arange(0, 60 * NS_PER_S, 10_000_000, dtype=np.int64)
    waited = np.clip(stamp // 10 + 36 * NS_PER_S, stamp, None)
    arrived = np.where(stamp < 20 * NS_PER_S, stamp, np.maximum(stamp, waited)) + 1_000_000
    assert (arrived - stamp).max() > 15 * NS_PER_S
    times = SourceClock().times(arrived, stamp)
    assert np.abs(times - stamp).max() < 20_000_000
