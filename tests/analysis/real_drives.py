"""Real drives of a turbo-diesel car, polled every 0.9 s a signal: 32 h of ordinary driving.

Every pull the segmenter finds in the 38 drives is listed below. Each was looked at once on a plot
of pedal, engine speed, road speed and manifold pressure, 8 s to either side. What was seen:

- 50 are full pedal in one gear with rising engine and road speed, found whole within two readings.
  In some the foot stood at 90 to 93 % of its stop for a few seconds at one end, with full manifold
  pressure; the segmenter counts that in (its hysteresis ends at 90 %).
  In one (2017-07-05_S_KA_Normal, from 951 s) it sank to 89 % for 2 s in the middle; pressure and
  speed took no notice, and a foot that comes back so soon splits nothing.
- PART_LOAD: no full pedal. It stood at 73 of the 85 % that the same drive shows later; nothing
  had been learned yet, so the lowest full scale (77 %) was taken.
- DOUBTFUL: full pedal and in gear, but a burst of 2.7 and 1.7 s between gear changes, two or three
  readings long: of no use for a measurement.

Seen too and not found: 22 s at 90 % of the stop with speed rising (2017-08-01_KA_RT_Normal, from
2018 s; a pull opens at 94.5 %), and short ones refused for a rise of less than 200 rpm.
"""

from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
import pandas as pd

from analysis.model.events import PullEnded, SegmenterEvent
from analysis.model.pull import PullBounds, Refused
from analysis.segmenting.segmenter import Segmenter
from decode.quantities import Quantity
from decode.samples import Channel, Samples

COLUMNS: Final = {
    "Engine RPM [RPM]": Quantity.ENGINE_SPEED,
    "Vehicle Speed Sensor [km/h]": Quantity.VEHICLE_SPEED,
    "Intake Manifold Absolute Pressure [kPa]": Quantity.MANIFOLD_PRESSURE,
    "Absolute Throttle Position [%]": Quantity.THROTTLE_POSITION,
    "Accelerator Pedal Position D [%]": Quantity.PEDAL_POSITION,
}
PULLS: Final = {  # drive: (from, to) in s: the bounds found, rounded, held against the plot
    "2017-07-05_S_KA_Normal": [
        (872, 913),
        (951, 971),
        (994, 1013),
        (1044, 1079),
        (1108, 1114),
        (1149, 1168),
    ],
    "2017-07-06_KA_RT_Normal": [(2106, 2121), (2213, 2239), (2565, 2575)],
    "2017-07-11_KA_S_Normal": [(1158, 1169), (2009, 2018), (2031, 2069)],
    "2017-07-12_RT_S_Normal": [(809, 817)],
    "2017-07-13_RT_KA_Stau_Messfehler": [
        (2758, 2765),
        (2767, 2774),
        (2816, 2848),
        (2859, 2873),
        (2898, 2908),
        (2994, 3006),
        (3021, 3031),
        (3274, 3334),
        (3363, 3372),
    ],
    "2017-07-14_KA_RT_Normal": [
        (1833, 1839),
        (3093, 3096),
        (3119, 3141),
        (3149, 3163),
        (3188, 3198),
    ],
    "2017-07-24_RT_KA_Normal": [(3305, 3310), (3584, 3612)],
    "2017-07-26_S_KA_Normal": [(674, 681)],
    "2017-07-31_RT_KA_Normal": [
        (824, 832),
        (3135, 3142),
        (3201, 3210),
        (3359, 3369),
        (3625, 3630),
        (3707, 3725),
    ],
    "2017-08-01_KA_RT_Normal": [(1484, 1492), (1809, 1853), (2159, 2170), (2250, 2258)],
    "2017-08-04_S_RT_Normal": [(2059, 2061)],
    "2017-08-07_KA_RT_Frei": [(1515, 1556), (1651, 1708), (1733, 1758), (1786, 1815), (1864, 1878)],
    "2017-08-07_RT_KA_Frei_Vollbremsung": [
        (2507, 2519),
        (2548, 2554),
        (2586, 2616),
        (2630, 2650),
        (2658, 2686),
        (2747, 2758),
        (3118, 3123),
    ],
}
PART_LOAD: Final = ("2017-07-11_KA_S_Normal", (1158, 1169))
DOUBTFUL: Final = (
    ("2017-07-14_KA_RT_Normal", (3093, 3096)),
    ("2017-08-04_S_RT_Normal", (2059, 2061)),
)
TOP_GEAR_RPM_PER_KMH: Final = 16.88
NEAR_S: Final = 2.0  # two readings
LONG_S: Final = 12.0
FULL_SHARE: Final = 0.90  # of full opening: under full demand, less is a closure (design 5.3)
MOSTLY: Final = 0.9  # of a pull's time; the rest is one reading at each end
SUFFIX: Final = ".csv.gz"


