import asyncio
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from uuid import uuid4

import can
import pytest
from patience import wait_until
from pydantic import ValidationError
from transports import Adapter, Plug, Running, running

import decode.maps
from capture.sources.base.clock import Clock
from capture.sources.base.source import AchievedRate
from capture.sources.can.slcan_wire import SlcanWire
from capture.sources.gate.read_gate import GatedBus
from capture.sources.make import make_source
from capture.sources.polled.diagnostics import CanDiagnostics
from capture.sources.polled.ecu_settings import DiagnosticSettings
from capture.sources.settings import SourceSettings
from capture.supervision.reconnect import SourceRunner, SourceState
from decode.channel_map import ChannelMap, load_map, parse_map
from decode.decoder import Decoder
from decode.errors import SourceError
from decode.records import Flag, RecordBatch, SessionInfo
from simulators.ecu_answers import EcuAnswers, constant
from simulators.ecu_isotp import IsoTpEcu, SlcanFarEnd
from simulators.ports import PtyPort
from simulators.slcan_adapter import SlcanAdapter

CLOCK = Clock()

# a quantity, its unit and its parameter; then the bytes an ECU gives for it and what they mean
STANDARD = {
    "manifold": ("manifold_pressure", "kPa", 0x0B, "21", 33.0),
    "speed": ("engine_speed", "rpm", 0x0C, "0C 38", 782.0),
    "vehicle": ("vehicle_speed", "km/h", 0x0D, "64", 100.0),
    "timing": ("ignition_timing", "deg", 0x0E, "8C", 6.0),
    "intake": ("intake_air_temperature", "degC", 0x0F, "46", 30.0),
    "air": ("air_mass_flow", "g/s", 0x10, "3A 98", 150.0),
}
VALUES = {parameter: bytes.fromhex(data) for _, _, parameter, data, _ in STANDARD.values()}


def standard_map(*names: str) -> ChannelMap:
    return parse_map(
        "pullwatch_map: 1\nchannels:\n"
        + "\n".join(
            f"  {name}: {{quantity: {quantity}, source: ecu, unit: {unit}, "
            f"diagnostic: {{service: 0x01, parameter: {parameter}, rate_hz: 50}}}}"
            for name, (quantity, unit, parameter, _, _) in STANDARD.items()
            if not names or name in names
        )
    )


def identifier_map(lengths: dict[int, int], rate_hz: float = 50.0) -> ChannelMap:
    return parse_map(
        "pullwatch_map: 1\nchannels:\n"
        + "\n".join(
            f"  did_{number:04x}: {{source: ecu, diagnostic: {{service: 0x22, "
            f"identifier: {number}, start_bit: 7, bits: 8, byte_order: big_endian, "
            f"length: {length}, rate_hz: {rate_hz}}}}}"
            for number, length in lengths.items()
        )
    )


