"""Example bytes from the published tables of SAE J1979 and public handbooks."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import decode
from decode.channel_map import load_map, parse_map
from decode.decoder import Decoder
from decode.diagnostics import ResponseReader, parameter_size, supported_parameters
from decode.errors import InputFileError
from decode.records import Flag, RecordBatch, SessionInfo, SourceInfo, SourceKind
from decode.samples import SampleBatch
from decode.standard_parameters import PARAMETERS

SESSION = SessionInfo("s", "b", 0, 0, (SourceInfo("ecu", SourceKind.DIAGNOSTICS),))
# every value of every parameter as a channel named p_0C, p_70_commanded_a, ...
EVERY_MAP = "pullwatch_map: 1\nchannels:\n" + "".join(
    f"  p_{number:02X}{'_' * bool(name)}{name}: {{source: ecu, unit: '{value.unit}', "
    f"diagnostic: {{service: 0x01, parameter: 0x{number:02X}, value: '{name}'}}}}\n"
    for number, parameter in PARAMETERS.items()
    for name, value in parameter.values.items()
)
EVERY = parse_map(EVERY_MAP)


def decoder(text: str = "") -> Decoder:
    return Decoder(parse_map(text) if text else EVERY, SESSION)


def answer(*responses: str, responders: tuple[int, ...] = ()) -> RecordBatch:
    payloads = [bytes.fromhex(response) for response in responses]
    count = len(payloads)
    return RecordBatch.of("ecu", list(range(count)), payloads, list(responders) or [0x7E8] * count)


def values_of(samples: SampleBatch) -> dict[str, list[float]]:
    return {name: column.value.tolist() for name, column in samples.items()}


@pytest.mark.parametrize(
    ("response", "expected"),
    [
        ("41 04 80", {"p_04": 50.196}),
        ("41 05 7B", {"p_05": 83}),
        ("41 06 7D", {"p_06": -2.344}),
        ("41 09 FF", {"p_09": 99.219}),
        ("41 0A 80", {"p_0A": 384}),
        ("41 0B F0", {"p_0B": 240}),
        ("41 0C 1A F8", {"p_0C": 1726}),
        ("41 0D 64", {"p_0D": 100}),
        ("41 0E 8C", {"p_0E": 6}),
        ("41 0E A0", {"p_0E": 16}),
        ("41 0F 46", {"p_0F": 30}),
        ("41 10 3A 98", {"p_10": 150}),
        ("41 11 D9", {"p_11": 85.098}),
        ("41 1F 02 58", {"p_1F": 600}),
        ("41 22 13 88", {"p_22": 395}),
        ("41 23 4E 20", {"p_23": 200000}),
        ("41 59 4E 20", {"p_59": 200000}),
        ("41 24 6B 85 2E E0", {"p_24_lambda": 0.84, "p_24_voltage": 1.4648}),
        ("41 34 6B 85 7F 00", {"p_34_lambda": 0.84, "p_34_current": -1}),
        ("41 33 62", {"p_33": 98}),
        ("41 42 37 14", {"p_42": 14.1}),
        ("41 43 01 F4", {"p_43": 196.078}),
        ("41 44 6C CD", {"p_44": 0.85}),
        ("41 4F 00 00 00 28", {"p_4F_manifold_pressure": 400, "p_4F_lambda": 0}),
        ("41 5C 8C", {"p_5C": 100}),
        ("41 5D 69 00", {"p_5D": 0}),
        ("41 5E 0C 80", {"p_5E": 160}),
        ("41 62 E1", {"p_62": 100}),
        ("41 63 01 90", {"p_63": 400}),
        ("41 66 01 1F 40 00 00", {"p_66_a": 250}),
        (
            "41 6D 07 4E 20 4D BC 5A 00 00 00 00 00",
            {"p_6D_commanded_a": 200000, "p_6D_actual_a": 199000, "p_6D_temperature_a": 50},
        ),
        ("41 6F 01 62 00", {"p_6F_a": 98}),
        ("41 6F 04 62 00", {"p_6F_a_wide": 784}),
        (
            "41 70 07 1B 80 1A 40 00 00 00 00 02",
            {"p_70_commanded_a": 220, "p_70_actual_a": 210},
        ),
        ("41 72 03 80 7A 00 00", {"p_72_commanded_a": 50.196, "p_72_actual_a": 47.843}),
        ("41 73 01 3A 98 00 00", {"p_73_bank_1": 150}),
        ("41 74 01 2E E0 00 00", {"p_74_a": 120000}),
        (
            "41 75 0F 46 A0 23 28 1F 40",
            {
                "p_75_compressor_inlet": 30,
                "p_75_compressor_outlet": 120,
                "p_75_turbine_inlet": 860,
                "p_75_turbine_outlet": 760,
            },
        ),
        ("41 77 01 52 00 00 00", {"p_77_bank_1_1": 42}),
        ("41 78 01 23 28 00 00 00 00 00 00", {"p_78_sensor_1": 860}),
        ("41 7F 01 00 01 86 A0" + " 00" * 8, {"p_7F_total": 100000}),
        ("41 87 01 19 00 00 00", {"p_87_a": 200}),
    ],
)
def test_published_examples(response: str, expected: dict[str, float]) -> None:
    samples = decoder().decode(answer(response))
    shown = {name: value for name, (value,) in values_of(samples).items() if name in expected}
    assert shown == pytest.approx(expected, rel=2e-4, abs=1e-3)


def test_a_value_whose_support_bit_is_not_set_is_not_there() -> None:
    samples = decoder().decode(
        answer("41 70 05 1B 80 1A 40 00 00 00 00 02", "41 77 00 52 52 52 52")
    )
    assert values_of(samples) == {"p_70_commanded_a": [220.0]}


def test_support_bytes_are_never_read_as_data() -> None:
    for number, parameter in PARAMETERS.items():
        if number > 0x64 and len(parameter.values) > 1:
            assert all(v.support and v.first_byte >= 1 for v in parameter.values.values()), number
        ends = [v.first_byte + v.size for v in parameter.values.values()]
        assert max(ends) <= parameter.size, number


def test_4f_and_50_rescale_what_follows_from_the_same_ecu_only() -> None:
    polled = decoder()
    before = polled.decode(answer("41 0B C0", "41 10 80 00"))
    assert values_of(before) == {"p_0B": [192.0], "p_10": [327.68]}
    polled.decode(answer("41 4F 04 10 40 28", "41 50 A0 00 00 00"))
    after = values_of(
        polled.decode(
            answer(
                *("41 0B C0", "41 10 80 00", "41 44 40 00", "41 24 40 00 40 00"),
                *("41 34 40 00 C0 00", "41 0B C0"),
                responders=(0x7E8, 0x7E8, 0x7E8, 0x7E8, 0x7E8, 0x7E9),
            )
        )
    )
    assert after["p_0B"] == pytest.approx([301.176, 192.0], abs=1e-3)
    assert after["p_10"] == pytest.approx([0x8000 / 65535 * 1600], abs=1e-3)
    assert after["p_44"] == pytest.approx([1.0])
    assert after["p_24_lambda"] == pytest.approx([1.0])
    assert after["p_24_voltage"] == pytest.approx([4.0])
    assert after["p_34_current"] == pytest.approx([32.0])


def test_several_parameters_in_one_response() -> None:
    samples = decoder().decode(answer("41 0B 21 0C 0C 38 0D 00 0E 8C 0F 46 10 00 64"))
    assert values_of(samples) == {
        "p_0B": [33.0],
        "p_0C": [782.0],
        "p_0D": [0.0],
        "p_0E": [6.0],
        "p_0F": [30.0],
        "p_10": [1.0],
    }


@pytest.mark.parametrize("response", ["41 0C 1A", "41 FD 00", "41", "", "62 F4", "62 12 34 00"])
def test_a_response_not_understood_is_counted_and_gives_nothing(response: str) -> None:
    polled = decoder()
    assert polled.decode(answer(response)) == {}
    assert polled.undecodable == {"ecu": 1}


@pytest.mark.parametrize("response", ["7F 01 12", "7E 00", "50 03 00 32 01 F4"])
def test_answers_that_carry_no_value_are_passed_over(response: str) -> None:
    polled = decoder()
    assert polled.decode(answer(response)) == {}
    assert polled.undecodable == {"ecu": 0}


IDENTIFIED = """\
pullwatch_map: 1
channels:
  rpm: {quantity: engine_speed, source: ecu, unit: rpm, diagnostic:
        {service: 0x22, identifier: 0xF40C, start_bit: 7, bits: 16, byte_order: big_endian,
         scale: 0.25}}
  first: {source: ecu, diagnostic: {service: 0x22, identifier: 1, length: 2, start_bit: 7, bits: 16,
          byte_order: big_endian}}
  second: {source: ecu, diagnostic: {service: 0x22, identifier: 2, length: 2, start_bit: 8, bits: 8,
           signed: true}}
  fourth: {source: ecu, diagnostic: {service: 0x22, identifier: 4, length: 3, start_bit: 0,
           bits: 8}}
  third: {source: ecu, diagnostic: {service: 0x22, identifier: 3, length: 1, start_bit: 0, bits: 8}}
  local: {source: ecu, diagnostic: {service: 0x21, identifier: 1, start_bit: 8, bits: 8}}
