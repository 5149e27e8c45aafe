"""Colours and dashes of curves: stages differ by colour, the pulls of a stage by dashes."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import Final

# Each at least 4.5:1 on white; neighbours differ in lightness or on the blue-yellow axis, so that
# they stay apart for people who do not see red and green apart (a test simulates that).
COLOURS: Final = ("#12161b", "#0a6fd1", "#b04a00", "#8a5cc7", "#7a7200", "#00716b")
DASHES: Final[tuple[tuple[int, ...], ...]] = (
    (),
    (9, 4),
    (3, 3),
    (14, 4, 3, 4),
    (9, 3, 3, 3, 3, 3),
    (20, 6),
)


@dataclass(frozen=True, slots=True)
class LineStyle:
    """How the curves of one pull are drawn. dash: lengths of ink and gap, () for a whole line."""

    colour: str
    dash: tuple[int, ...]


def line_styles(stages: Sequence[Hashable]) -> list[LineStyle]:
    """One style for each pull, given the stage of each; six of either, then they come again."""
    order = list(dict.fromkeys(stages))
    styles: list[LineStyle] = []
    for index, stage in enumerate(stages):
        before = list(stages[:index]).count(stage)
        styles.append(
            LineStyle(COLOURS[order.index(stage) % len(COLOURS)], DASHES[before % len(DASHES)])
        )
    return styles