@pytest.fixture(autouse=True)
def no_long_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where nothing but waiting is shortened."""
    monkeypatch.setattr("capture.sources.polled.poller.SILENCE_S", 0.6)


@contextmanager
def polling(
    answers: EcuAnswers,
    channel_map: ChannelMap,
    ecu: tuple[int, int] = (0x7E0, 0x7E8),
    **settings: Any,
) -> Iterator[tuple[Running, IsoTpEcu, CanDiagnostics]]:
    """A source at work on a virtual bus with one simulated ECU."""
    channel = str(uuid4())
    chosen = DiagnosticSettings(interface="virtual", channel=channel, **settings)
    source = make_source("ecu", SourceSettings(diagnostics=chosen), CLOCK, channel_map)
    assert isinstance(source, CanDiagnostics)
    with (
        can.Bus(interface="virtual", channel=channel) as bus,
        IsoTpEcu(bus, answers, *ecu) as simulated,
        running(source) as at_work,
    ):
        yield at_work, simulated, source


def decoded(batches: list[RecordBatch], channel_map: ChannelMap) -> dict[str, set[float]]:
    """Every value that came out of each channel."""
    source = CanDiagnostics("ecu", DiagnosticSettings(interface="virtual"), CLOCK, ())
    session = SessionInfo("s", "bay", CLOCK.now_ns(), 0, (source.info,), channel_map.text)
    decoder = Decoder(channel_map, session)
    found: dict[str, set[float]] = {}
    for batch in batches:
        for name, samples in decoder.decode(batch).items():
            found.setdefault(name, set()).update(samples.value.tolist())
    return found


def responses(source: Running) -> list[bytes]:
    sent = source.column("flags")
    return [p for p, flags in zip(source.payloads, sent, strict=False) if not flags & Flag.SENT]


def requests(source: Running) -> list[bytes]:
    sent = source.column("flags")
    return [p for p, flags in zip(source.payloads, sent, strict=False) if flags & Flag.SENT]


def test_six_parameters_in_one_request_byte_for_byte() -> None:
    """The worked example of the handbooks: seven bytes asked, fifteen answered in three frames."""
    with polling(EcuAnswers(constant(VALUES)), standard_map(), request=0x7E0) as (source, ecu, _):
        wait_until(lambda: bytes.fromhex("01 0B0C0D0E0F10") in ecu.answers.heard)
        wait_until(lambda: any(len(response) == 15 for response in responses(source)))
    frames = [bytes(frame.data).hex(" ").upper() for frame in ecu.frames]
    asked = frames.index("07 01 0B 0C 0D 0E 0F 10")
    assert frames[asked + 1].startswith("30 00 00")
    assert {frame.arbitration_id for frame in ecu.frames} == {0x7E0}
    assert bytes.fromhex("41 0B21 0C0C38 0D64 0E8C 0F46 103A98") in responses(source)
    assert set(source.column("address")) == {0x7E0, 0x7E8}  # requests and responses
    expected = {name: {value} for name, (*_, value) in STANDARD.items()}
    assert decoded(source.batches, standard_map()) == expected


def test_what_the_ecu_does_not_list_is_never_asked_for(caplog: pytest.LogCaptureFixture) -> None:
    some = {parameter: VALUES[parameter] for parameter in (0x0B, 0x0C)} | {0x5C: b"\x8c"}
    with polling(EcuAnswers(constant(some)), standard_map(), request=0x7E0) as (_, ecu, _):
        wait_until(lambda: ecu.answers.heard.count(bytes.fromhex("01 0B0C")) > 3)
    assert ecu.answers.heard[:3] == [b"\x01\x00", b"\x01\x20", b"\x01\x40"]  # because of 0x5C
    assert set(ecu.answers.heard[3:]) == {bytes.fromhex("01 0B0C")}
    assert "vehicle (service 0x01, 0x0D) is no longer asked for" in caplog.text
    assert len(caplog.records) == 4


def test_full_scales_that_the_ecu_sets_are_asked_for_once() -> None:
    """Parameter 0x4F: 0x28 means 400 kPa full scale, so 0xC0 is 301.2 kPa and not 192."""
    answers = EcuAnswers(constant({0x0B: b"\xc0", 0x4F: bytes.fromhex("00000028")}))
    channel_map = standard_map("manifold")
    with polling(answers, channel_map, request=0x7E0) as (source, ecu, _):
        wait_until(lambda: len(responses(source)) > 8)
    assert ecu.answers.heard.count(bytes([1, 0x4F])) == 1
    [manifold_kpa] = decoded(source.batches, channel_map)["manifold"]
    assert manifold_kpa == pytest.approx(301.18, abs=0.01)


def test_several_identifiers_in_one_request() -> None:
    """The published example: identifiers of 2, 2, 5 and 1 bytes, nine bytes asked in two frames."""
    values = {1: "12 34", 2: "56 78", 4: "61 62 63 64 65", 3: "11"}
    answers = EcuAnswers(
        identifiers=constant({n: bytes.fromhex(v) for n, v in values.items()}),
        identifiers_at_once=4,
    )
    channel_map = identifier_map({1: 2, 2: 2, 4: 5, 3: 1})
    with polling(answers, channel_map, request=0x7E0, identifiers_at_once=4) as (source, ecu, _):
        wait_until(lambda: len(responses(source)) > 3)
    assert ecu.answers.heard[0] == bytes.fromhex("22 0001 0002 0004 0003")
    assert responses(source)[0] == bytes.fromhex("62 0001 1234 0002 5678 0004 6162636465 0003 11")
    found = decoded(source.batches, channel_map)
    assert found == {"did_0001": {0x12}, "did_0002": {0x56}, "did_0004": {0x61}, "did_0003": {0x11}}


def test_an_ecu_that_takes_fewer_identifiers_gets_fewer() -> None:
    answers = EcuAnswers(
        identifiers=constant(dict.fromkeys(range(8), b"\x01")), identifiers_at_once=2
    )
    channel_map = identifier_map(dict.fromkeys(range(8), 1))
    with polling(answers, channel_map, request=0x7E0, identifiers_at_once=8) as (source, ecu, _):
        wait_until(lambda: len(decoded(source.batches, channel_map)) == 8)
    sizes = [len(request) // 2 for request in ecu.answers.heard]
    assert sizes[:3] == [8, 4, 2]
    assert set(sizes[3:]) <= {1, 2}


def test_what_is_refused_or_never_answered_is_dropped_and_the_rest_goes_on(
    caplog: pytest.LogCaptureFixture,
) -> None:
    """0x10 does not exist, 0x11 is never answered, 0x12 is left out of shared responses."""
    answers = EcuAnswers(
        identifiers=constant({1: b"\x01", 2: b"\x02", 3: b"\x03", 0x11: b"\x11"}),
        unanswered=frozenset({0x11}),
    )
    channel_map = identifier_map(dict.fromkeys((1, 0x10, 2, 0x11, 3), 1))
    with polling(answers, channel_map, request=0x7E0) as (source, ecu, source_itself):
        wait_until(lambda: len(caplog.records) == 2)
        told = len(ecu.answers.heard)
        wait_until(lambda: len(ecu.answers.heard) > told + 20)
        wait_until(lambda: len(source_itself.shares) == 3)
    assert "did_0010 (service 0x22, 0x0010) is no longer asked for" in caplog.text
    assert "did_0011 (service 0x22, 0x0011) is no longer asked for" in caplog.text
    later = b"".join(request[1:] for request in ecu.answers.heard[told + 1 :])
    assert set(later[1::2]) == {1, 2, 3}
    assert decoded(source.batches, channel_map) == {
        "did_0001": {1},
        "did_0002": {2},
        "did_0003": {3},
    }


def test_a_busy_ecu_is_waited_for() -> None:
    """Each answer comes after three times "response pending", 0.36 s after its request."""
    answers = EcuAnswers(constant({0x0C: b"\x0c\x38"}), response_time_s=0.09, pending=3)
    channel_map = standard_map("speed")
    with polling(answers, channel_map, request=0x7E0) as (source, ecu, _):
        wait_until(lambda: decoded(source.batches, channel_map).get("speed") == {782.0})
    assert responses(source)[:4] == [bytes.fromhex("7F 01 78")] * 3 + [
        bytes.fromhex("41 00 00100000")
    ]
    assert ecu.answers.heard.count(bytes([1, 0])) == 1  # patience, not repetition


@pytest.mark.parametrize(
    ("ecu", "asked"),
    [
        ((0x7E0, 0x7E8), 0x7DF),
        ((0x7E1, 0x7E9), 0x7DF),
        ((0x18DA10F1, 0x18DAF110), 0x18DB33F1),
        ((0x18DA11F1, 0x18DAF111), 0x18DB33F1),
    ],
)
def test_the_engine_is_found_with_11_and_with_29_bits(ecu: tuple[int, int], asked: int) -> None:
    channel_map = standard_map()
    with polling(EcuAnswers(constant(VALUES)), channel_map, ecu) as (source, simulated, _):
        wait_until(lambda: len(decoded(source.batches, channel_map)) == len(STANDARD))
    identifiers = [frame.arbitration_id for frame in simulated.frames]
    assert asked in identifiers
    assert set(source.column("address")) == set(ecu)
    extended = bool(source.column("flags")[0] & Flag.EXTENDED)
    assert extended == (ecu[0] > 0x7FF)


def test_the_engine_is_told_from_the_gearbox() -> None:
    """Both answer the question to all; the lower identifier does not know the engine speed."""
    channel = str(uuid4())
    gearbox, engine = EcuAnswers(constant({0x0D: b"\x64"})), EcuAnswers(constant(VALUES))
    settings = DiagnosticSettings(interface="virtual", channel=channel)
    source = make_source("ecu", SourceSettings(diagnostics=settings), CLOCK, standard_map())
    with (
        can.Bus(interface="virtual", channel=channel) as first,
        can.Bus(interface="virtual", channel=channel) as second,
        IsoTpEcu(first, gearbox, 0x7E0, 0x7E8),
        IsoTpEcu(second, engine, 0x7E2, 0x7EA),
        running(source) as at_work,
    ):
        wait_until(lambda: len(decoded(at_work.batches, standard_map())) == len(STANDARD))
    assert set(at_work.column("address")) == {0x7E2, 0x7EA}


def test_the_extended_session_is_entered_and_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("capture.sources.polled.isotp_link.TESTER_PRESENT_S", 0.1)
    answers = EcuAnswers(identifiers=constant({1: b"\x2a"}), in_session=frozenset({1}))
    channel_map = identifier_map({1: 1}, rate_hz=2.0)
    with polling(answers, channel_map, request=0x7E0, session="extended") as (source, ecu, _):
        wait_until(lambda: b"\x3e\x80" in ecu.answers.heard)
        wait_until(lambda: decoded(source.batches, channel_map) == {"did_0001": {0x2A}})
    assert ecu.answers.heard[0] == b"\x10\x03"


def test_without_the_session_the_message_says_what_helps(caplog: pytest.LogCaptureFixture) -> None:
    answers = EcuAnswers(identifiers=constant({1: b"\x2a", 2: b"\x01"}), in_session=frozenset({1}))
    with polling(answers, identifier_map({1: 1, 2: 1}), request=0x7E0):
        wait_until(lambda: bool(caplog.records))
    assert "did_0001" in caplog.text


@pytest.mark.parametrize(
    ("ecu", "text"),
    [
        (EcuAnswers(silent=True), "ignition"),
        (EcuAnswers(constant({0x5C: b"\x8c"})), "nothing of what the map wants"),
    ],
)
def test_nothing_to_be_had_is_a_source_error(ecu: EcuAnswers, text: str) -> None:
    with polling(ecu, standard_map(), request=0x7E0) as (source, _, _):
        wait_until(lambda: source.error is not None)
    assert text in str(source.error)


def test_no_ecu_found_is_a_source_error() -> None:
    with polling(EcuAnswers(silent=True), standard_map()) as (source, _, _):
        wait_until(lambda: source.error is not None)
    assert "11 bits or 29" in str(source.error)


def test_a_map_without_diagnostics_of_this_source_is_a_source_error() -> None:
    with polling(EcuAnswers(), parse_map("pullwatch_map: 1\nchannels: {}"), request=0x7E0) as (
        source,
        _,
        _,
    ):
        wait_until(lambda: source.error is not None)
    assert "no channel of the map" in str(source.error)


async def test_ignition_off_and_on_again_leaves_a_gap() -> None:
    channel = str(uuid4())
    answers = EcuAnswers(constant(VALUES))
    settings = DiagnosticSettings(interface="virtual", channel=channel, request=0x7E0)
    source = make_source("ecu", SourceSettings(diagnostics=settings), CLOCK, standard_map())
    runner = SourceRunner(source, CLOCK)
    batches: list[RecordBatch] = []
    with can.Bus(interface="virtual", channel=channel) as bus, IsoTpEcu(bus, answers):
        task = asyncio.create_task(runner.run(batches.append))
        await asyncio.to_thread(wait_until, lambda: len(batches) > 10)
        answers.silent = True
        await asyncio.to_thread(wait_until, lambda: runner.state is SourceState.WAITING)
        answers.silent = False
        before = len(batches)
        await asyncio.to_thread(wait_until, lambda: len(batches) > before + 5)
        task.cancel()
        await asyncio.wait([task])
    gap = next(batch for batch in batches if batch.flags[0] & Flag.GAP)
    assert b"does not answer" in gap.payload(0)
    assert decoded(batches, standard_map())["speed"] == {782.0}


def test_through_an_slcan_adapter_on_a_pty(caplog: pytest.LogCaptureFixture) -> None:
    """The whole way of a user: a serial port, an adapter, an ECU."""
    caplog.set_level(logging.INFO)
    port = PtyPort()
    settings = DiagnosticSettings(interface="slcan", channel=port.url)
    channel_map = standard_map()
    source = make_source("ecu", SourceSettings(diagnostics=settings), CLOCK, channel_map)
    with IsoTpEcu(SlcanFarEnd(SlcanAdapter(port)), EcuAnswers(constant(VALUES))) as ecu:
        with running(source) as at_work:
            wait_until(lambda: len(decoded(at_work.batches, channel_map)) == len(STANDARD))
        assert {frame.arbitration_id for frame in ecu.frames} == {0x7DF, 0x7E0}
    port.close()


def test_the_starter_map_for_any_car(caplog: pytest.LogCaptureFixture) -> None:
    """No map of one's own, no addresses: what this car has comes, what it has not is said."""
    channel_map = load_map(Path(decode.maps.__file__).parent / "obd_standard.yaml")
    [name] = channel_map.sources
    channel = str(uuid4())
    settings = DiagnosticSettings(interface="virtual", channel=channel)
    source = make_source(name, SourceSettings(diagnostics=settings), CLOCK, channel_map)
    assert isinstance(source, CanDiagnostics)
    with (
        can.Bus(interface="virtual", channel=channel) as bus,
        IsoTpEcu(bus, EcuAnswers(constant(VALUES), response_time_s=0.005)) as ecu,
        running(source) as at_work,
    ):
        wait_until(lambda: all(share.age_s is not None for share in source.shares or [NEVER]))
    assert len({key for request in ecu.answers.heard[3:] for key in request[1:]}) == len(VALUES)
    assert "the ECU does not list it as supported" in caplog.text
    assert at_work.error is None


