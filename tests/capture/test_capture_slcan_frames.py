from hypothesis import given
from hypothesis import strategies as st

from capture.sources.gate.slcan_frames import FD_LENGTH, FORMS, parse_frames
from decode.records import NO_ADAPTER_TIME, Flag


def line(address: int, data: bytes, flags: Flag, stamp: int | None) -> bytes:
    letter, width = ("t", 3) if not flags & Flag.EXTENDED else ("T", 8)
    if flags & Flag.FD:
        letter = "d" if letter == "t" else "D"
    if flags & Flag.REMOTE:
        letter = "r" if letter == "t" else "R"
    text = f"{letter}{address:0{width}X}{FD_LENGTH.index(len(data)):X}"
    text += "" if flags & Flag.REMOTE else data.hex()
    return (text + ("" if stamp is None else f"{stamp:04X}")).encode()


@st.composite
def frames(draw: st.DrawFn) -> tuple[int, bytes, Flag, int | None]:
    flags = draw(st.sampled_from([Flag.NONE, Flag.FD, Flag.REMOTE])) | draw(
        st.sampled_from([Flag.NONE, Flag.EXTENDED])
    )
    address = draw(st.integers(0, 0x1FFF_FFFF if flags & Flag.EXTENDED else 0x7FF))
    length = draw(st.sampled_from(FD_LENGTH if flags & Flag.FD else FD_LENGTH[:9]))
    data = draw(st.binary(min_size=length, max_size=length))
    return address, data, flags, draw(st.none() | st.integers(0, 0xFFFF))


@given(st.lists(frames(), max_size=20))
def test_every_written_frame_is_read_back(
    written: list[tuple[int, bytes, Flag, int | None]],
) -> None:
    read = parse_frames([line(*frame) for frame in written])
    assert read.address == [address for address, *_ in written]
    assert read.flags == [flags for *_, flags, _ in written]
    assert read.payloads == [b"" if f & Flag.REMOTE else data for _, data, f, _ in written]
    assert read.stamp_ms == [NO_ADAPTER_TIME if s is None else s for *_, s in written]
    assert not read.others
    assert read.damaged == 0


@given(frames(), st.data())
def test_a_frame_that_lost_a_character_is_never_read_as_another_length(
    frame: tuple[int, bytes, Flag, int | None], data: st.DataObject
) -> None:
    whole = line(*frame)
    at = data.draw(st.integers(1, len(whole) - 1))
    read = parse_frames([whole[:at] + whole[at + 1 :]])  # one hex digit too few: an odd number
    assert read.damaged == 1
    assert not read.payloads


@given(st.lists(st.binary(max_size=40), max_size=10))
def test_any_bytes_are_a_frame_damage_or_something_else(lines: list[bytes]) -> None:
    read = parse_frames(lines)
    assert len(read.payloads) + len(read.others) + read.damaged == len(lines)
    assert all(entry[:1] not in FORMS for entry in read.others)


def test_signs_spaces_and_underscores_are_no_hex_digits() -> None:
    assert parse_frames([b"t3_01AA", b"t+101AA", b"t 101AA", b"t3101 A"]).damaged == 4
