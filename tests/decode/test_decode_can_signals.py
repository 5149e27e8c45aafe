import math
import struct
from collections.abc import Sequence

import cantools
import numpy as np
import pytest
from cantools_comparison import numbers
from hypothesis import given, settings
from hypothesis import strategies as st

from decode import field_groups
from decode.bit_fields import BitField
from decode.can_signals import CanSignal, CanSignals
from decode.field_groups import Selector
from decode.records import Flag, RecordBatch
from decode.samples import Samples


def frames(
    *payloads: bytes, identifier: int = 1, flags: Sequence[int] | None = None
) -> RecordBatch:
    count = len(payloads)
    return RecordBatch.of(
        "bus",
        list(range(count)),
        list(payloads),
        [identifier] * count,
        list(flags) if flags is not None else None,
    )


def decode(signals: Sequence[CanSignal], batch: RecordBatch) -> dict[str, Samples]:
    return CanSignals(signals).decode(batch, batch.arrived_ns.astype(np.float64)).samples


def one(field: BitField, payload: bytes) -> float:
    return float(decode([CanSignal("x", 1, field)], frames(payload))["x"].value[0])


@pytest.mark.parametrize(
    ("field", "payload", "value"),
    [
        # a window by hand: 0x1AF8 is 6904, a quarter of it 1726
        (BitField(0, 16, scale=0.25), "f81a", 1726.0),
        (BitField(7, 16, big_endian=True, scale=0.25), "1af8", 1726.0),
        (BitField(4, 8), "f01f", 255.0),
        (BitField(3, 8, big_endian=True), "0ff0", 255.0),
        (BitField(0, 8, signed=True), "80", -128.0),
        (BitField(3, 4, signed=True), "78", -1.0),
        (BitField(0, 8, scale=0.5, offset=-40), "ff", 87.5),
        (BitField(0, 32, is_float=True), np.float32(1.5).tobytes().hex(), 1.5),
        (BitField(0, 64, is_float=True), np.float64(-2.5e-300).tobytes().hex(), -2.5e-300),
        (BitField(7, 64, big_endian=True, is_float=True), "3ff8000000000000", 1.5),
        (BitField(0, 64), "ff" * 8, float(2**64 - 1)),
        (BitField(0, 64, signed=True), "ff" * 8, -1.0),
        # nine bytes: 61 bits from bit 7 of byte 0
        (BitField(7, 61), "80" + "ff" * 7 + "0f", float(2**61 - 1)),
        (BitField(0, 61, big_endian=True), "01" + "00" * 6 + "00" + "10", float(2**60 + 1)),
        (BitField(8 * 60, 32), "00" * 60 + "01000080", float(2**31 + 1)),
    ],
)
def test_layouts_worked_by_hand(field: BitField, payload: str, value: float) -> None:
    assert one(field, bytes.fromhex(payload)) == value


def test_not_available_is_a_gap_and_never_a_number() -> None:
    field = BitField(0, 8, scale=0.4, not_available=(0xFE, 0x12), highest_raw=0xFA)
    values = decode(
        [CanSignal("x", 1, field)], frames(*(bytes([b]) for b in (0xFA, 0xFB, 0xFE, 0x12, 0x13)))
    )["x"].value
    np.testing.assert_array_equal(values, [100.0, np.nan, np.nan, np.nan, 0x13 * 0.4])


def test_a_payload_too_short_gives_no_sample() -> None:
    batch = frames(b"\x01\x02", b"\x03", b"", b"\x04\x05\x06")
    samples = decode([CanSignal("x", 1, BitField(8, 8)), CanSignal("y", 1, BitField(60, 8))], batch)
    assert list(samples) == ["x"]
    assert samples["x"].time_s.tolist() == [0.0, 3.0]
    assert samples["x"].value.tolist() == [2.0, 5.0]


def test_error_remote_sent_and_gap_records_are_no_data() -> None:
    flags = [0, Flag.REMOTE, Flag.ERROR, Flag.SENT, Flag.GAP, Flag.FD]
    samples = decode([CanSignal("x", 1, BitField(0, 8))], frames(*[b"\x07"] * 6, flags=flags))
    assert samples["x"].time_s.tolist() == [0.0, 5.0]


def test_standard_and_extended_identifiers_are_different_messages() -> None:
    batch = RecordBatch.of(
        "bus", [0, 1, 2, 3], [b"\x01", b"\x02", b"\x03", b"\x04"], [5, 5, 5 | 2048, 6], [0, 1, 1, 1]
    )
    samples = decode(
        [CanSignal("s", 5, BitField(0, 8)), CanSignal("e", 5, BitField(0, 8), extended=True)], batch
    )
    assert samples["s"].value.tolist() == [1.0]
    assert samples["e"].value.tolist() == [2.0]


