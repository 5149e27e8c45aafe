"""Frames decode to what was encoded, by cantools and by our own decoder; adapters speak slcan."""

import itertools
import socket
import sys

import can
import cantools.database
import numpy as np
import pytest
import serial
from patience import PATIENCE_S, wait_until

from capture.sources.base.checksums import checksum
from decode.channel_map import load_map, parse_map
from decode.decoder import Decoder
from decode.records import Flag, RecordBatch, SessionInfo, SourceInfo, SourceKind
from simulators.channels import ChannelSpec
from simulators.demo.bus import BUS, SPECS, map_text
from simulators.demo.files import MAP_FILE, STATION_FILE, station_text
from simulators.demo.job import scenario
from simulators.frame_port import crc, dyno_frames
from simulators.frames import Frame, FrameTable, encode, payloads
from simulators.ports import PtyPort, TcpPort
from simulators.sensors import Trace, read
from simulators.serial_can import serial_can_frames
from simulators.session import simulate
from simulators.slcan_adapter import SlcanAdapter, frame_lines
from simulators.text_port import dyno_lines, lambda_lines, regular_times

needs_pty = pytest.mark.skipif(sys.platform == "win32", reason="no pseudo terminals")
START_S, END_S = 16.0, 24.0  # the first pull of the baseline


@pytest.fixture(scope="module")
def trace() -> Trace:
    return simulate(scenario("baseline"), 1).trace


@pytest.fixture(scope="module")
def exact() -> dict[str, ChannelSpec]:
    """The channels with perfect sensors, so that only the encoding is left to test."""
    return {
        name: ChannelSpec(name, spec.quantity, spec.rate_hz, spec.source)
        for name, spec in SPECS.items()
    }


@pytest.fixture(scope="module")
def table(trace: Trace, exact: dict[str, ChannelSpec]) -> FrameTable:
    return encode(trace, exact, BUS, START_S, END_S, np.random.default_rng(1))


def network_description() -> str:
    """The bus as a CAN network description, for cantools."""
    text = 'VERSION ""\nBU_: ECU\n'
    for identifier in dict.fromkeys(frame.identifier for frame in BUS):
        frames = [frame for frame in BUS if frame.identifier == identifier]
        written = identifier | (1 << 31 if frames[0].extended else 0)
        length = max(frame.length for frame in frames)
        text += f"\nBO_ {written} M{identifier:X}: {length} ECU\n"
        if frames[0].page is not None:
            text += ' SG_ page M : 0|8@1+ (1,0) [0|0] "" ECU\n'
        for frame in frames:
            page = "" if frame.page is None else f" m{frame.page}"
            for signal in frame.signals:
                order, sign = int(not signal.big_endian), "-" if signal.signed else "+"
                text += (
                    f" SG_ {signal.channel}{page} : {signal.start_bit}|{signal.bits}@{order}{sign}"
                    f' ({signal.scale},{signal.offset}) [0|0] "" ECU\n'
                )
    return text


def test_frames_decode_by_cantools_to_what_was_encoded(
    table: FrameTable, trace: Trace, exact: dict[str, ChannelSpec]
) -> None:
    database = cantools.database.can.Database()
    database.add_dbc_string(network_description())
    scale = {signal.channel: signal.scale for frame in BUS for signal in frame.signals}
    seen: set[str] = set()
    for index in range(0, len(table), 3):
        data = table.data[index].tobytes()
        decoded = database.decode_message(int(table.identifier[index]), data, decode_choices=False)
        assert isinstance(decoded, dict)
        at = table.time_s[index : index + 1]
        for name, value in decoded.items():
            if name == "page":
                continue
            truth = float(read(trace, exact[name], at, np.random.default_rng(1))[0])
            assert isinstance(value, int | float)
            assert value == pytest.approx(truth, abs=0.5001 * scale[name]), name
            seen.add(name)
    assert seen == set(scale)


def test_values_beyond_a_field_stay_at_its_ends() -> None:
    frame = next(frame for frame in BUS if frame.identifier == 0x310)
    values = {signal.channel: np.array([-1e9, 1e9]) for signal in frame.signals}
    data = payloads(frame, values, 2)
    assert data[0, :6].tolist() == [0, 0, 0, 0, 0x00, 0x80]
    assert data[1, :6].tolist() == [0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0x7F]


def test_stretches_join_without_a_lost_or_doubled_frame(
    table: FrameTable, trace: Trace, exact: dict[str, ChannelSpec]
) -> None:
    random = np.random.default_rng(1)
    edges = (START_S, 17.003, 17.0301, 20.5, END_S)
    parts = [
        encode(trace, exact, BUS, start, end, random) for start, end in itertools.pairwise(edges)
    ]
    np.testing.assert_allclose(np.concatenate([part.time_s for part in parts]), table.time_s)
    np.testing.assert_array_equal(np.concatenate([part.data for part in parts]), table.data)


