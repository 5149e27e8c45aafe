"""What a session must bring for a pull to be found at all; said when it did not."""

from collections.abc import Mapping
from typing import Final

from analysis.segmenting.engine_speed import EngineSpeed
from analysis.segmenting.intent import Intent

NO_SPEED: Final = "no pull can be found without engine speed: the map needs an engine_speed channel"
NO_WISH: Final = (
    "no pull can be found without the driver's wish: the map needs pedal_position (best), "
    "throttle_position, manifold_pressure or boost_pressure"
)


def unmet(speeds: Mapping[str, EngineSpeed], wishes: Mapping[str, Intent]) -> str | None:
    """The first need that no channel met, and the mapped channels that stayed silent."""
    if not any(speed.has_spoken for speed in speeds.values()):
        return _with_silent(NO_SPEED, speeds)
    if not any(wish.has_spoken for wish in wishes.values()):
        return _with_silent(NO_WISH, wishes)
    return None


def _with_silent(need: str, mapped: Mapping[str, object]) -> str:
    return f"{need}; {', '.join(mapped)} never spoke" if mapped else need
