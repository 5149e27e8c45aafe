"""Each rule that refuses a candidate, a little to either side of its bound."""

from dataclasses import replace
from typing import Any

import pytest

from analysis.segmenting.refusal import Candidate, why_refused

PULL = Candidate(start_s=10.0, end_s=16.0, start_rpm=2000.0, end_rpm=6000.0)
BY_PRESSURE: dict[str, Any] = {"is_guessed": True, "on_roller": True}
ON_ROAD: dict[str, Any] = {"is_guessed": True, "top_rpm": 7000.0}


def test_a_plain_sweep_is_a_pull() -> None:
    assert why_refused(PULL) is None


@pytest.mark.parametrize(
    ("given", "name", "refused", "passes", "why"),
    [
        ({"end_rpm": 3000.0}, "start_rpm", 490.0, 510.0, "the engine was not running"),
        ({"end_rpm": 3000.0}, "end_s", 11.1, 11.3, "too short"),
        ({}, "end_rpm", 2190.0, 2210.0, "no sweep: engine speed rose by 190 rpm"),
        ({"start_rpm": 6000.0}, "end_rpm", 6410.0, 6430.0, "a pull needs 420 rpm"),
        ({"is_stand_in": True}, "end_rpm", 2490.0, 2510.0, "a pull needs 500 rpm"),
        ({"end_s": 11.5}, "end_rpm", 6600.0, 6400.0, "free-revving: engine speed rose at 3067"),
        ({"end_s": 11.5, "start_rpm": 5000.0}, "end_rpm", 11800.0, 11700.0, "free-revving"),
        ({**BY_PRESSURE, "start_rpm": 1400.0}, "end_rpm", 2890.0, 2910.0, "only 1,500 rpm"),
        ({**BY_PRESSURE, "start_rpm": 3000.0}, "end_rpm", 5990.0, 6010.0, "only 3,000 rpm"),
        ({**BY_PRESSURE, "end_rpm": 4500.0}, "end_s", 12.4, 12.6, "in at least 2.5 s"),
        ({**BY_PRESSURE, "end_rpm": 4000.0}, "start_rpm", 890.0, 910.0, "pulling away"),
        ({**BY_PRESSURE, "road_end_kmh": 60.0}, "road_start_kmh", 11.5, 12.5, "pulling away"),
        (ON_ROAD, "end_rpm", 5900.0, 6000.0, "near the engine's top speed"),
        ({"road_start_kmh": 40.0}, "road_end_kmh", 59.0, 61.0, "slipping clutch"),
        ({"road_start_kmh": 2.0}, "road_end_kmh", 2.9, 5.0, "stood still"),
    ],
)
def test_each_bound(
    given: dict[str, Any], name: str, refused: float, passes: float, why: str
) -> None:
    reason = why_refused(replace(PULL, **given | {name: refused}))
    assert reason is not None
    assert why in str(reason)
    assert why_refused(replace(PULL, **given | {name: passes})) is None