def test_the_committed_map_and_station_are_what_the_simulator_writes() -> None:
    assert MAP_FILE.read_text(encoding="utf-8") == map_text()
    assert STATION_FILE.read_text(encoding="utf-8") == station_text()


def test_our_decoder_with_the_demo_map_gives_the_trace_back(
    table: FrameTable, trace: Trace, exact: dict[str, ChannelSpec]
) -> None:
    sources = tuple(
        SourceInfo(name, kind)
        for name, kind in (("engine", SourceKind.CAN), ("dyno", SourceKind.LINES),
                           ("lambda", SourceKind.LINES))
    )  # fmt: skip
    decoder = Decoder(load_map(MAP_FILE), SessionInfo("s", "bay", 0, 0, sources))
    stamps = (table.time_s * 1e9).astype(int).tolist()
    lengths = table.length.tolist()
    engine = RecordBatch.of(
        "engine",
        stamps,
        [row[:n].tobytes() for row, n in zip(table.data, lengths, strict=True)],
        address=table.identifier.tolist(),
        flags=[int(Flag.EXTENDED) if each else 0 for each in table.extended.tolist()],
        adapter_ns=stamps,
    )
    samples = dict(decoder.decode(engine))
    random = np.random.default_rng(1)
    dyno_s, lambda_s = (regular_times(START_S, END_S, rate) for rate in (50.0, 20.0))
    for source, time_s, lines in (
        ("dyno", dyno_s, dyno_lines(trace, exact, dyno_s, random)),
        ("lambda", lambda_s, lambda_lines(trace, exact["lambda"], lambda_s, random)),
    ):
        arrived = (time_s * 1e9).astype(int).tolist()
        payload = [line.rstrip(b"\r\n") for line in lines]
        samples |= decoder.decode(RecordBatch.of(source, arrived, payload))
    assert set(exact) - {"barometric_pressure"} <= set(samples)
    for name, tolerance in (("engine_speed", 0.13), ("boost_target", 0.06), ("roller_speed", 6e-4),
                            ("roller_torque", 6e-3), ("lambda", 6e-4), ("oil_temperature", 0.06),
                            ("lambda_target", 6e-4), ("fuel_pressure_high", 5.1)):  # fmt: skip
        truth = read(trace, exact[name], samples[name].time_s, random)
        # time may be rounded to the stamp's millisecond
        slack = 0.002 * np.abs(np.gradient(truth, samples[name].time_s))
        assert (np.abs(samples[name].value - truth) <= tolerance + slack).all(), name


FRAMES_MAP = """\
pullwatch_map: 1
channels:
  roller_speed: {source: brake, unit: km/h, frame: {start_bit: 39, bits: 16, scale: 0.01,
    byte_order: big_endian}}
  roller_torque: {source: brake, unit: Nm, frame: {start_bit: 55, bits: 16, scale: 0.5,
    byte_order: big_endian, signed: true}}
"""


def test_binary_frames_decode_to_what_was_encoded(
    trace: Trace, exact: dict[str, ChannelSpec]
) -> None:
    time_s = regular_times(START_S, END_S, 50.0)
    frames = dyno_frames(trace, exact, time_s, np.random.default_rng(1))
    assert all(checksum("CRC-16/MODBUS").of(f[2:-2]) == crc(f[2:-2]) for f in frames)
    assert [frame[3] for frame in frames] == [number % 256 for number in range(len(frames))]
    session = SessionInfo("s", "bay", 0, 0, (SourceInfo("brake", SourceKind.FRAMES),))
    arrived = (time_s * 1e9).astype(int).tolist()
    batch = RecordBatch.of("brake", arrived, frames)
    samples = Decoder(parse_map(FRAMES_MAP), session).decode(batch)
    for name, step in (("roller_speed", 0.01), ("roller_torque", 0.5)):
        truth = read(trace, exact[name], time_s, np.random.default_rng(1))
        np.testing.assert_allclose(samples[name].value, truth, atol=0.5001 * step)


@needs_pty
def test_python_can_reads_the_serial_can_adapter(table: FrameTable) -> None:
    port = PtyPort()
    with can.Bus(port.url, interface="serial") as bus:
        for frame in serial_can_frames(table)[:40]:
            port.write(frame)
        received = [bus.recv(1.0) for _ in range(40)]
    port.close()
    found = [(m.arbitration_id, m.is_extended_id, bytes(m.data)) for m in received if m]
    assert found == [
        (identifier, extended, row[:length].tobytes())
        for identifier, extended, row, length in zip(
            table.identifier[:40].tolist(),
            table.extended[:40].tolist(),
            table.data[:40],
            table.length[:40].tolist(),
            strict=True,
        )
    ]


