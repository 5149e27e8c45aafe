"""Pulls in real drives (real_drives.py), of which these are a fifth; tests/benchmarks/
segmentation_real.py goes through all 32 hours."""

from pathlib import Path

import pytest
from real_drives import (
    PART_LOAD,
    TOP_GEAR_RPM_PER_KMH,
    as_seen,
    bounds,
    by_flap,
    drives_in,
    false_pulls,
    hours,
    name_of,
    rpm_per_kmh_of_long,
    segment,
)

from analysis.model.pull import PullBounds

pytestmark = pytest.mark.slow
# With the foot that sinks to 89 %, the part load, short and long ones; then without a pull.
DRIVES = (
    "2017-07-05_S_KA_Normal",
    "2017-07-11_KA_S_Normal",
    "2017-07-26_S_KA_Normal",
    "2017-08-07_KA_RT_Frei",
    "2017-08-07_RT_KA_Frei_Vollbremsung",
    "2017-07-13_KA_KA_Normal",
    "2017-07-14_KA_KA_Frei",
    "2017-07-31_KA_KA_Frei",
    "2017-08-10_S_RT_Frei",
)
MOST_BY_FLAP = 1  # in 1.7 hours, of over two hundred that trust in it would find


@pytest.fixture(scope="module")
def drives(open_data: Path) -> list[Path]:
    found = [path for path in drives_in(open_data) if name_of(path) in DRIVES]
    if not found:
        pytest.skip(f"no drives in {open_data / 'kit_obd2'}")
    assert len(found) == len(DRIVES)
    return found


@pytest.fixture(scope="module")
def pulls_by_pedal(drives: list[Path]) -> dict[Path, list[PullBounds]]:
    return {path: bounds(segment(path)) for path in drives}


def test_what_is_found_is_what_was_seen(pulls_by_pedal: dict[Path, list[PullBounds]]) -> None:
    """No pull is lost or cut otherwise, and none comes that nobody has looked at."""
    assert sum(map(len, pulls_by_pedal.values())) == 22
    for path, found in pulls_by_pedal.items():
        assert as_seen(path, found), (path.name, found)


def test_long_pulls_are_one_gear(pulls_by_pedal: dict[Path, list[PullBounds]]) -> None:
    ratios = [r for path, pulls in pulls_by_pedal.items() for r in rpm_per_kmh_of_long(path, pulls)]
    assert len(ratios) == 14
    assert ratios == pytest.approx([TOP_GEAR_RPM_PER_KMH] * len(ratios), abs=0.1)


def test_no_false_pull_but_the_part_load(pulls_by_pedal: dict[Path, list[PullBounds]]) -> None:
    false = [each for path, pulls in pulls_by_pedal.items() for each in false_pulls(path, pulls)]
    assert sum(map(hours, pulls_by_pedal)) > 6.0
    assert false == [PART_LOAD]


def test_an_intake_flap_mapped_as_throttle_is_warned_of_and_not_believed(
    drives: list[Path],
) -> None:
    found = [by_flap(path) for path in drives[::4]]
    assert [warnings for warnings, _ in found] == [1] * len(found)
    assert sum(pulls for _, pulls in found) <= MOST_BY_FLAP
