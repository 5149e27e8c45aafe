"""A real CAN log beside values that cantools and the publisher's own speed agreed on."""

import csv
import gzip
from pathlib import Path

import numpy as np
import pytest

from decode.channel_map import parse_map
from decode.decoder import Decoder
from decode.network_files import map_text, read_network
from decode.records import RecordBatch, SessionInfo, SourceInfo, SourceKind

TOLERANCE = 1e-6
BUS = "can0"
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
    return RecordBatch.of("car", times, payloads, identifiers)


def reference(file: Path) -> dict[str, tuple[list[float], list[float]]]:
    values: dict[str, tuple[list[float], list[float]]] = {}
    with file.open(newline="") as table:
        for row in csv.DictReader(table):
            times, column = values.setdefault(row["signal"], ([], []))
            times.append(float(row["t"]))
            column.append(float(row["value"]))
    return values


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
    folder = open_data / "comma2k19"
    network = read_network(folder / "engine_subset.dbc", "car")
    session = SessionInfo("s", "b", 0, 0, (SourceInfo("car", SourceKind.CAN),))
    decoder = Decoder(parse_map(map_text(network, "engine_subset.dbc")), session)
    log = candump(folder / "candump_part1_0-30s.log.gz")
    parts = [decoder.decode_all([log])] if at_once else [decoder.decode(p) for p in pieces(log)]
    expected = reference(folder / "decoded_reference_part1_0-30s.csv")
    assert len(expected) == 4
    for signal, (times, values) in expected.items():
        (name,) = [n for n in network.entries if n.endswith(f"_{signal}")]
        found = [part[name] for part in parts if name in part]
        time_s = np.concatenate([samples.time_s for samples in found])
        value = np.concatenate([samples.value for samples in found])
        np.testing.assert_allclose(time_s, times, atol=TOLERANCE, rtol=0.0)
        np.testing.assert_allclose(value, values, atol=TOLERANCE, rtol=0.0)