class HostPort:
    """The adapter's port as a host sees it, without any system underneath."""

    def __init__(self) -> None:
        self.url = ""
        self.connected = True
        self.has_unread = False
        self.inbox = b""
        self.sent = b""

    def read(self) -> bytes:
        data, self.inbox = self.inbox, b""
        return data

    def write(self, data: bytes) -> None:
        self.sent += data

    def close(self) -> None:
        self.connected = False


def answers(commands: bytes) -> tuple[SlcanAdapter, bytes]:
    port = HostPort()
    adapter = SlcanAdapter(port)
    port.inbox = commands
    adapter.poll()
    return adapter, port.sent


def test_the_adapter_answers_as_the_protocol_says() -> None:
    adapter, said = answers(b"C\rS6\rZ1\rV\rN\rO\rF\rS6\rt1230\r?\r")
    assert said == b"\r\r\rV1013\rNS001\r\rF00\r\az\r\a"
    assert adapter.open
    assert adapter.stamps


def test_listening_only_refuses_to_send() -> None:
    adapter, said = answers(b"L\rt12321122\r")
    assert said == b"\r\a"
    assert adapter.listen_only
    assert adapter.sent_by_host == ["t12321122"]


def test_a_command_in_pieces_waits_for_its_end() -> None:
    port = HostPort()
    adapter = SlcanAdapter(port)
    for piece in (b"S", b"6\rO"):
        port.inbox = piece
        adapter.poll()
    assert port.sent == b"\r"
    assert not adapter.open


def test_frame_lines_carry_identifier_length_data_and_wrapped_stamp() -> None:
    frames = FrameTable(
        np.array([1.5, 61.25]),
        np.array([0x310, 0x18FF1200], np.uint32),
        np.array([False, True]),
        np.array([2, 3], np.uint8),
        np.array([[0xAB, 1, 0, 0, 0, 0, 0, 0], [1, 2, 3, 0, 0, 0, 0, 0]], np.uint8),
    )
    assert frame_lines(frames, stamps=True) == [b"t3102AB0105DC\r", b"T18FF1200301020304E2\r"]
    assert frame_lines(frames, stamps=False)[0] == b"t3102AB01\r"


@needs_pty
def test_python_can_reads_the_adapter_over_a_pty(table: FrameTable) -> None:
    port = PtyPort()
    before = port.connected
    adapter = SlcanAdapter(port)
    with can.Bus(
        port.url, interface="slcan", bitrate=500_000, listen_only=True, sleep_after_open=0.0
    ) as bus:
        assert (before, port.connected) == (False, True)

        def is_open() -> bool:
            adapter.poll()
            return adapter.open

        wait_until(is_open)
        for line in frame_lines(table, stamps=False)[:40]:
            adapter.send(line)
        received = [message for _ in range(40) if (message := bus.recv(PATIENCE_S))]
    assert [m.arbitration_id for m in received] == table.identifier[:40].tolist()
    assert [bytes(m.data) for m in received] == [
        row[:n].tobytes()
        for row, n in zip(table.data[:40], table.length[:40].tolist(), strict=True)
    ]
    assert adapter.sent_by_host == []
    port.close()


def test_a_tcp_port_speaks_to_pyserial_and_survives_its_leaving() -> None:
    port = TcpPort()
    port.write(b"lost, nobody is there")
    with serial.serial_for_url(port.url, timeout=PATIENCE_S) as link:
        wait_until(lambda: port.connected)
        port.write(b"D;1.000\r\n")
        assert link.read_until(b"\n") == b"D;1.000\r\n"
        link.write(b"hello")
        data = bytearray()

        def has_come() -> bool:
            data.extend(port.read())
            return len(data) >= 5

        wait_until(has_come)
        assert data == b"hello"

    def has_left() -> bool:
        port.write(b"x" * 100)
        return not port.connected

    wait_until(has_left)
    port.close()


def test_a_slow_reader_costs_whole_writes_not_time() -> None:
    port = TcpPort()
    host, number = port.url.removeprefix("socket://").split(":")
    with socket.create_connection((host, int(number))):
        wait_until(lambda: port.connected)
        for _ in range(2000):  # nobody reads: a write that waited would wait for ever
            port.write(b"x" * 10_000)
        assert port.dropped > 0
    port.close()


def test_the_frame_table_of_the_bus_has_no_overlapping_signals() -> None:
    for frame in BUS:
        bits = [bit for signal in frame.signals for bit in _bits(frame, signal.channel)]
        bits += range(8) if frame.page is not None else []
        assert len(bits) == len(set(bits))
        assert max(bits) < 8 * frame.length


def _bits(frame: Frame, channel: str) -> list[int]:
    signal = next(signal for signal in frame.signals if signal.channel == channel)
    if not signal.big_endian:
        return list(range(signal.start_bit, signal.start_bit + signal.bits))
    top = signal.start_bit // 8 * 8 + 7 - signal.start_bit % 8
    return [bit // 8 * 8 + 7 - bit % 8 for bit in range(top, top + signal.bits)]
