"""Nothing but read requests can reach a vehicle, whatever is asked, mapped or configured.

What went onto the bus is judged by other eyes than the gate's: can-isotp puts the frames together
again, and a list of allowed requests written down here says what they may be.
"""

import ast
import json
import re
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any
from uuid import uuid4

import can
import isotp
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

import capture.sources
from capture.sources.base.clock import Clock
from capture.sources.gate.k_line_frames import Addressing, KLineFrame
from capture.sources.gate.read_gate import GatedBus, GatedPort
from capture.sources.gate.read_requests import NotAReadError
from capture.sources.polled.diagnostics import CanDiagnostics
from capture.sources.polled.ecu_addresses import Addresses
from capture.sources.polled.ecu_settings import DiagnosticSettings, KLineSettings
from capture.sources.polled.isotp_link import IsoTpLink
from capture.sources.polled.k_line import KLineLink
from capture.sources.polled.schedule import Wanted, wanted_of
from decode.channel_map import parse_map
from decode.errors import InputFileError, SourceError
from decode.standard_parameters import PARAMETERS

CLOCK = Clock()

ON_CAN = re.compile(
    rb"[\x01\x09].{1,6}|\x22(..)+|\x3e[\x00\x80]|\x10[\x01\x03]", re.DOTALL
)  # J1979 0x01, 0x09; ISO 14229 0x22, 0x3E, 0x10 default and extended
TO_ALL = re.compile(rb"[\x01\x09].{1,6}|\x22(..)+|\x3e[\x00\x80]", re.DOTALL)
ON_K_LINE = re.compile(rb"[\x01\x21].|\x22..|\x3e[\x01\x02]?|[\x81\x82]", re.DOTALL)
FUNCTIONAL = {0x7DF, 0x18DB33F1}

# a service out of all; often one that is allowed, or one that would change a car
LIKELY = [0x01, 0x09, 0x10, 0x22, 0x3E, 0x01, 0x22, 0x04, 0x11, 0x27, 0x2E, 0x31, 0x3B]
SERVICES = st.one_of(st.sampled_from(LIKELY), st.integers(0, 255))
REQUESTS = st.builds(
    lambda service, rest: bytes([service]) + rest, SERVICES, st.binary(max_size=24)
)
IDENTIFIERS = st.one_of(
    st.sampled_from([0x7DF, 0x7E0, 0x7E7, 0x7E8, 0x18DA10F1, 0x18DB33F1, 0x18DAF110, 0x310]),
    st.integers(0, 0x1FFFFFFF),
)


@st.composite
def frames(draw: st.DrawFn) -> can.Message:
    """Frames that look like ISO-TP more often than chance would have it."""
    request = draw(REQUESTS)
    data = draw(
        st.one_of(
            st.binary(max_size=8),
            st.just((bytes([len(request[:7])]) + request)[:8]),
            st.just((bytes([0x10, len(request)]) + request)[:8]),
            st.builds(lambda n, rest: bytes([0x20 + n]) + rest, st.integers(1, 3), st.binary()),
            st.builds(lambda s, rest: bytes([0x30 + s]) + rest, st.integers(0, 3), st.binary()),
        )
    )[:8]
    padding = draw(st.sampled_from([b"", b"\xcc", b"\x00", b"\x22"]))
    identifier = draw(IDENTIFIERS)
    return can.Message(
        arbitration_id=identifier,
        is_extended_id=identifier > 0x7FF,
        data=(data + padding * 8)[:8],
        is_remote_frame=draw(st.integers(0, 9)) == 0,
    )


@contextmanager
def vehicle() -> Iterator[tuple[GatedBus, can.BusABC]]:
    """A gated bus, and a witness who hears all that is sent on it."""
    channel = str(uuid4())
    with (
        can.Bus(interface="virtual", channel=channel) as bus,
        can.Bus(interface="virtual", channel=channel) as witness,
    ):
        yield GatedBus(bus), witness


def heard(witness: can.BusABC) -> list[can.Message]:
    return list(iter(lambda: witness.recv(0), None))


def judge(sent: list[can.Message]) -> list[bytes]:
    """The requests that an ECU puts together from the frames, all of them allowed."""
    requests = []
    for identifier in {frame.arbitration_id for frame in sent}:
        mine = [frame for frame in sent if frame.arbitration_id == identifier]
        is_request = (
            0x700 <= identifier <= 0x7FF and not 0x7E8 <= identifier <= 0x7EF
        ) or re.fullmatch("18da..f1|18db33f1", f"{identifier:x}")
        assert is_request, f"{identifier:#x} is not for requests"
        assert not any(f.is_remote_frame or f.is_error_frame or f.is_fd for f in mine)
        allowed = TO_ALL if identifier in FUNCTIONAL else ON_CAN
        for request in reassembled(mine):
            assert allowed.fullmatch(request), f"{request.hex(' ')} was sent"
            requests.append(request)
        assert all(len(frame.data) > 0 for frame in mine)
    return requests


