"""Real drives of a turbo-diesel car, polled every 0.9 s a signal: 32 h of ordinary driving.

By eye, signal by signal: every pull listed below is full pedal (the car's pedal ends at 78 to 85 %)
in one gear with rising engine speed.
"""

from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from analysis.events import PullEnded, SegmenterEvent
from analysis.pull import PullBounds, Refused
from analysis.segmenter import Segmenter
from decode.quantities import Quantity
from decode.samples import Channel, Samples

COLUMNS = {
    "Engine RPM [RPM]": Quantity.ENGINE_SPEED,
    "Vehicle Speed Sensor [km/h]": Quantity.VEHICLE_SPEED,
    "Intake Manifold Absolute Pressure [kPa]": Quantity.MANIFOLD_PRESSURE,
    "Absolute Throttle Position [%]": Quantity.THROTTLE_POSITION,
    "Accelerator Pedal Position D [%]": Quantity.PEDAL_POSITION,
}
LONG_PULLS = {  # drive: (from, to) in s, of full pedal, looked at by eye
    "2017-07-05_S_KA_Normal": [(872, 913), (994, 1013), (1044, 1080), (1149, 1169)],
    "2017-07-13_RT_KA_Stau_Messfehler": [(2816, 2849), (2859, 2873), (3274, 3334)],
    "2017-07-14_KA_RT_Normal": [(3119, 3142), (3149, 3163)],
    "2017-07-24_RT_KA_Normal": [(3584, 3612)],
    "2017-08-01_KA_RT_Normal": [(1809, 1853)],
    "2017-08-07_KA_RT_Frei": [(1515, 1556), (1651, 1708), (1733, 1758), (1786, 1814)],
    "2017-08-07_RT_KA_Frei_Vollbremsung": [(2586, 2616), (2630, 2650), (2658, 2686)],
}
TOP_GEAR_RPM_PER_KMH = 16.88
NEAR_S = 2.0  # two readings
LONG_S = 12.0
STOP_PERCENT = 78.0  # where this car's pedal ends in most drives (85 % behind the kick-down)
FULL_SHARE = 0.945  # of the stop; less is part load
MOST_BY_FLAP = 3  # in eight hours, of over a thousand that trust in it would find


@pytest.fixture(scope="module")
def drives(open_data: Path) -> list[Path]:
    found = sorted((open_data / "kit_obd2").glob("*.csv.gz"))
    if not found:
        pytest.skip(f"no drives in {open_data / 'kit_obd2'}")
    return found


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


@pytest.fixture(scope="module")
def pulls_by_pedal(drives: list[Path]) -> dict[Path, list[PullBounds]]:
    return {path: bounds(segment(path)) for path in drives}


def test_every_long_full_pedal_pull_is_found_whole(
    pulls_by_pedal: dict[Path, list[PullBounds]],
) -> None:
    found = {path.name.removesuffix(".csv.gz"): pulls for path, pulls in pulls_by_pedal.items()}
    for name, wanted in LONG_PULLS.items():
        for start_s, end_s in wanted:
            near = [
                pull
                for pull in found[name]
                if abs(pull.start_s - start_s) < NEAR_S and abs(pull.end_s - end_s) < NEAR_S
            ]
            assert len(near) == 1, (name, start_s, end_s, found[name])


def test_long_pulls_are_one_gear(pulls_by_pedal: dict[Path, list[PullBounds]]) -> None:
    checked = 0
    for path, pulls in pulls_by_pedal.items():
        speed, road = drive(path)[Quantity.ENGINE_SPEED], drive(path)[Quantity.VEHICLE_SPEED]
        for pull in pulls:
            inside = (speed.time_s >= pull.start_s) & (speed.time_s <= pull.end_s)
            if pull.end_s - pull.start_s > LONG_S:
                ratio = np.median(speed.value[inside] / road.value[inside])
                assert ratio == pytest.approx(TOP_GEAR_RPM_PER_KMH, abs=0.1)
                checked += 1
    assert checked >= sum(len(pulls) for pulls in LONG_PULLS.values())


def test_fewer_than_one_false_pull_in_ten_hours(
    pulls_by_pedal: dict[Path, list[PullBounds]],
) -> None:
    """False: the pedal was not at its stop, or the road speed did not rise."""
    false, hours = 0, 0.0
    for path, pulls in pulls_by_pedal.items():
        pedal, road = drive(path)[Quantity.PEDAL_POSITION], drive(path)[Quantity.VEHICLE_SPEED]
        hours += float(pedal.time_s[-1]) / 3600.0
        for pull in pulls:
            inside = (pedal.time_s > pull.start_s + 1.0) & (pedal.time_s < pull.end_s)
            part_load = np.nanmedian(pedal.value[inside]) < FULL_SHARE * STOP_PERCENT
            road_kmh = road.value[inside]
            false += bool(part_load or road_kmh[-1] <= road_kmh[0])
    assert hours > 30.0
    assert false / hours < 0.1


def test_an_intake_flap_mapped_as_throttle_is_warned_of_and_not_believed(
    drives: list[Path],
) -> None:
    pulls = 0
    for path in drives[::4]:
        events = segment(path, Quantity.PEDAL_POSITION, Quantity.MANIFOLD_PRESSURE)
        reasons = [event.reason for event in events if isinstance(event, Refused)]
        assert sum("does not behave like a throttle" in reason for reason in reasons) == 1
        pulls += len(bounds(events))
    assert pulls <= MOST_BY_FLAP