def test_a_mask_ignores_priority_and_sender() -> None:
    batch = RecordBatch.of(
        "bus", [0, 1, 2], [b"\x01"] * 3, [0x0CF00400, 0x18F00431, 0x18F00500], [1, 1, 1]
    )
    group = CanSignal("x", 0x0CF004FE, BitField(0, 8), extended=True, mask=0x03FFFF00)
    exact = CanSignal("y", 0x0CF00400, BitField(0, 8), extended=True)
    samples = decode([group, exact], batch)
    assert samples["x"].time_s.tolist() == [0.0, 1.0]
    assert samples["y"].time_s.tolist() == [0.0]


def test_multiplexed_and_nested() -> None:
    outer = Selector(BitField(0, 8), (2, 3))
    inner = Selector(BitField(8, 4), (1,))
    signals = [
        CanSignal("always", 1, BitField(0, 8)),
        CanSignal("outer", 1, BitField(16, 8), selectors=(outer,)),
        CanSignal("inner", 1, BitField(24, 8), selectors=(outer, inner)),
    ]
    batch = frames(*(bytes([a, b, 9, 8]) for a, b in ((1, 1), (2, 0), (2, 1), (3, 0xF1), (3, 2))))
    samples = decode(signals, batch)
    assert samples["always"].time_s.tolist() == [0.0, 1.0, 2.0, 3.0, 4.0]
    assert samples["outer"].time_s.tolist() == [1.0, 2.0, 3.0, 4.0]
    assert samples["inner"].time_s.tolist() == [2.0, 3.0]


def test_a_float_that_is_no_number_is_nan() -> None:
    signalling, infinite = bytes.fromhex("0100807f"), bytes.fromhex("000080ff")
    assert math.isnan(one(BitField(0, 32, is_float=True), signalling))
    assert math.isnan(one(BitField(0, 32, is_float=True), infinite))
    assert math.isnan(one(BitField(0, 64, is_float=True), struct.pack("<d", math.inf)))


FIELDS = st.builds(
    BitField,
    start_bit=st.integers(0, 511),
    bits=st.integers(1, 64),
    big_endian=st.booleans(),
    signed=st.booleans(),
    scale=st.sampled_from([1.0, 0.25, 0.1, -2.0, 1e-3]),
    offset=st.sampled_from([0.0, -40.0, 1.5, 1e6]),
) | st.builds(
    BitField,
    start_bit=st.integers(0, 500),
    bits=st.sampled_from([32, 64]),
    big_endian=st.booleans(),
    is_float=st.just(True),
)
LAYOUTS = st.lists(FIELDS.filter(lambda field: field.end_byte <= 64), min_size=1, max_size=12)


def described(field: BitField) -> cantools.database.can.Message:
    """The same layout as cantools has it: a message of its own, since cantools refuses overlaps."""
    conversion = cantools.database.conversion.BaseConversion.factory(
        field.scale, field.offset, None, field.is_float
    )
    signal = cantools.database.can.Signal(
        name="s",
        start=field.start_bit,
        length=field.bits,
        byte_order="big_endian" if field.big_endian else "little_endian",
        is_signed=field.signed,
        conversion=conversion,
    )
    return cantools.database.can.Message(1, "m", 64, [signal])


@settings(deadline=None, max_examples=150)
@given(LAYOUTS, st.lists(st.binary(min_size=64, max_size=64), min_size=1, max_size=4))
def test_random_layouts_equal_cantools(fields: list[BitField], payloads: list[bytes]) -> None:
    signals = [CanSignal(f"s{i}", 1, field) for i, field in enumerate(fields)]
    samples = decode(signals, frames(*payloads))
    for i, field in enumerate(fields):
        message = described(field)
        theirs = np.array(
            [numbers(message, payload)["s"] for payload in payloads], dtype=np.float64
        )
        theirs[np.isinf(theirs)] = np.nan
        # 1e-15: a 64-bit number is rounded once by us, scaled exactly by cantools
        np.testing.assert_allclose(samples[f"s{i}"].value, theirs, rtol=1e-15, atol=0.0)


@settings(deadline=None, max_examples=100)
@given(
    LAYOUTS,
    st.lists(st.tuples(st.integers(0, 2), st.binary(max_size=64)), min_size=1, max_size=30),
)
def test_small_and_large_batches_give_the_same_bits(
    fields: list[BitField], records: list[tuple[int, bytes]]
) -> None:
    selector = Selector(BitField(3, 2), (1, 2))
    signals = [
        CanSignal(f"s{i}", i % 2, field, selectors=(selector,) if i % 3 == 0 else ())
        for i, field in enumerate(fields)
    ]
    batch = RecordBatch.of(
        "bus", list(range(len(records))), [p for _, p in records], [i for i, _ in records]
    )
    small = decode(signals, batch)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(field_groups, "PAIRS_PER_FIELD", 0)
        large = decode(signals, batch)
    assert list(small) == list(large)
    for name, samples in small.items():
        assert samples.value.tobytes() == large[name].value.tobytes()
        assert samples.time_s.tobytes() == large[name].time_s.tobytes()
