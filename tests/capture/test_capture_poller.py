"""The poller against an ECU that is a function: what it asks next, drops, and never drops."""

import threading
from collections import Counter
from collections.abc import Callable

import pytest

from capture.sources.polled.asking import Asker, Message
from capture.sources.polled.poller import MISSES, MISSES_OF_KNOWN, Poller
from capture.sources.polled.schedule import Key, Wanted
from decode.errors import SourceError
from decode.records import RecordBatch

PENDING = bytes.fromhex("7F 22 78")
FAST, SLOW = 200.0, 50.0
Ecu = Callable[[bytes], list[bytes]]


class Link:
    """Hands over at once what the ECU answers; stops everything after so many requests."""

    receiving = False

    def __init__(self, ecu: Ecu, stop: threading.Event, most: int) -> None:
        self.asked: list[bytes] = []
        self._ecu, self._stop, self._most = ecu, stop, most
        self._answers: list[bytes] = []

    def send(self, request: bytes) -> Message:
        self.asked.append(request)
        self._answers = self._ecu(request)
        if len(self.asked) >= self._most:
            self._stop.set()
        return Message(request, 0x7E0, 0)

    def receive(self, timeout_s: float) -> Message | None:
        return Message(self._answers.pop(0), 0x7E8, 0) if self._answers else None

    def keep_alive(self) -> None:
        pass


class Polled:
    """Everything that was asked until the link had enough, and what was handed over."""

    def __init__(
        self, ecu: Ecu, rates_hz: dict[Key, float], at_once: int = 3, most: int = 300
    ) -> None:
        stop = threading.Event()
        self.link = Link(ecu, stop, most)
        self.batches: list[RecordBatch] = []
        asker = Asker("ecu", self.link, self.batches.append, stop)
        asker.timeout_s = 0.0005
        wanted = [Wanted(k, rate, (f"c{k[1]:x}",), 1) for k, rate in rates_hz.items()]
        self.poller = Poller("ecu", asker, wanted, {0x22: at_once, 0x01: at_once})
        self._stop = stop

    def run(self) -> list[bytes]:
        self.poller.run(self._stop, lambda shares: None)
        return self.link.asked


def identifiers(request: bytes) -> list[int]:
    return [int.from_bytes(request[at : at + 2], "big") for at in range(1, len(request), 2)]


def answer(request: bytes, given: list[int]) -> list[bytes]:
    return [b"\x62" + b"".join(n.to_bytes(2, "big") + b"\x01" for n in given)]


def rates(*numbers: int, rate_hz: float = FAST) -> dict[Key, float]:
    return {(0x22, number): rate_hz for number in numbers}


def test_an_ecu_that_answers_only_the_first_of_several_is_asked_one_by_one() -> None:
    """Each value is there: none may be lost because it was asked for beside another."""
    polled = Polled(lambda asked: answer(asked, identifiers(asked)[:1]), rates(1, 2, 3))
    asked = polled.run()
    assert {len(identifiers(request)) for request in asked[-30:]} == {1}
    assert {n for request in asked[-30:] for n in identifiers(request)} == {1, 2, 3}


def test_single_answers_that_are_lost_do_not_make_requests_smaller() -> None:
    count = Counter[str]()

    def now_and_then(request: bytes) -> list[bytes]:
        count["asked"] += 1
        return [] if count["asked"] % 10 == 5 else answer(request, identifiers(request))

    asked = Polled(now_and_then, rates(1, 2, 3)).run()
    sizes = Counter(len(identifiers(request)) for request in asked[-30:])
    assert sizes.most_common(1)[0][0] == 3  # beside single ones, right after a loss


def test_an_ecu_whose_long_answers_never_arrive_is_asked_one_by_one() -> None:
    """An adapter that is too slow for flow control: what fits one frame comes through."""
    polled = Polled(
        lambda asked: [] if len(identifiers(asked)) > 1 else answer(asked, identifiers(asked)),
        rates(1, 2, 3),
    )
    asked = polled.run()
    assert {len(identifiers(request)) for request in asked[-30:]} == {1}
    assert {n for request in asked[-30:] for n in identifiers(request)} == {1, 2, 3}


def test_a_fast_value_that_is_never_answered_is_dropped_beside_a_slow_one(
    caplog: pytest.LogCaptureFixture,
) -> None:
    """Many requests go unanswered between two answers; they were all for the same value."""
    polled = Polled(
        lambda asked: [] if 1 in identifiers(asked) else answer(asked, identifiers(asked)),
        rates(1) | rates(2, rate_hz=SLOW),
        at_once=1,
        most=80,
    )
    asked = polled.run()
    assert "c1 (service 0x22, 0x0001) is no longer asked for" in caplog.text
    assert identifiers(asked[-1]) == [2]


