import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.session.buffer import COPIED_TOGETHER, KEEP_S, SampleBuffer
from decode.samples import Samples


def samples(*times_s: float) -> Samples:
    """Each value tells in which order it arrived within its time."""
    return Samples(np.array(times_s), np.array(times_s) * 10.0 + np.arange(len(times_s)) / 1000.0)


def test_a_window_holds_both_its_edges() -> None:
    buffer = SampleBuffer()
    buffer.append({"rpm": samples(1.0, 2.0, 3.0, 4.0)})
    assert buffer.window(2.0, 3.0)["rpm"].time_s.tolist() == [2.0, 3.0]


def test_nothing_is_there_before_the_first_batch_nor_outside_what_came() -> None:
    buffer = SampleBuffer()
    assert buffer.window(0.0, 10.0) == {}
    buffer.append({"rpm": samples(1.0)})
    assert len(buffer.window(5.0, 6.0)["rpm"]) == 0


def test_samples_out_of_order_come_out_in_order() -> None:
    buffer = SampleBuffer()
    buffer.append({"rpm": samples(1.0, 3.0)})
    buffer.append({"rpm": samples(2.0, 4.0)})
    assert buffer.window(0.0, 10.0)["rpm"].time_s.tolist() == [1.0, 2.0, 3.0, 4.0]


def test_of_equal_times_the_first_that_came_is_kept() -> None:
    buffer = SampleBuffer()
    buffer.append({"rpm": Samples(np.array([1.0, 2.0]), np.array([10.0, 20.0]))})
    buffer.append({"rpm": Samples(np.array([2.0, 2.0, 3.0]), np.array([21.0, 22.0, 30.0]))})
    assert buffer.window(0.0, 10.0)["rpm"].value.tolist() == [10.0, 20.0, 30.0]


def test_channels_keep_their_own_clocks() -> None:
    buffer = SampleBuffer()
    buffer.append({"rpm": samples(1.0, 2.0)})
    buffer.append({"oil": samples(1.5), "rpm": samples(3.0)})
    window = buffer.window(0.0, 10.0)
    assert window["rpm"].time_s.tolist() == [1.0, 2.0, 3.0]
    assert window["oil"].time_s.tolist() == [1.5]


def test_a_window_does_not_change_when_more_comes() -> None:
    buffer = SampleBuffer()
    buffer.append({"rpm": samples(1.0)})
    before = buffer.window(0.0, 10.0)["rpm"]
    buffer.append({"rpm": samples(2.0)})
    buffer.window(0.0, 10.0)
    assert before.time_s.tolist() == [1.0]


@settings(deadline=None, max_examples=50)
@given(
    sizes=st.lists(st.integers(0, 700), min_size=1, max_size=3 * COPIED_TOGETHER),
    looks=st.sets(st.integers(0, 3 * COPIED_TOGETHER)),
)
def test_nothing_is_lost_while_it_grows(sizes: list[int], looks: set[int]) -> None:
    """However it is cut into batches, and whenever somebody looks in between."""
    buffer = SampleBuffer()
    time_s = np.arange(float(sum(sizes))) * 0.001
    start = 0
    for number, size in enumerate(sizes):
        part = time_s[start : start + size]
        start += size
        buffer.append({"rpm": Samples(part, part * 2.0)} if size else {})
        if number in looks and start:
            assert len(buffer.window(-1.0, np.inf)["rpm"]) == start
    if start:
        window = buffer.window(-1.0, np.inf)["rpm"]
        assert np.array_equal(window.time_s, time_s)
        assert np.array_equal(window.value, time_s * 2.0)


def test_what_is_old_is_forgotten_and_the_last_minutes_never_are() -> None:
    buffer = SampleBuffer()
    rate_hz, batch, seconds = 100.0, 50, 3600.0
    for start in range(0, round(seconds * rate_hz), batch):
        part = np.arange(start, start + batch) / rate_hz
        buffer.append({"rpm": Samples(part, part)})
    newest_s = seconds - 1.0 / rate_hz
    window = buffer.window(0.0, newest_s)["rpm"]
    assert window.time_s[0] <= newest_s - KEEP_S
    assert window.time_s[-1] == newest_s
    assert len(window) < 4.0 * KEEP_S * rate_hz
