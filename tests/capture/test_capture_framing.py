import random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capture.sources.base.checksums import SIMPLE, checksum
from capture.sources.serial.framing import CarriedLength, Escape, FrameFormat, Framer, unescape

CRC = checksum("CRC-16/MODBUS")
FIXED = FrameFormat(b"\xaa\x55", 8, checksum=CRC)
CARRIED = FrameFormat(
    b"\xaa\x55", CarriedLength(at=2, adds=5), checksum=CRC, covers_from=2, checksum_order="big"
)
FLAGGED = FrameFormat(b"\x7e", None, end=b"\x7e", checksum=CRC, escape=Escape(0x7D, xor=0x20))
DOUBLED = FrameFormat(b"\x10\x02", None, b"\x10\x03", escape=Escape(0x10))
SLIP = FrameFormat(
    b"\xc0", None, end=b"\xc0", escape=Escape(0xDB, replaces={0xDC: 0xC0, 0xDD: 0xDB})
)  # RFC 1055
BARE = FrameFormat(b"\x01\x02\x03", 7)
SMALL_SUM = FrameFormat(b"\x3a", 5, checksum=SIMPLE["SUM-8"])
FORMATS = [FIXED, CARRIED, FLAGGED, SLIP, BARE, SMALL_SUM]


def frame(form: FrameFormat, content: bytes) -> bytes:
    """The whole plain frame around a content."""
    if isinstance(form.length, int):
        size = form.length - len(form.sync) - (form.checksum.size if form.checksum else 0)
        content = content[:size].ljust(size, b"\x00")
    if isinstance(form.length, CarriedLength):
        content = bytes([len(content)]) + content
    if form.checksum is None:
        return form.sync + content
    plain = form.sync + content
    value = form.checksum.of(plain[form.covers_from :])
    return plain + value.to_bytes(form.checksum.size, form.checksum_order)


def wire(form: FrameFormat, plain: bytes) -> bytes:
    """The frame as its device sends it."""
    content = plain[len(form.sync) :]
    if form.escape is not None:
        escape = form.escape
        back = {plain: code for code, plain in escape.replaces.items()}
        special = {escape.byte, *form.sync, *form.end}
        content = b"".join(
            bytes([escape.byte, back.get(byte, byte ^ escape.xor)])
            if byte in special
            else bytes([byte])
            for byte in content
        )
    return form.sync + content + form.end


def cut(form: FrameFormat, stream: bytes, pieces: int = 1, seed: int = 0) -> list[bytes]:
    framer, rng = Framer(form), random.Random(seed)
    cuts = sorted(rng.randrange(len(stream) + 1) for _ in range(pieces - 1))
    parts = [stream[a:b] for a, b in zip([0, *cuts], [*cuts, len(stream)], strict=True)]
    return [found for part in parts for _, found in framer.feed(part, 1)]


@pytest.mark.parametrize("form", FORMATS)
@given(data=st.data())
def test_frames_come_out_as_they_went_in_however_the_stream_is_cut(
    form: FrameFormat, data: st.DataObject
) -> None:
    contents = data.draw(st.lists(st.binary(min_size=1, max_size=20), min_size=1, max_size=8))
    sent = [frame(form, content) for content in contents]
    stream = b"".join(wire(form, plain) for plain in sent) + form.sync
    pieces, seed = data.draw(st.integers(1, 12)), data.draw(st.integers(0, 99))
    assert cut(form, stream, pieces, seed) == sent


@pytest.mark.parametrize("form", [FIXED, CARRIED, FLAGGED])
def test_noise_costs_the_frames_it_hit_and_no_other(form: FrameFormat) -> None:
    rng = random.Random(1)
    sent, stream = [], b""
    for _ in range(300):
        plain = frame(form, rng.randbytes(4))
        stream += wire(form, plain)
        sent.append(plain)
        if rng.random() < 0.2:
            stream += rng.randbytes(rng.randrange(1, 30))
    found = cut(form, stream + form.sync, 50)
    assert set(found) <= set(sent)  # nothing that was not sent
    assert len(found) >= 0.8 * len(sent)
    if form is FIXED:  # noise between frames hides none of them
        assert len(found) >= 0.98 * len(sent)


