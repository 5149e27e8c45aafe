"""A real CAN log beside values that cantools and the publisher's own speed agreed on."""

import gzip
from pathlib import Path

import pytest
from real_log import BUS, CAR, assert_reference_values, real_log, real_map

from decode.decoder import Decoder
from decode.records import RecordBatch, SessionInfo, SourceInfo, SourceKind

FRAMES_AT_A_TIME = 1000  # a few live batches, so that cutting is part of the test


def candump(file: Path) -> RecordBatch:
    """The frames of one bus of a candump log."""
    times, identifiers, payloads = [], [], []
    with gzip.open(file, "rt") as log:
        for line in log:
            stamp, bus, frame = line.split()
            if bus == BUS:
                identifier, _, data = frame.partition("#")
                times.append(round(float(stamp[1:-1]) * 1e6) * 1000)
                identifiers.append(int(identifier, 16))
                payloads.append(bytes.fromhex(data))
    return RecordBatch.of(CAR, times, payloads, identifiers)


def pieces(log: RecordBatch) -> list[RecordBatch]:
    cuts = range(0, len(log), FRAMES_AT_A_TIME)
    return [
        RecordBatch(
            log.source,
            log.arrived_ns[i : i + FRAMES_AT_A_TIME],
            log.adapter_ns[i : i + FRAMES_AT_A_TIME],
            log.address[i : i + FRAMES_AT_A_TIME],
            log.flags[i : i + FRAMES_AT_A_TIME],
            log.data,
            log.offsets[i : i + FRAMES_AT_A_TIME + 1],
        )
        for i in cuts
    ]


@pytest.mark.parametrize("at_once", [True, False])
def test_every_reference_value_is_met(open_data: Path, at_once: bool) -> None:
    pytest.importorskip("cantools")
    session = SessionInfo("s", "b", 0, 0, (SourceInfo(CAR, SourceKind.CAN),))
    decoder = Decoder(real_map(open_data), session)
    log = candump(real_log(open_data))
    parts = [decoder.decode_all([log])] if at_once else [decoder.decode(p) for p in pieces(log)]
    assert_reference_values(open_data, parts)