NEVER = AchievedRate((), 1.0, 0.0, None)


def test_an_slcan_adapter_on_a_busy_bus(plug: Plug) -> None:
    """Other traffic, damage, 29 bits and remote frames lie between; only the ECU's come through."""
    told: list[bytes] = []
    with Adapter(plug) as adapter:
        chosen = DiagnosticSettings(interface="slcan", channel=plug.url).as_slcan()
        assert chosen is not None
        wire = SlcanWire(chosen)
        gated = GatedBus(wire)
        gated.listen_to({0x7E8: 0x7FF})
        gated.send(can.Message(arbitration_id=0x7E0, data=REQUEST, is_extended_id=False))
        noise = b"t3108FFFFFFFFFFFFFFFF\rT000007E8100\rr7E80\rt7E8zz\r"
        plug.write(200 * noise + b"t7E88" + RESPONSE.hex().encode() + b"\r" + noise)
        frame = gated.recv(2.0)
        assert frame is not None
        assert (frame.arbitration_id, bytes(frame.data)) == (0x7E8, RESPONSE)
        assert gated.recv(0.05) is None
        plug.write(b"\a")
        with pytest.raises(SourceError, match="refuses to send"):
            gated.recv(1.0)
        gated.close()
        wait_until(lambda: b"C" in adapter.told[2:])
        told += adapter.told
    assert b"O" in told
    assert b"t7E08" + REQUEST.hex().upper().encode() in told


