import math
from collections import Counter

import pytest

from capture.sources.polled.schedule import Key, Schedule, Wanted, request_for, wanted_of
from decode.channel_map import parse_map

MAP = """
pullwatch_map: 1
channels:
  speed:  {quantity: engine_speed, source: ecu, unit: rpm, diagnostic: {service: 0x01, parameter: 0x0C}}
  cool:   {quantity: coolant_temperature, source: ecu, unit: degC, diagnostic: {service: 0x01, parameter: 0x05}}
  low:    {source: ecu, diagnostic: {service: 0x22, identifier: 0x1001, start_bit: 0, bits: 8, length: 2, rate_hz: 5}}
  high:   {source: ecu, diagnostic: {service: 0x22, identifier: 0x1001, start_bit: 8, bits: 8, rate_hz: 8}}
  open:   {source: ecu, diagnostic: {service: 0x22, identifier: 0x1002, start_bit: 0, bits: 8}}
  other:  {source: dyno, diagnostic: {service: 0x22, identifier: 0x1003, start_bit: 0, bits: 8}}
"""  # noqa: E501


def parameters(*rates_hz: float) -> list[Wanted]:
    return [Wanted((1, n), rate, (f"channel {n}",), 1) for n, rate in enumerate(rates_hz)]


def polled(schedule: Schedule, response_s: float, seconds: float) -> tuple[Counter[Key], float]:
    """How often each is asked for by an ECU that takes so long, and the share of time it works."""
    count: Counter[Key] = Counter()
    now_s = busy_s = 0.0
    while now_s < seconds:
        keys = schedule.next(now_s)
        if keys:
            now_s += response_s
            busy_s += response_s
            schedule.answered(keys, now_s)
            count.update(keys)
        else:
            now_s += max(schedule.wait_s(now_s), 1e-6)
    return count, busy_s / now_s


def test_what_the_map_wants_of_one_source() -> None:
    assert wanted_of(parse_map(MAP), "ecu") == (
        Wanted((0x01, 0x0C), 20.0, ("speed",), 2),
        Wanted((0x01, 0x05), 1.0, ("cool",), 1),  # moves slowly
        Wanted((0x22, 0x1001), 8.0, ("low", "high"), 2),
        Wanted((0x22, 0x1002), 20.0, ("open",), None),
    )
    assert wanted_of(parse_map(MAP), "nobody") == ()


def test_requests() -> None:
    assert request_for([(0x01, 0x0C), (0x01, 0x0B)]) == bytes.fromhex("01 0C 0B")
    assert request_for([(0x22, 0xF40C), (0x22, 0x0001)]) == bytes.fromhex("22 F40C 0001")
    assert request_for([(0x21, 0x01)]) == bytes.fromhex("21 01")


def test_a_fast_ecu_gives_each_value_its_wanted_rate() -> None:
    schedule = Schedule(parameters(20.0, 10.0, 1.0), {1: 1})
    count, busy = polled(schedule, response_s=0.005, seconds=60.0)
    assert [count[1, n] / 60.0 for n in range(3)] == pytest.approx([20.0, 10.0, 1.0], rel=0.02)
    assert busy == pytest.approx(31 * 0.005, rel=0.05)  # and is asked for no more than that


def test_a_slow_ecu_is_always_busy_and_shared_by_the_wanted_rates() -> None:
    schedule = Schedule(parameters(40.0, 20.0, 20.0, 2.0), {1: 1})
    count, busy = polled(schedule, response_s=0.050, seconds=120.0)
    assert busy == pytest.approx(1.0)
    shares = [count[1, n] / sum(count.values()) for n in range(4)]
    assert shares == pytest.approx([40 / 82, 20 / 82, 20 / 82, 2 / 82], rel=0.1)


def test_six_at_once_multiply_what_a_slow_ecu_gives() -> None:
    alone, _ = polled(Schedule(parameters(*[50.0] * 6), {1: 1}), 0.020, 30.0)
    together, _ = polled(Schedule(parameters(*[50.0] * 6), {1: 6}), 0.020, 30.0)
    assert sum(together.values()) == pytest.approx(6 * sum(alone.values()), rel=0.02)


def test_a_request_asks_one_service_and_no_more_than_it_may() -> None:
    wanted = [*parameters(*[10.0] * 8), Wanted((0x22, 1), 10.0, ("x",), 2)]
    schedule = Schedule(wanted, {0x01: 6, 0x22: 3})
    assert [len(schedule.next(0.0)) for _ in range(4)] == [6, 2, 1, 0]
    assert schedule.wait_s(0.0) == pytest.approx(0.1)


def test_a_value_of_unknown_length_has_a_request_of_its_own() -> None:
    wanted = [Wanted((0x22, n), 10.0, ("x",), None if n == 1 else 2) for n in range(4)]
    schedule = Schedule(wanted, {0x22: 3})
    first, second = schedule.next(0.0), schedule.next(0.0)
    assert {first, second} == {((0x22, 0), (0x22, 2), (0x22, 3)), ((0x22, 1),)}


def test_a_value_near_its_turn_fills_a_request_that_goes_out_anyway() -> None:
    schedule = Schedule(parameters(10.0, 10.0, 10.0), {1: 2})
    assert schedule.next(0.0) == ((1, 0), (1, 1))
    assert schedule.next(0.06) == ((1, 2), (1, 0))  # 0 is 60 % of its way to its turn


def test_fewer_at_once_until_the_one_that_spoils_it_is_dropped() -> None:
    schedule = Schedule(parameters(*[10.0] * 6), {1: 6})
    schedule.ask_for_fewer(1, len(schedule.next(0.0)))
    assert len(schedule.next(1.0)) == 3
    schedule.ask_for_fewer(1, 3)
    assert len(schedule.next(2.0)) == 1
    assert schedule.channels((1, 5)) == ("channel 5",)
    schedule.drop((1, 5))
    assert len(schedule.next(3.0)) == 5
    assert (1, 5) not in schedule


def test_nobody_left() -> None:
    schedule = Schedule(parameters(10.0), {1: 6})
    schedule.drop((1, 0))
    assert schedule.next(0.0) == ()
    assert schedule.wait_s(0.0) == math.inf


def test_shares_tell_rate_and_age() -> None:
    schedule = Schedule(parameters(20.0, 5.0), {1: 1})
    assert [share.age_s for share in schedule.shares(0.0)] == [None, None]
    polled(schedule, response_s=0.01, seconds=10.0)
    fast, slow = schedule.shares(10.0)
    assert fast.channels == ("channel 0",)
    assert (fast.wanted_hz, slow.wanted_hz) == (20.0, 5.0)
    assert (fast.achieved_hz, slow.achieved_hz) == pytest.approx((20.0, 5.0), abs=1.0)
    assert 0.0 <= (fast.age_s or 0.0) <= 0.06
    later = schedule.shares(15.0)[0]
    assert later.achieved_hz == 0.0
    assert later.age_s == pytest.approx((fast.age_s or 0.0) + 5.0)
