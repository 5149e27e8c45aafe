import numpy as np
import pytest
from patience import wait_until
from transports import Adapter, Plug, running

from capture.sources.base.adapter_time import AdapterClock
from capture.sources.base.clock import Clock
from capture.sources.base.settings import SlcanSettings
from capture.sources.can.slcan import (
    COMMANDS,
    MINUTE_MS,
    NS_PER_MS,
    SlcanBus,
    _Assembler,
    send_command,
)
from capture.sources.gate.slcan_frames import parse_frames
from decode.errors import SourceError
from decode.records import NO_ADAPTER_TIME, Flag, RecordBatch


def bus(plug: Plug, **settings: object) -> SlcanBus:
    given = {"interface": "slcan", "channel": plug.url, "bitrate": 500_000, **settings}
    return SlcanBus("engine", SlcanSettings.model_validate(given), Clock())


def test_sets_the_adapter_up_to_listen_only_and_closes_it(plug: Plug) -> None:
    with Adapter(plug) as adapter:
        with running(bus(plug)):
            wait_until(adapter.opened.is_set)
        wait_until(lambda: adapter.told[-1] == b"C")
    assert adapter.told == [b"C", b"S6", b"Z1", b"L", b"C"]


def test_opens_normally_only_when_the_station_says_so(plug: Plug) -> None:
    with Adapter(plug) as adapter, running(bus(plug, listen_only=False, time_stamps=False)):
        wait_until(adapter.opened.is_set)
    assert adapter.told[:4] == [b"C", b"S6", b"Z0", b"O"]


@pytest.mark.parametrize(
    ("command", "said"), [(b"S6", "bit rate 500000"), (b"L", "listen_only: false")]
)
def test_a_refusal_says_what_was_refused(plug: Plug, command: bytes, said: str) -> None:
    with Adapter(plug, {command: b"\a"}), running(bus(plug)) as source:
        wait_until(lambda: source.error is not None)
    assert said in str(source.error)


def test_an_adapter_without_stamps_or_answers_still_works(plug: Plug) -> None:
    silent = dict.fromkeys([b"C", b"S6", b"Z1", b"L"], b"")
    with Adapter(plug, silent) as adapter, running(bus(plug)) as source:
        wait_until(adapter.opened.is_set)
        plug.write(b"t12320102\r")
        wait_until(lambda: source.payloads == [b"\x01\x02"])
    assert source.column("adapter_ns") == [NO_ADAPTER_TIME]


def test_frames_come_with_identifier_flags_payload_and_stamp(plug: Plug) -> None:
    with Adapter(plug) as adapter, running(bus(plug)) as source:
        wait_until(adapter.opened.is_set)
        plug.write(b"t3100EA5E\rT18DAF1101AAEA5F\rr7FF80000\rd00191122334455667788990011220001\r")
        wait_until(lambda: len(source.payloads) == 4)
    assert source.column("address") == [0x310, 0x18DAF110, 0x7FF, 0x001]
    assert source.column("flags") == [0, Flag.EXTENDED, Flag.REMOTE, Flag.FD]
    assert [len(p) for p in source.payloads] == [0, 1, 0, 12]
    steps_ms = np.diff(source.column("adapter_ns")) / 1e6
    assert steps_ms.tolist() == [1, 1, 1]  # over the stamp's wrap from 59,999 to 0


def test_damage_is_counted_and_the_next_frame_is_whole(plug: Plug) -> None:
    with Adapter(plug) as adapter, running(bus(plug)) as source:
        wait_until(adapter.opened.is_set)
        plug.write(b"t3102AA\rt31G1AA\r\xff\xfe\r" + b"t" * 1000 + b"\rt3101BB\r")
        wait_until(lambda: source.payloads == [b"\xbb"])
    assert sum(batch.dropped_before for batch in source.batches) == 4


@pytest.mark.parametrize(("sent", "told"), [(b"t31G\r\xa5\xa5\r", True), (b"", False)])
def test_damage_alone_is_told_from_a_quiet_bus(plug: Plug, sent: bytes, told: bool) -> None:
    """The adapter's answers came in both cases."""
    with Adapter(plug) as adapter, running(bus(plug)) as source:
        wait_until(adapter.opened.is_set)
        plug.write(sent)
        plug.wait_until_read()
    assert (source.error is not None) == told
    assert not told or "no sound CAN frame among them" in str(source.error)


