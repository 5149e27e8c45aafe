import numpy as np

from decode.channel_map import parse_map
from decode.raw_bytes import RawBytes
from decode.records import Flag, RecordBatch, SourceInfo, SourceKind

MAP = """\
pullwatch_map: 1
lines: {dyno: {delimiter: ";", starts_with: "D"}}
channels:
  plain: {source: bus, can: {identifier: 0x100, start_bit: 0, bits: 8}}
  long: {source: bus, can: {identifier: 0x100, extended: true, start_bit: 0, bits: 8}}
  speed: {source: dyno, line: {field: 1}}
  cell: {source: table, column: B}
  parameter: {source: ecu, unit: rpm, diagnostic: {service: 0x01, parameter: 0x0C}}
  read: {source: ecu, diagnostic: {service: 0x22, identifier: 0xF40D, start_bit: 0, bits: 8}}
  sum: {formula: "plain + long"}
"""
SOURCES = (
    SourceInfo("bus", SourceKind.CAN),
    SourceInfo("dyno", SourceKind.LINES),
    SourceInfo("table", SourceKind.TABLE, ("A", "B")),
    SourceInfo("ecu", SourceKind.DIAGNOSTICS),
)


def test_the_newest_record_of_each_channel_is_shown_as_a_person_reads_it() -> None:
    raw = RawBytes(parse_map(MAP), SOURCES)
    extended = int(Flag.EXTENDED)
    raw.follow(
        RecordBatch.of(
            "bus",
            [0, 1, 2, 3],
            [b"\x01\x02", b"\x03", b"\x0a", b"gone"],
            address=[0x100, 0x100, 0x100, 0x100],
            flags=[0, 0, extended, int(Flag.GAP)],
        )
    )
    raw.follow(RecordBatch.of("dyno", [4, 5], [b"D;12.5", b"# a comment"]))
    cell = np.array([2.5], dtype="<f8").tobytes()
    raw.follow(RecordBatch.of("table", [6], [cell], address=[1]))
    raw.follow(RecordBatch.of("ecu", [7, 8], [bytes.fromhex("410C1AF8"), b"\x62\xf4\x0d\x33"]))
    assert raw.text("plain", "bus") == "03"
    assert raw.text("long", "bus") == "0A"
    assert raw.text("speed", "dyno") == "D;12.5"
    assert raw.text("cell", "table") == "2.5"
    assert raw.text("parameter", "ecu") == "41 0C 1A F8"
    assert raw.text("read", "ecu") == "62 F4 0D 33"
    assert raw.text("sum", "") == ""
