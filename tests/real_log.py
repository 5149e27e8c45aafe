"""The real CAN log of the open data, and what cantools and the publisher's own speed say of it."""

import csv
from collections.abc import Iterable
from pathlib import Path
from typing import Final

import numpy as np

from decode.channel_map import ChannelMap, parse_map
from decode.network_files import map_text, read_network
from decode.samples import SampleBatch

TOLERANCE: Final = 1e-6
BUS: Final = "can0"  # of the log: the bus that is described
CAR: Final = "car"  # its name in the map
SIGNALS: Final = 4


def real_log(open_data: Path) -> Path:
    return open_data / "comma2k19" / "candump_part1_0-30s.log.gz"


def real_map(open_data: Path) -> ChannelMap:
    """The map made of its network description."""
    network = read_network(open_data / "comma2k19" / "engine_subset.dbc", CAR)
    return parse_map(map_text(network, "engine_subset.dbc"))


def assert_reference_values(
    open_data: Path, samples: Iterable[SampleBatch], zero_s: float = 0.0
) -> None:
    """Every reference value is there, in time and value, and nothing beside it.

    zero_s: the log's time at which the samples' time is 0.
    """
    parts = list(samples)
    expected = _reference(open_data / "comma2k19" / "decoded_reference_part1_0-30s.csv")
    assert len(expected) == SIGNALS
    for signal, (times_s, values) in expected.items():
        (name,) = {n for part in parts for n in part if n.endswith(f"_{signal}")}
        found = [part[name] for part in parts if name in part]
        time_s = np.concatenate([part.time_s for part in found])
        value = np.concatenate([part.value for part in found])
        np.testing.assert_allclose(time_s + zero_s, times_s, atol=TOLERANCE, rtol=0.0)
        np.testing.assert_allclose(value, values, atol=TOLERANCE, rtol=0.0)


def _reference(file: Path) -> dict[str, tuple[list[float], list[float]]]:
    values: dict[str, tuple[list[float], list[float]]] = {}
    with file.open(newline="") as table:
        for row in csv.DictReader(table):
            times, column = values.setdefault(row["signal"], ([], []))
            times.append(float(row["t"]))
            column.append(float(row["value"]))
    return values