@pytest.mark.parametrize("form", [FIXED, CARRIED, FLAGGED])
def test_a_flipped_bit_never_comes_out_as_a_frame(form: FrameFormat) -> None:
    rng = random.Random(2)
    sent = [frame(form, rng.randbytes(4)) for _ in range(20)]
    stream = b"".join(wire(form, plain) for plain in sent)
    for bit in range(8 * len(stream)):
        damaged = bytearray(stream)
        damaged[bit // 8] ^= 1 << bit % 8
        # a damaged length waits for up to 260 bytes more before it is seen to be damage
        found = cut(form, bytes(damaged) + form.sync + bytes(260))
        assert set(found) <= set(sent)
        assert len(found) >= len(sent) - 2


def test_without_a_checksum_a_frame_waits_for_the_sync_behind_it_and_keeps_its_arrival() -> None:
    framer = Framer(BARE)
    assert framer.feed(b"noise" + b"\x01\x02\x03abcd", 10) == []
    assert framer.feed(b"\x01", 20) == []
    assert framer.feed(b"\x02\x03", 30) == [(10, b"\x01\x02\x03abcd")]
    assert framer.taken_lost() == 0  # noise before the first frame is no loss
    assert framer.feed(b"efgh!\x01\x02\x03ijkl\x01\x02\x03", 40) == [(40, b"\x01\x02\x03ijkl")]
    assert framer.taken_lost() == 1


def test_an_eight_bit_checksum_is_believed_in_step_only() -> None:
    framer, first, second = Framer(SMALL_SUM), frame(SMALL_SUM, b"abc"), frame(SMALL_SUM, b"def")
    assert framer.feed(first, 1) == []
    assert framer.feed(second, 2) == [(1, first), (2, second)]
    assert framer.feed(b"xx" + first, 3) == []
    assert framer.feed(second, 4) == [(3, first), (4, second)]


def test_a_long_backlog_is_unescaped_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """After a stall a TCP port hands over 64 KiB: unescaped for every frame they took 40 s."""
    form = FrameFormat(
        b"\xaa\x55",
        CarriedLength(2, adds=5),
        checksum=CRC,
        covers_from=2,
        escape=Escape(0x7D, 0x20),
    )
    plain = 0

    def counting(*given: Any) -> tuple[bytes, int]:
        nonlocal plain
        found = unescape(*given)
        plain += len(found[0])
        return found

    monkeypatch.setattr("capture.sources.serial.framing.unescape", counting)
    sent = [frame(form, bytes([0x7D, n])) for n in range(200)]
    stream = b"".join(wire(form, each) for each in sent)
    assert cut(form, stream) == sent
    assert plain < 2 * len(stream)


def test_a_doubled_escape_byte() -> None:
    assert cut(DOUBLED, b"\x10\x02a\x10\x10b\x10\x03") == [b"\x10\x02a\x10b"]


@given(st.lists(st.lists(st.sampled_from(b"\x02\x03\x10a"), min_size=1), min_size=1), st.data())
def test_content_that_looks_like_the_end(contents: list[list[int]], data: st.DataObject) -> None:
    """DLE DLE ETX is a DLE and an ETX of the content."""
    sent = [b"\x10\x02" + bytes(content) for content in contents]
    stream = b"".join(
        b"\x10\x02" + plain[2:].replace(b"\x10", b"\x10\x10") + b"\x10\x03" for plain in sent
    )
    assert cut(DOUBLED, stream, data.draw(st.integers(1, 9))) == sent


def test_a_carried_length_beyond_the_longest_is_damage_at_once() -> None:
    form = FrameFormat(b"\xaa", CarriedLength(1, 2, "big"), checksum=CRC, longest=64)
    good = b"\xaa\x00\x07ok"
    good += CRC.of(good).to_bytes(2, "little")
    assert cut(form, b"\xaa\xff\xff" + good) == [good]


@given(st.sampled_from([*FORMATS, DOUBLED]), st.binary(max_size=400), st.integers(1, 9))
def test_any_bytes_end_and_leave_a_bounded_rest(
    form: FrameFormat, stream: bytes, cuts: int
) -> None:
    cut(form, stream, cuts)
    framer = Framer(form)
    for _ in range(40):
        framer.feed(stream, 1)
    assert len(framer._stream) <= 2 * form.longest + 2 * len(stream) + 16


@pytest.mark.parametrize(
    ("name", "size", "check"),
    [  # check values of the CRC catalogue, over "123456789"
        ("CRC-16/MODBUS", 2, 0x4B37),
        ("CRC-16", 2, 0xBB3D),  # an alias of CRC-16/ARC
        ("crc-16/xmodem", 2, 0x31C3),
        ("CRC-16/CCITT-FALSE", 2, 0x29B1),
        ("CRC-16/KERMIT", 2, 0x2189),
        ("CRC-8/SAE-J1850", 1, 0x4B),
        ("CRC-8/SMBUS", 1, 0xF4),
        ("CRC-32/ISO-HDLC", 4, 0xCBF43926),
        ("SUM-8", 1, 0xDD),
        ("SUM-16", 2, 0x01DD),
        ("SUM-8/NEGATED", 1, 0x23),
        ("SUM-8/INVERTED", 1, 0x22),
        ("XOR-8", 1, 0x31),
    ],
)
def test_checksums_by_name(name: str, size: int, check: int) -> None:
    found = checksum(name)
    assert (found.size, found.of(b"123456789")) == (size, check)


def test_an_unknown_checksum_says_what_is_near() -> None:
    with pytest.raises(ValueError, match=r"near: .*CRC-16/MODBUS"):
        checksum("CRC16-MODBU")
    with pytest.raises(ValueError, match="near: CRC-ARC,"):
        checksum("ARC")
