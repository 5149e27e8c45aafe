import pytest
from hypothesis import given
from hypothesis import strategies as st

from capture.sources.gate.k_line_frames import TESTER, Addressing, KLineFrame, decode, frame_size

# Published frames, checksum last; sources in the comments.
PUBLISHED = [
    # fast initialisation: start communication, and two ECUs' key bytes
    ("C1 33 F1 81 66", Addressing.FUNCTIONAL, 0x33, 0xF1, "81"),
    ("83 F1 11 C1 EF 8F C4", Addressing.PHYSICAL, 0xF1, 0x11, "C1 EF 8F"),
    ("83 F1 10 C1 E9 8F BD", Addressing.PHYSICAL, 0xF1, 0x10, "C1 E9 8F"),
    ("81 10 F1 81 03", Addressing.PHYSICAL, 0x10, 0xF1, "81"),
    # J1979 requests and answers, recorded from cars
    ("C2 33 F1 01 0C F3", Addressing.FUNCTIONAL, 0x33, 0xF1, "01 0C"),
    ("C2 33 F1 01 05 EC", Addressing.FUNCTIONAL, 0x33, 0xF1, "01 05"),
    ("C2 33 F1 01 0F F6", Addressing.FUNCTIONAL, 0x33, 0xF1, "01 0F"),
    ("C2 33 F1 01 0D F4", Addressing.FUNCTIONAL, 0x33, 0xF1, "01 0D"),
    ("C2 33 F1 01 00 E7", Addressing.FUNCTIONAL, 0x33, 0xF1, "01 00"),
    ("86 F1 10 41 00 BE 3F E8 11 BE", Addressing.PHYSICAL, 0xF1, 0x10, "41 00 BE 3F E8 11"),
    ("84 F1 11 41 0C 0A 86 63", Addressing.PHYSICAL, 0xF1, 0x11, "41 0C 0A 86"),
    ("83 F1 11 41 11 22 F9", Addressing.PHYSICAL, 0xF1, 0x11, "41 11 22"),
]


@pytest.mark.parametrize(("frame", "addressing", "target", "source", "data"), PUBLISHED)
def test_published_frames_both_ways(
    frame: str, addressing: Addressing, target: int, source: int, data: str
) -> None:
    built = KLineFrame(bytes.fromhex(data), addressing, target, source)
    assert built.encode() == bytes.fromhex(frame)
    assert decode(bytes.fromhex(frame)) == built


def test_the_four_header_forms() -> None:
    read = bytes.fromhex("21 01")
    physical = KLineFrame(read, Addressing.PHYSICAL, 0x11, TESTER)
    assert KLineFrame(read).encode() == bytes.fromhex("02 21 01 24")
    assert KLineFrame(read).encode(length_byte=True) == bytes.fromhex("00 02 21 01 24")
    assert physical.encode() == bytes.fromhex("82 11 F1 21 01 A6")
    assert physical.encode(length_byte=True) == bytes.fromhex("80 11 F1 02 21 01 A6")


@given(
    data=st.binary(min_size=1, max_size=255),
    addressing=st.sampled_from(Addressing),
    length_byte=st.booleans(),
    rest=st.binary(max_size=4),
)
def test_every_frame_comes_back_and_its_size_is_known_from_its_start(
    data: bytes, addressing: Addressing, length_byte: bool, rest: bytes
) -> None:
    has_addresses = addressing is not Addressing.NONE
    frame = KLineFrame(data, addressing, *((0x11, TESTER) if has_addresses else ()))
    encoded = frame.encode(length_byte)
    assert decode(encoded) == frame
    assert frame_size(encoded + rest) == len(encoded)
    sizes = [frame_size(encoded[:n]) for n in range(len(encoded))]
    assert set(sizes) <= {None, len(encoded)}  # no early cut gives another size


@given(st.binary(max_size=300))
def test_arbitrary_bytes_are_a_frame_or_a_value_error(received: bytes) -> None:
    try:
        frame = decode(received)
    except ValueError:
        return
    assert sum(received[:-1]) & 0xFF == received[-1]
    assert frame.data in received


@pytest.mark.parametrize(
    "frame", ["48 6B 10 41 0C 0A 86 00", "80 11 F1 00 82", "C2 33 F1 01 0C F4", "C2 33 F1 01", ""]
)
def test_no_frame(frame: str) -> None:
    with pytest.raises(ValueError, match=r"checksum|length|data|Addressing"):
        decode(bytes.fromhex(frame))


@pytest.mark.parametrize("length", [0, 256])
def test_lengths_that_do_not_exist(length: int) -> None:
    with pytest.raises(ValueError, match="1 to 255"):
        KLineFrame(bytes(length)).encode()
