"""Which pulls count in the mean of their stage, and why the others do not."""

from collections.abc import Sequence
from enum import Enum, auto
from typing import Final

from analysis.model.pull import Pull
from analysis.stages.comparability import gear_ratio

SAME_GEAR_SHARE: Final = 0.05  # gears are further apart than this, slip is nearer


class LeftOut(Enum):
    """Why a pull is no part of its stage's mean."""

    EXCLUDED = auto()  # somebody said so
    INCOMPLETE = auto()
    OTHER_GEAR = auto()


def left_out(stages: Sequence[Sequence[Pull]]) -> list[list[LeftOut | None]]:
    """Of the pulls of every stage that nobody excluded; None where a pull counts.

    Complete pulls count, in the gear of the first one of the first stage that has one.
    """
    found: list[list[LeftOut | None]] = []
    gear = None
    for pulls in stages:
        reasons, own_gear = _of_stage(pulls, gear)
        gear = gear or own_gear
        found.append(reasons)
    return found


def _of_stage(
    pulls: Sequence[Pull], gear: float | None
) -> tuple[list[LeftOut | None], float | None]:
    """The reasons, and the gear of the first pull that counts."""
    reasons: list[LeftOut | None] = []
    counted: list[float | None] = []
    for pull in pulls:
        ratio = gear_ratio(pull) if pull.bounds.complete else None
        wanted = gear or (counted[0] if counted else None)
        if not pull.bounds.complete:
            reasons.append(LeftOut.INCOMPLETE)
        elif ratio and wanted and abs(ratio / wanted - 1) > SAME_GEAR_SHARE:
            reasons.append(LeftOut.OTHER_GEAR)
        else:
            reasons.append(None)
            counted.append(ratio)
    return reasons, counted[0] if counted else None