def test_a_value_that_was_given_is_not_dropped_but_the_ecu_opened_anew() -> None:
    """Out of its session, or started anew: what it refuses now it gave before."""
    count = Counter[int]()

    def falls_out_of_its_session(request: bytes) -> list[bytes]:
        [number] = identifiers(request)
        count[number] += 1
        refuses = number == 1 and count[1] > 5
        return [bytes.fromhex("7F 22 7F")] if refuses else answer(request, [number])

    polled = Polled(falls_out_of_its_session, rates(1, 2), at_once=1)
    with pytest.raises(SourceError, match=r"c1 .* comes no longer: .*session"):
        polled.run()
    assert count[1] == 5 + MISSES_OF_KNOWN


def test_a_noisy_line_drops_nothing(caplog: pytest.LogCaptureFixture) -> None:
    """Three of the same value's answers are lost in a row, again and again."""
    count = Counter[int]()

    def noisy(request: bytes) -> list[bytes]:
        [number] = identifiers(request)
        count[number] += 1
        lost = number == 1 and count[1] % (MISSES + 2) > 1
        return [] if lost else answer(request, [number])

    asked = Polled(noisy, rates(1, 2), at_once=1).run()
    assert not caplog.records
    assert {n for request in asked[-12:] for n in identifiers(request)} == {1, 2}


# --- the full scale that an ECU sets ---

SUPPORTED = {0x00: "00 20 00 01", 0x20: "00 00 00 01", 0x40: "00 02 00 00"}  # 0x0B, 0x4F


def standard(scale: Callable[[int], list[bytes]]) -> tuple[Polled, Counter[int]]:
    count = Counter[int]()

    def ecu(request: bytes) -> list[bytes]:
        number = request[1]
        count[number] += 1
        if number == 0x4F:
            return scale(count[number])
        if number in SUPPORTED:
            return [bytes([0x41, number]) + bytes.fromhex(SUPPORTED[number])]
        return [bytes([0x41, number, 0xC0])]

    return Polled(ecu, {(0x01, 0x0B): FAST}), count


@pytest.mark.parametrize("lost", [[], [bytes.fromhex("7F 01 21")]])
def test_the_full_scale_is_asked_for_again_where_its_answer_is_lost(lost: list[bytes]) -> None:
    """Without it 0xC0 is 192 kPa instead of 301."""
    told = [bytes.fromhex("41 4F 00 00 00 28")]
    polled, count = standard(lambda times: lost if times == 1 else told)
    polled.poller.discover()
    assert count[0x4F] == 2


def test_nothing_is_read_with_a_full_scale_that_is_not_known() -> None:
    polled, count = standard(lambda times: [])
    with pytest.raises(SourceError, match=r"does not say the full scale .* 0x4F"):
        polled.poller.discover()
    assert count[0x0B] == 0


def test_an_ecu_without_the_full_scale_it_lists_has_the_standards() -> None:
    polled, _ = standard(lambda times: [bytes.fromhex("7F 01 12")])
    polled.poller.discover()
    assert polled.run()[-1] == b"\x01\x0b"


# --- the asker ---


def test_a_request_for_patience_is_handed_over_while_it_lasts() -> None:
    """Else a source that waits for seconds looks as if it had fallen silent."""
    stop = threading.Event()
    link = Link(lambda asked: [PENDING], stop, 9)
    batches: list[RecordBatch] = []
    asker = Asker("ecu", link, batches.append, stop)
    asker.pending_s = 0.001
    assert asker.ask(bytes.fromhex("22 0001")) is None
    [batch] = batches  # already: nothing has been flushed since
    assert [batch.payload(i) for i in range(len(batch))] == [bytes.fromhex("22 0001"), PENDING]


def test_what_an_ecu_does_not_answer_is_recorded_once_it_has_answered_something() -> None:
    stop = threading.Event()
    link = Link(lambda asked: answer(asked, [2]) if asked[2] == 2 else [], stop, 9)
    batches: list[RecordBatch] = []
    asker = Asker("ecu", link, batches.append, stop)
    asker.timeout_s = 0.001
    for request in ("22 0001", "22 0002", "22 0003"):
        asker.ask(bytes.fromhex(request))
        asker.flush()
    payloads = [batch.payload(i).hex() for batch in batches for i in range(len(batch))]
    assert payloads == ["220002", "62000201", "220003"]