REQUEST = bytes.fromhex("02 01 0C CC CC CC CC CC")
RESPONSE = bytes.fromhex("04 41 0C 1A F8 AA AA AA")


def test_an_adapter_that_is_pulled_out_is_a_source_error() -> None:
    port = PtyPort()
    settings = DiagnosticSettings(interface="slcan", channel=port.url, request=0x7E0)
    source = make_source("ecu", SourceSettings(diagnostics=settings), CLOCK, standard_map())
    with running(source) as at_work:
        with IsoTpEcu(SlcanFarEnd(SlcanAdapter(port)), EcuAnswers(constant(VALUES))):
            wait_until(lambda: len(at_work.batches) > 5)
        port.close()
        wait_until(lambda: at_work.error is not None)
    assert f"ecu: slcan {port.url}" in str(at_work.error)


@pytest.mark.parametrize(
    ("settings", "text"),
    [
        ({"request": 0x310}, "no identifier for requests"),
        ({"request": 0x7E8}, "no identifier for requests"),
        ({"request": 0x7DF, "response": 0x7E8}, "asks all ECUs"),
        ({"request": 0x7A1}, "is missing"),
        ({"response": 0x7E8}, "needs"),
        ({"request": 0x7E0, "response": 0x18DAF110}, "does not go with"),
        ({"session": "programming"}, "default"),
        ({"interface": "slcan"}, "channel"),
        ({"interface": "slcan", "channel": "COM3", "bitrate": 123_456}, "bitrate"),
    ],
)
def test_settings_that_cannot_be(settings: dict[str, Any], text: str) -> None:
    with pytest.raises(ValidationError, match=text):
        DiagnosticSettings.model_validate({"interface": "virtual"} | settings)


def test_the_share_of_each_channel_is_shown() -> None:
    with polling(EcuAnswers(constant(VALUES)), standard_map("speed", "vehicle")) as (_, _, source):
        wait_until(lambda: bool(source.shares) and source.shares[0].achieved_hz > 30.0)
        shares = source.shares
    assert [share.channels for share in shares] == [("speed",), ("vehicle",)]
    assert all(share.wanted_hz == 50.0 for share in shares)
    assert all(share.age_s is not None and share.age_s < 0.5 for share in shares)