"""


def test_data_identifiers() -> None:
    polled = decoder(IDENTIFIED)
    assert values_of(polled.decode(answer("62 F4 0C 1A F8"))) == {"rpm": [1726.0]}
    many = "62 00 01 12 34 00 02 56 F8 00 04 61 62 63 00 03 11"
    assert values_of(polled.decode(answer(many + " 00 00"))) == {
        "first": [0x1234],
        "second": [-8.0],
        "fourth": [0x61],
        "third": [0x11],
    }
    assert values_of(polled.decode(answer("61 01 AA 55"))) == {"local": [0x55]}
    assert polled.undecodable == {"ecu": 0}


def test_requests_of_our_own_are_passed_over() -> None:
    sent = RecordBatch.of("ecu", [0], [b"\x41\x0d\x64"], [0x7E0], [int(Flag.SENT)])
    assert decoder().decode(sent) == {}


def test_supported_parameters() -> None:
    # a widely published answer to 0x00
    assert supported_parameters(0, bytes.fromhex("BE1FA813")) == {
        *(0x01, 0x03, 0x04, 0x05, 0x06, 0x07, 0x0C, 0x0D, 0x0E, 0x0F, 0x10, 0x11, 0x13, 0x15),
        *(0x1C, 0x1F, 0x20),
    }
    assert parameter_size(0x40) == 4
    assert parameter_size(0x70) == 10
    assert parameter_size(0xFD) is None


def test_the_standard_map_is_sound_and_polls_only_what_is_known() -> None:
    standard = load_map(Path(decode.__file__).parent / "maps" / "obd_standard.yaml")
    assert len(standard.channels) >= 25
    assert standard.sources == {"ecu"}


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ("unit: rpm, diagnostic: {service: 1, parameter: 0xFD}", "0xFD is not known here; allowed"),
        ("unit: krpm, diagnostic: {service: 1, parameter: 0x0C}", 'gives it in "rpm", not "krpm"'),
        (
            "unit: kPa, diagnostic: {service: 1, parameter: 0x70}",
            '"" is no value of boost pressure control (absolute); allowed: actual_a',
        ),
        (
            "unit: rpm, diagnostic: {service: 1, parameter: 0x0C, value: a}",
            '"a" is no value of engine speed; it has one value, without a name',
        ),
        (
            "diagnostic: {service: 0x21, identifier: 0x100, start_bit: 0, bits: 8}",
            "0x100 is no local identifier; allowed: 0x00 to 0xff",
        ),
    ],
)
def test_mistakes_in_the_map(entry: str, message: str) -> None:
    with pytest.raises(InputFileError) as caught:
        parse_map(f"pullwatch_map: 1\nchannels:\n  x: {{source: ecu, {entry}}}\n")
    assert message in str(caught.value)


@given(st.lists(st.binary(max_size=24), max_size=10))
def test_any_bytes_are_understood_whole_or_counted(responses: list[bytes]) -> None:
    batch = RecordBatch.of("ecu", list(range(len(responses))), responses)
    polled = decoder()
    samples = polled.decode(batch)
    reader = ResponseReader({})
    assert polled.undecodable["ecu"] == sum(reader.items(r) is None for r in responses)
    assert all(np.isfinite(column.value).all() for column in samples.values())