def drives_in(open_data: Path) -> list[Path]:
    """The files of all drives."""
    return sorted((open_data / "kit_obd2").glob(f"*{SUFFIX}"))


def name_of(path: Path) -> str:
    return path.name.removesuffix(SUFFIX)


def hours(path: Path) -> float:
    return float(drive(path)[Quantity.PEDAL_POSITION].time_s[-1]) / 3600.0


@cache
def drive(path: Path) -> dict[Quantity, Samples]:
    """The columns that matter; times in s from the first row."""
    table = pd.read_csv(path, usecols=["Time", *COLUMNS])
    time_s = pd.to_timedelta(table["Time"]).dt.total_seconds().to_numpy()
    return {
        quantity: Samples(time_s - time_s[0], table[name].to_numpy(dtype=np.float64))
        for name, quantity in COLUMNS.items()
    }


def segment(path: Path, *without: Quantity) -> list[SegmenterEvent]:
    """The drive's events with some channels left out."""
    samples = {q.value: s for q, s in drive(path).items() if q not in without}
    segmenter = Segmenter({name: Channel(name, "", Quantity(name)) for name in samples})
    end_s = max(float(s.time_s[-1]) for s in samples.values())
    return segmenter.feed(samples, end_s) + segmenter.finish()


def bounds(events: list[SegmenterEvent]) -> list[PullBounds]:
    return [event.bounds for event in events if isinstance(event, PullEnded)]


def as_seen(path: Path, found: list[PullBounds]) -> bool:
    """Whether these are the pulls that were seen: none lost, none more, none cut otherwise."""
    seen = PULLS.get(name_of(path), [])
    return len(found) == len(seen) and all(
        abs(pull.start_s - start_s) <= NEAR_S and abs(pull.end_s - end_s) <= NEAR_S
        for pull, (start_s, end_s) in zip(found, seen, strict=True)
    )


def rpm_per_kmh_of_long(path: Path, pulls: list[PullBounds]) -> list[float]:
    """Engine by road speed in each of the long pulls: of one gear, if they are one pull."""
    speed, road = drive(path)[Quantity.ENGINE_SPEED], drive(path)[Quantity.VEHICLE_SPEED]
    ratios = []
    for pull in pulls:
        if pull.end_s - pull.start_s > LONG_S:
            inside = (speed.time_s >= pull.start_s) & (speed.time_s <= pull.end_s)
            ratios.append(float(np.median(speed.value[inside] / road.value[inside])))
    return ratios


def is_false(path: Path, pull: PullBounds) -> bool:
    """Whether the foot was not down for most of it, or the car did not gain speed.

    Full pedal is judged by the drive itself: FULL_SHARE of the highest level in all of it, which
    the segmenter, in the middle of the drive, cannot know.
    """
    pedal, road = drive(path)[Quantity.PEDAL_POSITION], drive(path)[Quantity.VEHICLE_SPEED]
    inside = (pedal.time_s >= pull.start_s) & (pedal.time_s <= pull.end_s)
    full = pedal.value[inside] >= FULL_SHARE * np.nanmax(pedal.value)
    road_kmh = road.value[inside]
    return bool(np.mean(full) < MOSTLY or road_kmh[-1] <= road_kmh[0])


def false_pulls(path: Path, pulls: list[PullBounds]) -> list[tuple[str, tuple[int, int]]]:
    """Those, named as PART_LOAD is."""
    return [
        (name_of(path), (round(pull.start_s), round(pull.end_s)))
        for pull in pulls
        if is_false(path, pull)
    ]


def by_flap(path: Path) -> tuple[int, int]:
    """The intake flap mapped as throttle, and nothing else: warnings of it, pulls by it."""
    events = segment(path, Quantity.PEDAL_POSITION, Quantity.MANIFOLD_PRESSURE)
    reasons = [str(event.reason) for event in events if isinstance(event, Refused)]
    warnings = sum("does not behave like a throttle" in reason for reason in reasons)
    return warnings, len(bounds(events))