def test_a_frame_that_lost_four_digits_gives_no_wrong_data(plug: Plug) -> None:
    """Its stamp stands where its last data bytes were: beside stamped frames it is damaged."""
    with Adapter(plug) as adapter, running(bus(plug)) as source:
        wait_until(adapter.opened.is_set)
        plug.write(b"t31081122334455667788000A\rt31081122556677880014\rt3101BB0015\r")
        wait_until(lambda: b"\xbb" in source.payloads)
    assert source.payloads == [bytes.fromhex("1122334455667788"), b"\xbb"]
    assert sum(batch.dropped_before for batch in source.batches) == 1


@pytest.mark.parametrize(("damaged_ms", "wrap_ms"), [(None, 60_000), (62_000, 60_000)])
def test_a_damaged_stamp_does_not_change_when_the_count_starts_again(
    damaged_ms: int | None, wrap_ms: int
) -> None:
    """Beyond 59,999 ms only an adapter that counts with all 16 bits goes on."""
    assert steps_over_the_wrap([20_000, damaged_ms or 20_001, 20_002], wrap_ms) == {1.0}


def test_an_adapter_that_counts_with_16_bits() -> None:
    assert steps_over_the_wrap([59_999, 60_000, 60_001], 65_536) == {1.0}


def steps_over_the_wrap(before_ms: list[int], wrap_ms: int) -> set[float]:
    """Of the times made of stamps 2 ms before to 2 ms behind the count's start, in ms."""
    stamps_ms = [*before_ms, *(t % wrap_ms for t in range(wrap_ms - 2, wrap_ms + 3))]
    passed_ms = [0, 1, 2, *range(wrap_ms - 2 - before_ms[0], wrap_ms + 3 - before_ms[0])]
    emitted: list[RecordBatch] = []
    assembler = _Assembler("engine", AdapterClock(MINUTE_MS * NS_PER_MS))
    for stamp_ms, at_ms in zip(stamps_ms, passed_ms, strict=True):
        frames = parse_frames([b"t3101AA%04X" % stamp_ms])
        assembler.deliver(frames, at_ms * 1_000_000, emitted.append)
    times_ms = [int(batch.adapter_ns[0]) / 1e6 for batch in emitted]
    return set(np.diff(times_ms[3:]).tolist())


def test_overruns_and_bus_errors_the_adapter_reports_are_counted(plug: Plug) -> None:
    with Adapter(plug, {b"F": b"F89\r"}) as adapter, running(bus(plug)) as source:
        wait_until(adapter.opened.is_set)
        wait_until(lambda: len(source.batches) > 0)
    assert source.column("flags") == [Flag.ERROR]
    assert source.batches[0].dropped_before == 1
    assert b"bus errors" in source.payloads[0]


def test_an_adapter_that_refuses_the_status_question_is_asked_once(plug: Plug) -> None:
    with Adapter(plug, {b"F": b"\a"}) as adapter, running(bus(plug)) as source:
        wait_until(lambda: b"F" in adapter.told)
        plug.write(b"t3101BB\r")
        wait_until(lambda: source.payloads == [b"\xbb"])
    assert adapter.told.count(b"F") == 1
    assert source.batches[0].dropped_before == 0


def test_unplugging_is_a_source_error(plug: Plug) -> None:
    with running(bus(plug)) as source:
        wait_until(lambda: b"L" in plug.read())
        plug.unplug()
        wait_until(lambda: source.error is not None)
    assert plug.url in str(source.error)


def test_a_port_that_is_not_there_is_a_source_error(plug: Plug) -> None:
    plug.unplug()
    with running(bus(plug)) as source:
        wait_until(lambda: source.error is not None)
    assert isinstance(source.error, SourceError)


class _Wire:
    def __init__(self) -> None:
        self.sent = b""

    def write(self, data: bytes) -> None:
        self.sent += data


@pytest.mark.parametrize("command", sorted(COMMANDS))
def test_the_commands_pass_the_gate(command: str) -> None:
    wire = _Wire()
    send_command(wire, command)  # type: ignore[arg-type]
    assert wire.sent == command.encode() + b"\r"
    assert command not in "tTrRdDbB"


def test_nothing_else_passes_the_gate() -> None:
    wire = _Wire()
    for letter in {chr(code) for code in range(256)} - COMMANDS:
        for command in (letter, letter + "12380011223344556677", "C\r" + letter, "C" + letter):
            if command[1:].isalnum() and command[0] in COMMANDS:
                continue  # an argument of a command
            with pytest.raises(ValueError, match="must not be sent"):
                send_command(wire, command)  # type: ignore[arg-type]
    assert wire.sent == b""
