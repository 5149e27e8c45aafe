"""The segmenter over 32 h of real drives: `python tests/benchmarks/segmentation_real.py FOLDER`.

FOLDER: the open data, with kit_obd2 in it. What was seen on plots of every drive stands in
tests/analysis/real_drives.py; the peer is that eye. Ends with 1 where anything differs from it, a
long pull is not of one gear, a false pull comes in ten hours, or an intake flap is believed.
"""

import sys
from pathlib import Path
from typing import Final

sys.path.insert(0, str(Path(__file__).parents[1] / "analysis"))

from real_drives import (
    DOUBTFUL,
    PART_LOAD,
    PULLS,
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

FLAP_EVERY: Final = 4  # drives
MOST_BY_FLAP: Final = 3  # in eight hours, of over a thousand that trust in it would find
NEAR_RPM_PER_KMH: Final = 0.1


def main() -> int:
    """Print a line a drive, and the sums."""
    drives = drives_in(Path(sys.argv[1]))
    assert {name_of(path) for path in drives} >= set(PULLS), "drives are missing"
    differing, false, long = [], [], []
    for path in drives:
        pulls = bounds(segment(path))
        differing += [] if as_seen(path, pulls) else [path.name]
        false += false_pulls(path, pulls)
        long += rpm_per_kmh_of_long(path, pulls)
        print(f"{name_of(path):40} {hours(path):5.2f} h {len(pulls):3} pulls")
    driven = sum(map(hours, drives))
    one_gear = [abs(ratio - TOP_GEAR_RPM_PER_KMH) <= NEAR_RPM_PER_KMH for ratio in long]
    flap = [by_flap(path) for path in drives[::FLAP_EVERY]]
    believed = sum(pulls for _, pulls in flap)
    print(f"{driven:.1f} h; other than seen: {differing or 'none'}; false: {false}")
    print(f"long pulls of one gear: {sum(one_gear)} of {len(long)}")
    print(f"intake flap: {[w for w, _ in flap]} warnings, {believed} pulls in {len(flap)} drives")
    good = (
        not differing
        and false == [PART_LOAD]
        and (len(false) + len(DOUBTFUL)) / driven < 0.1
        and all(one_gear)
        and all(warnings == 1 for warnings, _ in flap)
        and believed <= MOST_BY_FLAP
    )
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