def reassembled(sent: list[can.Message]) -> list[bytes]:
    frame_of = iter(sent)

    def receive(timeout_s: float) -> isotp.CanMessage | None:
        frame = next(frame_of, None)
        if frame is None:
            return None
        return isotp.CanMessage(
            frame.arbitration_id, data=bytes(frame.data), extended_id=frame.is_extended_id
        )

    identifier, extended = sent[0].arbitration_id, sent[0].is_extended_id
    mode = isotp.AddressingMode
    address = isotp.Address(
        mode.Normal_29bits if extended else mode.Normal_11bits,
        rxid=identifier,
        txid=1 if identifier != 1 else 2,
    )
    ecu = isotp.TransportLayerLogic(receive, lambda frame: None, address)
    for _ in range(2 * len(sent) + 2):
        ecu.process()
    return [bytes(message) for message in iter(ecu.recv, None)]


@settings(max_examples=150, deadline=None)
@given(st.lists(frames(), max_size=6))
def test_arbitrary_frames(wanted: list[can.Message]) -> None:
    with vehicle() as (gated, witness):
        for frame in wanted:
            with suppress(NotAReadError):
                gated.send(frame)
        judge(heard(witness))


@settings(max_examples=100, deadline=None)
@given(
    requests=st.lists(REQUESTS, min_size=1, max_size=3),
    request=st.sampled_from([0x7E0, 0x7DF, 0x7A1, 0x18DA10F1, 0x123]),
    control=st.binary(max_size=7),
)
@example(requests=[bytes.fromhex("22 F40C F40B F405 F411 F40F")], request=0x7E0, control=b"\0\0")
@example(requests=[bytes.fromhex("2E F190 00 11 22 33 44 55 66")], request=0x7E0, control=b"\0\0")
def test_arbitrary_requests_through_iso_tp(
    requests: list[bytes], request: int, control: bytes
) -> None:
    with vehicle() as (gated, witness):
        link = IsoTpLink(gated, Addresses(request, request ^ 8), CLOCK)
        for asked in requests:
            with suppress(NotAReadError):
                link.send(asked)
                # the ECU's flow control, sound or not, so that a long request goes on
                answer = can.Message(
                    arbitration_id=request ^ 8,
                    is_extended_id=request > 0x7FF,
                    data=(b"\x30" + control)[:8],
                )
                witness.send(answer)
                link.receive(0.002)
        judge(heard(witness))


@pytest.mark.parametrize(
    "request_", ["01 00", "01 0C 0B 0D 0E 0F 11", "09 02", "22 F1 90", "3E 80", "10 03", "10 01"]
)
def test_every_allowed_request_gets_through(request_: str) -> None:
    with vehicle() as (gated, witness):
        IsoTpLink(gated, Addresses(0x7E0, 0x7E8), CLOCK).send(bytes.fromhex(request_))
        assert judge(heard(witness)) == [bytes.fromhex(request_)]


@pytest.mark.parametrize(
    "request_",
    [
        "04",  # J1979: clears faults
        "08 01 00",  # J1979: controls a component
        "10 02",  # ISO 14229: programming session
        "10 83",
        "11 01",  # reset
        "14 FF FF FF",  # clears faults
        "22 F1",
        "23 14 20 00 00 04",  # reads memory: not needed, not allowed
        "27 01",  # unlocks
        "28 00 01",  # silences the bus
        "2C 01 F2 00",  # defines identifiers
        "2E F1 90 00",  # writes
        "2F F1 90 03",  # controls outputs
        "31 01 FF 00",  # runs a routine
        "34 00 44",  # downloads
        "36 01",
        "3E",
        "85 02",  # switches faults off
    ],
)
def test_what_changes_a_car_is_refused(request_: str) -> None:
    with vehicle() as (gated, witness):
        link = IsoTpLink(gated, Addresses(0x7E0, 0x7E8), CLOCK)
        with pytest.raises(NotAReadError):
            link.send(bytes.fromhex(request_))
        assert not heard(witness)


FIRST = "10 0B 22 F40C F40B F4"
SECOND = "21 05 F411 F40F CC CC"
SINGLE = "02 01 0C CC CC CC CC CC"
CONTROL = "30 00 00 CC CC CC CC CC"


@pytest.mark.parametrize(
    ("before", "goes_on"),
    [
        ([FIRST], True),
        ([FIRST, CONTROL], True),
        ([], False),
        ([SINGLE], False),
        ([FIRST, SINGLE], False),  # the ECU forgets the first frame
        ([FIRST, SECOND], False),  # the request was whole already
        ([FIRST, "22 05 F411 F40F CC CC"], False),  # out of order: the ECU forgets
    ],
)
def test_a_long_read_is_continued_by_itself_alone(before: list[str], goes_on: bool) -> None:
    with vehicle() as (gated, witness):
        for data in before:
            with suppress(NotAReadError):
                gated.send(to_ecu(data))
        if goes_on:
            gated.send(to_ecu(SECOND))
            assert bytes.fromhex("22 F40C F40B F405 F411 F40F") in judge(heard(witness))
        else:
            with pytest.raises(NotAReadError):
                gated.send(to_ecu(SECOND))


def to_ecu(data: str) -> can.Message:
    return can.Message(arbitration_id=0x7E0, data=bytes.fromhex(data), is_extended_id=False)


# --- whole sources, with any map, any configuration and any ECU ---

CHANNELS = st.dictionaries(
    st.sampled_from(["a", "b", "c", "d", "e"]),
    st.one_of(
        st.fixed_dictionaries({"service": st.just(1), "parameter": st.integers(0, 255)}),
        st.fixed_dictionaries(
            {
                "service": st.sampled_from([0x21, 0x22, 0x22, 0x2E, 0x31, 0x04]),
                "identifier": st.one_of(st.integers(0, 255), st.integers(0, 0x1FFFF)),
                "start_bit": st.just(0),
                "bits": st.just(8),
                "length": st.integers(1, 8),
            }
        ),
    ),
    min_size=1,
)
SETTINGS = st.fixed_dictionaries(
    {},
    optional={
        "request": IDENTIFIERS,
        "response": IDENTIFIERS,
        "session": st.sampled_from(["default", "extended", "programming"]),
        "identifiers_at_once": st.integers(0, 40),
    },
)


def soundly_mapped(channels: dict[str, dict[str, int]]) -> Sequence[Wanted]:
    """What the map wants of the source; its unsound channels taken out as its user would."""
    sound: dict[str, Any] = {}
    for name, block in channels.items():
        entry: dict[str, Any] = {name: {"source": "ecu", "diagnostic": block}}
        if block["service"] == 1 and block["parameter"] in PARAMETERS:
            value, meaning = next(iter(PARAMETERS[block["parameter"]].values.items()))
            entry[name] |= {"unit": meaning.unit, "diagnostic": block | {"value": value}}
        with suppress(InputFileError):  # of itself, or beside those before it
            parse_map(map_text(sound | entry))
            sound |= entry
    return wanted_of(parse_map(map_text(sound)), "ecu") if sound else ()


def map_text(channels: dict[str, Any]) -> str:
    return json.dumps({"pullwatch_map": 1, "channels": channels})  # JSON is YAML 1.2


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)  # each is a run of the source
@given(channels=CHANNELS, configured=SETTINGS, said=st.lists(st.binary(max_size=8), max_size=6))
@example(
    channels={"a": {"service": 0x22, "identifier": 0xF40C, "start_bit": 0, "bits": 8, "length": 2}},
    configured={"session": "extended", "request": 0x7E0},
    said=[bytes.fromhex("06 50 03 00 32 01 F4")],
)
@example(
    channels={
        "a": {"service": 0x22, "identifier": 5, "start_bit": 0, "bits": 8, "length": 2},
        "b": {"service": 0x22, "identifier": 5, "start_bit": 0, "bits": 8, "length": 3},  # refused
    },
    configured={},
    said=[],
)
@example(
    channels={"a": {"service": 0x22, "identifier": 1, "start_bit": 0, "bits": 8, "length": 2}},
    configured={"session": "extended", "request": 0x7DF, "response": 0x7E8},  # would stop all
    said=[],
)
def test_arbitrary_maps_and_configurations(
    channels: dict[str, dict[str, int]], configured: dict[str, Any], said: list[bytes]
) -> None:
    channel = str(uuid4())
    try:
        chosen = DiagnosticSettings(interface="virtual", channel=channel, **configured)
    except ValidationError:
        return
    source = CanDiagnostics("ecu", chosen, CLOCK, soundly_mapped(channels))
    stop = threading.Event()
    with can.Bus(interface="virtual", channel=channel) as witness:
        at_work = threading.Thread(target=run_quietly, args=(source, stop))
        at_work.start()
        sent = []
        for data in [*said, None, None]:
            frame = witness.recv(0.02)
            sent += [frame] if frame else []
            if frame and data is not None:
                answer_to(witness, frame, data)
        stop.set()
        at_work.join()
        judge([*sent, *heard(witness)])


def answer_to(bus: can.BusABC, frame: can.Message, data: bytes) -> None:
    """Something, under the identifier that the question is answered under by the standard."""
    asked = frame.arbitration_id
    response = 0x7E8 if asked == 0x7DF else asked + 8 if asked < 0x800 else 0x18DAF110
    bus.send(
        can.Message(
            arbitration_id=response, is_extended_id=response > 0x7FF, data=(data + bytes(8))[:8]
        )
    )


def run_quietly(source: CanDiagnostics, stop: threading.Event) -> None:
    with suppress(SourceError):  # a refusal by the gate would fail the test: nobody catches it
        source.run(lambda batch: None, stop)


# --- K-line ---


def k_line_requests(sent: bytes) -> list[bytes]:
    """The requests in what was sent, cut and checked by hand."""
    requests = []
    while sent:
        header = 1 if sent[0] < 0x40 else 3
        length = sent[0] & 0x3F or sent[header]
        start = header if sent[0] & 0x3F else header + 1
        frame, sent = sent[: start + length + 1], sent[start + length + 1 :]
        assert sum(frame[:-1]) & 0xFF == frame[-1]
        assert header == 1 or frame[2] == 0xF1
        assert ON_K_LINE.fullmatch(frame[start:-1]), f"{frame.hex(' ')} was sent"
        requests.append(frame[start:-1])
    return requests


K_LINE_REQUESTS = st.builds(
    lambda service, rest: bytes([service]) + rest,
    st.one_of(st.sampled_from([0x01, 0x21, 0x22, 0x3E, 0x81, 0x82]), st.integers(0, 255)),
    st.one_of(st.binary(max_size=3), st.binary(max_size=80)),
)
K_LINE_FRAMES = st.builds(
    lambda data, addressing, target, source, own: KLineFrame(
        data, addressing, target, source
    ).encode(own),
    K_LINE_REQUESTS,
    st.sampled_from(Addressing),
    st.integers(0, 255),
    st.one_of(st.just(0xF1), st.integers(0, 255)),
    st.booleans(),
)


@settings(max_examples=100, deadline=None)
@given(st.lists(st.one_of(st.binary(max_size=12), K_LINE_FRAMES), max_size=5))
def test_arbitrary_bytes_on_k_line(wanted: list[bytes]) -> None:
    port = GatedPort("loop://", 10_400)
    for frame in wanted:
        with suppress(NotAReadError):
            port.send(frame, 0.0)
    k_line_requests(all_read(port) if wanted else b"")
    port.close()


def all_read(port: GatedPort) -> bytes:
    return b"".join(iter(port.read, b""))


@settings(max_examples=100, deadline=None)
@given(request=K_LINE_REQUESTS, target=st.integers(0, 255), functional=st.booleans())
@example(request=bytes.fromhex("2101"), target=0x11, functional=False)
@example(request=bytes.fromhex("3B01FF"), target=0x11, functional=False)  # writes
def test_arbitrary_requests_on_k_line(request: bytes, target: int, functional: bool) -> None:
    chosen = KLineSettings(
        url="loop://", target=target, functional=functional, request_gap_ms=0, byte_gap_ms=0
    )
    port = GatedPort(chosen.url, chosen.baud)
    link = KLineLink(port, chosen, CLOCK)
    allowed = ON_K_LINE.fullmatch(request) is not None
    if allowed:
        link.send(request)
    else:
        with pytest.raises(NotAReadError):
            link.send(request)
    assert k_line_requests(all_read(port)) == ([request] if allowed else [])
    port.close()


def test_no_other_way_leads_to_a_bus() -> None:
    """Every call in capture/ that opens a python-can bus or sends on something, by name."""
    folder = Path(capture.sources.__file__).parent.parent
    found = {
        (path.name, ast.unparse(node.func))
        for path in folder.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Call)
        and ast.unparse(node.func).endswith((".send", ".send_periodic", "can.Bus", "SlcanWire"))
    }
    assert found <= {
        ("read_gate.py", "self._bus.send"),  # the gate itself
        ("isotp_link.py", "self._bus.send"),  # a GatedBus, as is find_ecu's
        ("isotp_link.py", "bus.send"),
        ("isotp_link.py", "self._stack.send"),
        ("isotp_link.py", "self.send"),
        ("asking.py", "self._link.send"),
        ("k_line.py", "self._port.send"),  # a GatedPort
        ("k_line.py", "self.send"),
        ("diagnostics.py", "can.Bus"),  # handed to the gate at once
        ("diagnostics.py", "SlcanWire"),  # so is this
        ("can_bus.py", "can.Bus"),  # listens: the file has no send
    }
    assert ("read_gate.py", "self._bus.send") in found
